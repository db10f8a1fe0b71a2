// A job sheet: drawn from plain data, recorded on the phone, sent when there is signal.

import { Queue, getFrom, openFor, ownManMin, putInto, recorded, stateOf } from "./keep.js";
import { drawStep } from "./step.js";
import { drawStatus, fill, h, later, toast } from "./view.js";

// A finger that rests for longer taps nothing: what waits to be drawn is drawn then.
const TAP_MS = 1000;

class Sheet {
  constructor(data, base) {
    this.data = data;
    this.base = base;
    this.queue = [];
    this.errors = new Map();
    this.pressed = 0;
    this.likely = {};
    this.words = data.words;
    this.place = document.getElementById("sheet");
    this.isList = this.place.dataset.sheet === "list";
    this.sender = new Queue(base, data, (state, answers) => this.onChange(state, answers));
  }

  async start() {
    const [queue, kept] = await Promise.all([this.sender.list(), this.isList ? null : getFrom(this.base, "kept", this.#draftsKey())]);
    this.queue = queue;
    if (!this.isList) this.drafts = kept || { at: this.#firstStep(), forms: {} };
    this.draw();
    this.#status();
    window.addEventListener("online", () => this.#wake());
    window.addEventListener("offline", () => this.onChange("offline", []));
    document.addEventListener("visibilitychange", () => { if (!document.hidden) this.#wake(); });
    this.place.addEventListener("pointerdown", () => { this.pressed = Date.now() + TAP_MS; }, true);
    for (const end of ["click", "change", "pointercancel"]) document.addEventListener(end, () => { this.pressed = 0; }, true);
    await this.sender.send();
    if (navigator.storage && navigator.storage.persist) navigator.storage.persist();
    await this.refresh({ fromServer: this.#isOld() });
    await this.#noteChanges();
    const { keepSheets } = await import("./offline.js");
    await keepSheets(this.data);
  }

  /** Out of the pocket, or signal again: what waits goes up, and what the office changed comes. */
  async #wake() {
    await this.sender.send();
    if (this.#isOld()) await this.refresh({ fromServer: true });
  }

  /** A page that the phone kept is older than the data that it keeps beside it. */
  #isOld() {
    return this.isList ? false : Date.now() - new Date(this.data.stamp).getTime() > 60000;
  }

  async refresh(how) {
    if (this.isList) return;
    const { newest } = await import("./offline.js");
    const fresh = await newest(this.data, how);
    if (!fresh || fresh.stamp <= this.data.stamp || fresh.user !== this.data.user) return;
    this.data = fresh;
    this.words = fresh.words;
    this.sender.told = fresh;
    await this.sender.forget(fresh.job.ref, fresh.stamp);
    this.queue = await this.sender.list();
    await this.#noteChanges();
  }

  /** Say what is different from what this person saw last. */
  async #noteChanges() {
    if (this.isList) return;
    const { noteChanges } = await import("./changed.js");
    await noteChanges(this);
    this.draw({ gently: true });
  }

  async onChange(state, answers) {
    this.queue = await this.sender.list();
    this.sender.state = state;
    this.#status();
    if (this.isList) return;
    this.draw({ gently: true });
    if (answers.length) await this.refresh({ fromServer: true });
  }

  #status() {
    drawStatus(document.getElementById("sending"), this);
  }

  /** Empty the form, keep a thing, say so. */
  async add(kind, body, title, formKey) {
    // At once: what is typed while the phone writes is of the next thing, and two taps are one.
    const typed = this.drafts.forms[formKey];
    if (formKey) {
      delete this.drafts.forms[formKey];
      this.draw();
    }
    let thing;
    try {
      thing = await this.sender.add(kind, this.data.job.ref, body, { title: await title });
    } catch {
      if (typed) this.drafts.forms[formKey] = typed;
      this.draw();
      toast(this.words.full);
      return null;
    }
    this.errors.delete(formKey);
    if (formKey) await this.#mended(formKey);
    this.keepDrafts();
    this.draw();
    const undo = this.data.undone_by?.[kind] ? () => this.undo(thing, thing.title) : null;
    toast(fill(this.words.kept, thing.title), undo && this.words.undo, undo);
    return thing;
  }

  /** What was refused and typed once more is settled: the new one goes up instead. */
  async #mended(formKey) {
    const n = (this.drafts.mending || {})[formKey];
    if (n === undefined) return;
    delete this.drafts.mending[formKey];
    const old = (await this.sender.list()).find((thing) => thing.n === n);
    if (old) await this.sender.settle(old);
  }

  /** What was tapped by mistake stays in the list, struck out. */
  async undo(thing, title) {
    const body = { of: thing.id, ...(thing.body.station ? { station: thing.body.station } : {}) };
    await this.sender.add(this.data.undone_by?.[thing.kind], this.data.job.ref, body, { title: `${this.words.undo}: ${title}` });
    this.draw();
    toast(fill(this.words.undone, title));
  }

  #draftsKey() {
    return `draft ${this.data.job.ref}`;
  }

  draft(key) {
    this.drafts.forms[key] ||= {};
    return this.drafts.forms[key];
  }

  keepDrafts() {
    // Not put off by what comes after: a battery that dies takes a fifth of a second with it.
    this.keeping ||= setTimeout(() => {
      this.keeping = 0;
      putInto(this.base, "kept", this.drafts, this.#draftsKey());
    }, 200);
  }

  #firstStep() {
    const by = { found: "digs", agreed: "mended", mended: "proven", proven: "returned" };
    const stages = this.data.stations.map((row) => row.stage);
    const searching = this.data.steps.some((step) => (step.searches || []).some((each) => each.plain && each.plain.is_open));
    const wanted = this.data.job.state === "started" && (by[stages[0]] || (searching ? "search" : this.#has("arrive") ? "arrive" : this.data.steps.at(-2).id));
    return wanted && this.#has(wanted) ? wanted : this.data.steps[0].id;
  }

  #has(id) {
    return this.data.steps.some((step) => step.id === id);
  }

  go(id) {
    this.drafts.at = id;
    document.getElementById("toast").hidden = true;
    this.keepDrafts();
    this.draw();
    this.place.querySelector("h2").focus();
    window.scrollTo(0, 0);
  }

  /** Draw the open step. Gently = not while the user types or has a list of choices open. */
  draw({ gently = false } = {}) {
    if (this.isList) return;
    const active = document.activeElement;
    if (gently && this.place.contains(active) && active.matches("input[type=text], input[type=date], select")) return;
    clearTimeout(this.late);
    if (this.pressed > Date.now()) {
      // What is under a finger stays until the tap is done: its click would go with it.
      this.late = setTimeout(() => this.draw({ gently }), 50);
      return;
    }
    this.state = stateOf(this.data, this.queue);
    const { steps } = this.data;
    const n = Math.max(0, steps.findIndex((step) => step.id === this.drafts.at));
    const step = steps[n];
    const focused = active && active.id;
    const open = new Set([...this.place.querySelectorAll("details[open] > summary")].map((each) => each.textContent));
    this.place.replaceChildren(...[this.#top(steps, n), drawStep(step, this), step.searches ? this.#search(step) : null, this.#foot(steps, n), this.#recorded()].flat(Infinity).filter(Boolean));
    for (const summary of this.place.querySelectorAll("details > summary")) {
      if (open.has(summary.textContent)) summary.parentElement.open = true;
    }
    if (focused) document.getElementById(focused)?.focus({ preventScroll: true });
  }

  /** The search is large, and few open it first: its modules come with the step. */
  #search(step) {
    if (this.drawSearch) return this.drawSearch(step, this);
    import("./search.js").then(({ drawSearch }) => { this.drawSearch = drawSearch; this.draw(); });
    return h("p", { class: "remark" }, "…");
  }

  #top(steps, n) {
    const pick = h("select", { "aria-label": this.words.all_steps, change: (event) => this.go(event.target.value) },
      steps.map((step, k) => h("option", { value: step.id, selected: k === n }, `${k + 1}. ${step.title}`)));
    return [
      h("nav", { class: "which-step", "aria-label": this.words.all_steps }, h("span", {}, fill(this.words.step_of, { n: n + 1, m: steps.length })), pick),
      h("h2", { tabindex: "-1" }, steps[n].title),
      this.drawChanges ? this.drawChanges() : null,
      this.#authority(),
    ];
  }

  /** What is left of the limit, less this visit's own minutes, each person's: at its end, stop. */
  #authority() {
    const { authority } = this.data;
    if (!authority) return null;
    const limit = authority.amount ? h("p", { class: "soft" }, fill(this.words.authority_money, authority.amount)) : null;
    const near = authority.near ? h("p", { class: "problem" }, authority.near) : null;
    const money = [limit, near];
    if (authority.left_man_min === null) return money;
    const all = authority.left_man_min / authority.people;
    const left = Math.round((authority.left_man_min - ownManMin(this.data, this.state, Date.now())) / authority.people);
    const shown = { left: authority.left_man_min, minutes: Math.round(all), people: authority.people };
    if (this.state.jobState === "planned" && all > 0) return [h("p", { class: "soft" }, fill(this.words.authority, shown)), ...money];
    if (left <= 0) return [h("p", { class: "problem", role: "alert" }, this.words.authority_over), ...money];
    return [h("p", { class: "soft" }, fill(this.words.authority_left, left)), ...money];
  }

  #foot(steps, n) {
    const after = steps[n + 1];
    return h("div", { class: "onward" }, after ? h("button", { type: "button", click: () => this.go(after.id) }, fill(this.words.next, after.title)) : null);
  }

  #recorded() {
    const things = recorded(this.data, this.queue);
    // Their words come with the first of them: the first view does without.
    const list = things.length ? later(import("./typed.js"), ({ drawRecorded }) => drawRecorded(things, this)) : h("p", {}, this.words.nothing_kept);
    return h("details", { class: "panel" }, h("summary", {}, this.words.kept_here), list);
  }
}

const data = JSON.parse(document.getElementById("sheet-data").textContent);
const sheet = new Sheet(data, await openFor(data.user));
await sheet.start();
