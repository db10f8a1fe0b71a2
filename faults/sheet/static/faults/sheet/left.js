// What is left of a round: counted on the phone from what the server knows and what waits to be sent,
// the next one on the way, what is left out and why, and a fault for what was seen dead.

import { recorded } from "./keep.js";
import { fill, h } from "./view.js";

const LEAVE = "leave-out";

const idOf = (target) => (target.station ? `station-${target.station}` : `device-${target.device}`);
const isOf = (target, thing) => (target.station ? thing.body.station === target.station : thing.body.device === target.device);

/** What this phone holds that was not taken back and not refused, the newest last. */
const held = (sheet) => recorded(sheet.data, sheet.queue).filter((thing) => !thing.isVoid && thing.state !== "refused" && thing.answer !== "refused");

/**
 * How each target stands: done, or left out and why.
 * @param {any} left as the server described it
 * @param {any[]} things what this phone holds
 */
export function standing(left, things) {
  const { kind, of } = left.done_by;
  return left.targets.map((target) => {
    const mine = things.filter((thing) => isOf(target, thing));
    const isDone = target.done || mine.some((thing) => thing.kind === kind && (!of || of.includes(thing.body.kind)));
    const told = mine.filter((thing) => thing.kind === "left").at(-1);
    const why = told ? told.body.note || (left.whys.find(([value]) => value === told.body.why) || [])[1] : target.why;
    const seen = mine.filter((thing) => thing.kind === "walk").at(-1);
    const isReported = target.has_fault || mine.some((thing) => thing.kind === "report");
    return { target, isDone, why: isDone ? "" : why || "", isDead: Boolean(seen) && seen.body.result === "does not" && !isReported };
  });
}

export function drawLeft(step, sheet) {
  const { left } = step;
  const { words } = left;
  const all = standing(left, held(sheet));
  const open = all.filter((each) => !each.isDone);
  const next = open.find((each) => !each.why);
  const total = all.length;
  const count = open.length ? fill(words.count, { left: open.length, total }) : fill(words.none, total);
  return h("section", { class: "panel left-of-round", "aria-labelledby": "what-is-left" },
    h("h3", { id: "what-is-left" }, count),
    h("progress", { max: total, value: total - open.length, "aria-labelledby": "what-is-left" }),
    next ? h("div", { class: "taps" }, h("button", { type: "button", class: "tap", click: () => goTo(next.target) }, fill(words.next, next.target.name))) : null,
    all.filter((each) => each.isDead).map((each) => h("div", { class: "taps" }, h("button", { type: "button", class: "tap quiet", click: () => report(each.target, step, sheet) }, fill(words.report, each.target.name)))),
    told(all, words),
    open.length ? leave(open, step, sheet) : null);
}

function goTo(target) {
  const place = document.getElementById(idOf(target)) || document.getElementById(`home-${target.station}`);
  if (!place) return;
  place.scrollIntoView({ block: "center" });
  const first = place.querySelector("button, input");
  if (first) first.focus({ preventScroll: true });
}

const report = (target, step, sheet) =>
  sheet.add("report", { station: target.station }, fill(step.left.words.reported, target.name));

function told(all, words) {
  const left = all.filter((each) => each.why);
  if (!left.length) return null;
  return h("ul", { class: "plain-list", "aria-label": words.told }, left.map(({ target, why }) => h("li", {}, h("b", {}, target.name), `: ${why}`)));
}

/** A form of its own: which one, a reason in one tap, and words where the reason is another. */
function leave(open, step, sheet) {
  const { words, whys } = step.left;
  const draft = sheet.draft(LEAVE);
  const set = (name) => (event) => { draft[name] = event.target.value; sheet.keepDrafts(); };
  const choose = (value) => () => { draft.why = value; sheet.keepDrafts(); sheet.draw(); };
  if (!open.some(({ target }) => idOf(target) === draft.which)) draft.which = idOf((open.find((each) => !each.why) || open[0]).target);
  const which = h("select", { id: "leave-which", change: set("which") }, open.map(({ target }) => h("option", { value: idOf(target), selected: idOf(target) === draft.which }, target.name)));
  const taps = whys.map(([value, word]) => h("button", { type: "button", class: value === draft.why ? "tap" : "tap quiet", "aria-pressed": String(value === draft.why), click: choose(value) }, word));
  const note = h("input", { id: "leave-note", type: "text", maxlength: 200, autocomplete: "off", value: draft.note ?? "", input: set("note") });
  const wrong = h("p", { class: "error", role: "alert" });
  const send = async (event) => {
    event.preventDefault();
    const label = !draft.why ? words.why : draft.why === "other" && !String(draft.note || "").trim() ? words.note : "";
    if (label) { wrong.textContent = fill(sheet.words.needed, label); return; }
    const { target } = open.find((each) => idOf(each.target) === draft.which);
    const body = { why: draft.why, ...(target.station ? { station: target.station } : { device: target.device }) };
    if (String(draft.note || "").trim()) body.note = draft.note.trim();
    await sheet.add("left", body, fill(words.left, target.name), LEAVE);
  };
  return h("details", { class: "folded" }, h("summary", {}, words.leave),
    h("form", { submit: send, novalidate: true },
      h("div", { class: "ask" }, h("label", { for: "leave-which" }, words.which), which),
      h("div", { class: "ask" }, h("fieldset", {}, h("legend", {}, words.why), h("div", { class: "taps" }, taps))),
      h("div", { class: "ask" }, h("label", { for: "leave-note" }, words.note), note),
      wrong, h("button", { type: "submit" }, words.keep)));
}
