// Make elements, and what is always in view: what waits to be sent, what came back, what was kept.
// Text is set as text, never as markup.

import { isBack } from "./keep.js";

const SVG = "http://www.w3.org/2000/svg";
const SVG_TAGS = new Set(["svg", "g", "path", "rect", "line", "circle", "text", "title", "defs", "pattern"]);

/**
 * @param {string} tag
 * @param {Record<string, any>} [props] attributes; a function listens; false and null are left out
 * @param {...any} inside elements, texts, arrays of them
 */
export function h(tag, props = {}, ...inside) {
  const made = SVG_TAGS.has(tag) ? document.createElementNS(SVG, tag) : document.createElement(tag);
  for (const [name, value] of Object.entries(props)) {
    if (value === false || value === null || value === undefined) continue;
    if (typeof value === "function") made.addEventListener(name, value);
    else if (name === "value" && "value" in made) made.value = value;
    else made.setAttribute(name, value === true ? "" : value);
  }
  made.append(...inside.flat(Infinity).filter((each) => each !== null && each !== undefined && each !== false && each !== ""));
  return made;
}

/** Put values into words: `%s`, or `%(name)s` for each of several. */
export function fill(words, value) {
  if (value !== null && typeof value === "object") {
    return words.replace(/%\((\w+)\)[sd]/g, (_whole, name) => value[name]);
  }
  return words.replace("%s", () => String(value)).replaceAll("%%", "%");
}

/** A part whose module is not needed for the first view: it takes its place when it is there. */
export function later(module, draw) {
  const place = h("div", { class: "later" });
  module.then((made) => place.replaceChildren(...[draw(made)].flat(Infinity).filter(Boolean)), () => place.remove());
  return place;
}

/** @param {HTMLElement} place @param {any} sheet */
export function drawStatus(place, sheet) {
  const { words, queue, sender } = sheet;
  const waiting = queue.filter((thing) => thing.state === "waiting");
  const back = queue.filter(isBack);
  place.hidden = false;
  place.className = `sending ${waiting.length ? "has-unsent" : ""} ${back.length ? "has-back" : ""}`;
  place.replaceChildren(
    h("p", {}, h("b", {}, mark(sender.state, waiting.length)), h("span", { class: "state" }, inWords(sender.state, waiting.length, sheet)),
      waiting.length ? h("button", { type: "button", class: "quiet", click: () => sender.send() }, words.send_now) : null,
      sender.state === "signed_out" ? h("a", { class: "button", href: sheet.data.sign_in + "?next=" + encodeURIComponent(location.pathname) }, words.sign_in) : null),
    ...(back.length ? [notKept(back, sheet)] : []),
  );
}

/** A shape beside the words: full, half, empty. */
const mark = (state, waiting) => (waiting ? "◐" : state === "offline" ? "○" : "●");

/** Without signal: of when what is shown is, once that is an hour ago. */
function since({ words, data }) {
  if (!data.stamp || Date.now() - new Date(data.stamp).getTime() < 3600000) return "";
  return fill(words.old, new Date(data.stamp).toLocaleString());
}

function inWords(state, waiting, sheet) {
  const { words } = sheet;
  const unsent = waiting === 1 ? words.unsent_one : waiting ? fill(words.unsent, waiting) : "";
  if (state === "signed_out") return words.signed_out;
  if (state === "sending") return words.sending;
  if (state === "offline") return `${unsent ? words.no_signal : words.offline} ${unsent} ${since(sheet)}`;
  return unsent || words.online;
}

function notKept(back, sheet) {
  const { words } = sheet;
  const heading = back.length === 1 ? words.not_kept_one : fill(words.not_kept_many, back.length);
  return h("details", { class: "not-kept" }, h("summary", {}, heading), h("ul", {}, back.map((thing) => came(thing, sheet))));
}

/** Recorded under a wrong clock: it waits here until its day is given. */
function askDay(thing, { words, sender }) {
  const day = h("input", { type: "date", id: `day-${thing.id}`, max: new Date().toLocaleDateString("sv") });
  const send = () => { if (day.value) sender.happenedOn(thing, day.value); else day.focus(); };
  return h("li", {}, h("b", {}, thing.title || thing.kind), h("p", {}, words.wrong_clock),
    h("label", { for: day.id }, words.which_day), day,
    h("div", { class: "taps" }, h("button", { type: "button", class: "tap", click: send }, words.keep_day),
      h("button", { type: "button", class: "tap quiet", click: () => sender.settle(thing) }, words.throw_away)));
}

function came(thing, sheet) {
  if (thing.state === "unsure") return askDay(thing, sheet);
  const { words, sender } = sheet;
  const isConflict = thing.state === "conflict";
  return h("li", {},
    h("b", {}, thing.title || thing.kind), " ", h("time", {}, new Date(thing.at).toTimeString().slice(0, 5)),
    isConflict ? [h("p", {}, words.conflict), h("p", {}, fill(words.mine, thing.mine)), h("p", {}, fill(words.theirs, thing.theirs))] : h("p", {}, thing.why),
    h("div", { class: "taps" },
      canMend(thing, sheet) ? h("button", { type: "button", class: "tap", click: () => import("./mend.js").then(({ mend }) => mend(thing, sheet)) }, words.mend) : null,
      isConflict && thing.may_insist ? h("button", { type: "button", class: "tap quiet", click: () => sender.insist(thing) }, words.mine_holds) : null,
      h("button", { type: "button", class: "tap", click: () => sender.settle(thing) }, isConflict ? words.theirs_holds : words.seen)));
}

/**
 * The form of this sheet that a thing was typed into, or null where none asks for such a thing.
 * @param {any} thing @param {any} data the sheet
 */
export function formOf(thing, data) {
  for (const step of data.steps) {
    const n = (step.forms || []).findIndex((form) => form.kind === thing.kind && holds(thing.body, form.body || {}));
    if (n >= 0) return { step: step.id, key: `${step.id}-${n}`, form: step.forms[n] };
  }
  return null;
}

const holds = (body, given) => Object.entries(given).every(([name, value]) => body[name] === value);

/** Only what was refused, on the sheet that it was recorded on. */
const canMend = (thing, { data, isList }) => !isList && thing.state === "refused" && thing.job === data.job.ref && Boolean(formOf(thing, data));

let hiding = 0;

/** Say for some seconds what was kept, with a way to take it back. */
export function toast(words, button, act) {
  const place = document.getElementById("toast");
  const undo = button ? h("button", { type: "button", click: () => { place.hidden = true; act(); } }, button) : null;
  place.replaceChildren(h("span", {}, words), ...(undo ? [undo] : []));
  place.hidden = false;
  clearTimeout(hiding);
  hiding = setTimeout(() => { place.hidden = true; }, 8000);
}
