// What waits to be sent, and what came back: always in view, above the sheet.

import { fill, h } from "./view.js";

/** @param {HTMLElement} place @param {any} sheet */
export function drawStatus(place, sheet) {
  const { words, queue, sender } = sheet;
  const waiting = queue.filter((thing) => thing.state === "waiting");
  const back = queue.filter((thing) => thing.state !== "waiting");
  place.hidden = false;
  place.className = `sending ${waiting.length ? "has-unsent" : ""} ${back.length ? "has-back" : ""}`;
  place.replaceChildren(
    h("p", {}, h("b", {}, mark(sender.state, waiting.length)), ` ${inWords(sender.state, waiting.length, words)} `,
      waiting.length ? h("button", { type: "button", class: "quiet", click: () => sender.send() }, words.send_now) : null,
      sender.state === "signed_out" ? h("a", { class: "button", href: sheet.data.sign_in + "?next=" + encodeURIComponent(location.pathname) }, words.sign_in) : null),
    ...(back.length ? [notKept(back, sheet)] : []),
  );
}

/** A shape beside the words: full, half, empty. */
const mark = (state, waiting) => (waiting ? "◐" : state === "offline" ? "○" : "●");

function inWords(state, waiting, words) {
  const unsent = waiting === 1 ? words.unsent_one : waiting ? fill(words.unsent, waiting) : "";
  if (state === "signed_out") return words.signed_out;
  if (state === "sending") return words.sending;
  if (state === "offline") return `${words.offline} ${unsent}`;
  return unsent || words.online;
}

function notKept(back, sheet) {
  const { words } = sheet;
  const heading = back.length === 1 ? words.not_kept_one : fill(words.not_kept_many, back.length);
  return h("details", { class: "not-kept" }, h("summary", {}, heading), h("ul", {}, back.map((thing) => came(thing, sheet))));
}

function came(thing, sheet) {
  const { words, sender } = sheet;
  const isConflict = thing.state === "conflict";
  return h("li", {},
    h("b", {}, thing.title || thing.kind), " ", h("time", {}, new Date(thing.at).toTimeString().slice(0, 5)),
    isConflict ? [h("p", {}, words.conflict), h("p", {}, fill(words.mine, thing.mine)), h("p", {}, fill(words.theirs, thing.theirs))] : h("p", {}, thing.why),
    h("div", { class: "taps" },
      isConflict && thing.may_insist ? h("button", { type: "button", class: "tap quiet", click: () => sender.insist(thing) }, words.mine_holds) : null,
      h("button", { type: "button", class: "tap", click: () => sender.settle(thing) }, isConflict ? words.theirs_holds : words.seen)));
}

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
