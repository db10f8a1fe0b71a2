// A bring-home round: per station the wires apart, joined, the ohms, and what they say at once. The
// bands come from the server, which has the rule; this phone only looks a reading up in them.

import { isPending, recorded } from "./keep.js";
import { ask, parse } from "./step.js";
import { fill, h } from "./view.js";

const SHEET_STEP = "homes";

/**
 * What a joined reading says, or null where only the server can tell.
 * @param {Record<string, [number|null, string, number|null][]>|null} bands by what was seen apart
 * @returns {{verdict: string, percent: number|null}|null}
 */
export function verdictOf(bands, { ohms, apart, across }, openOhms) {
  if (ohms >= openOhms) return { verdict: "broken", percent: null };
  if (!bands || across) return null;
  const [, verdict, percent] = bands[apart].find(([to]) => to === null || ohms <= to);
  return { verdict, percent };
}

export function drawHomes(step, sheet) {
  const draft = sheet.draft(SHEET_STEP);
  draft.forms ||= {};
  const tests = testsOf(sheet);
  const isRead = (row) => row.is_read || tests.has(row.station);
  const current = draft.at ?? (step.homes.find((row) => !isRead(row)) || {}).station;
  const at = { key: SHEET_STEP, draft, step, words: sheet.words, length: sheet.data.job.length, depends: new Set(), again: () => sheet.draw(), keep: () => sheet.keepDrafts() };
  return h("section", { class: "panel" }, ask(step.ground, at),
    h("ul", { class: "rows" }, step.homes.map((row) => homeRow(row, row.station === current, { step, sheet, draft, tests }))));
}

/** The newest test of each station on this sheet that was not taken back. */
function testsOf(sheet) {
  const things = recorded(sheet.data, sheet.queue).filter((thing) => thing.kind === "reading" && thing.body.kind === "loop" && !thing.isVoid && thing.state !== "refused" && thing.answer !== "refused");
  return new Map(things.map((thing) => [thing.body.station, thing]));
}

function homeRow(row, isCurrent, all) {
  const { step, sheet, draft, tests } = all;
  const thing = tests.get(row.station);
  const said = thing ? saidHere(row, thing, step) : { words: row.said, isSound: row.is_sound, next: row.next };
  const open = () => { draft.at = row.station; sheet.keepDrafts(); sheet.draw(); };
  const read = h("button", { type: "button", class: "quiet tap", click: open }, thing || row.said ? step.words.again : step.words.read);
  return h("li", { id: `home-${row.station}` }, h("b", {}, row.name), h("span", { class: "soft" }, [row.title, row.box].filter(Boolean).join(", ")),
    said.words ? h("p", { class: "told" }, said.words) : null,
    said.next ? h("p", {}, said.next) : null,
    said.isSound ? lead(row, step, sheet) : null,
    isCurrent ? form(row, all) : h("div", { class: "taps" }, read));
}

/** What this phone says of a test of its own; once newer data hold it, the server's words stand. */
function saidHere(row, thing, step) {
  if (!isPending(thing) && row.said) return { words: row.said, isSound: row.is_sound, next: row.next };
  const { value: ohms, is_open_apart: isOpen, across_ohms: across } = thing.body;
  const apart = isOpen === undefined ? "" : isOpen ? "open" : "closed";
  const found = verdictOf(row.bands, { ohms, apart, across }, step.open_ohms);
  const shown = ohms >= step.open_ohms ? step.words.open : `${ohms} Ω`;
  const words = found ? fill(step.words[found.verdict], found.percent) : step.words.later;
  return { words: `${shown}: ${words}`, isSound: Boolean(found) && found.verdict === "sound", next: "" };
}

function lead(row, step, sheet) {
  const led = recorded(sheet.data, sheet.queue).some((thing) => thing.kind === "home" && thing.body.station === row.station && thing.state !== "refused" && thing.answer !== "refused");
  if (led) return h("p", {}, step.words.led);
  const go = () => sheet.add("home", { station: row.station }, `${row.name}: ${step.words.home}`);
  return h("div", { class: "taps" }, h("button", { type: "button", class: "tap", click: go }, step.words.home));
}

function form(row, { step, sheet, draft, tests }) {
  const { words } = step;
  const typed = (draft.forms[row.station] ||= {});
  const set = (name, value) => () => { typed[name] = typed[name] === value ? "" : value; sheet.keepDrafts(); sheet.draw(); };
  const taps = (title, name, pairs, chosen) => h("div", { class: "ask" }, h("fieldset", {}, h("legend", {}, title),
    h("div", { class: "taps" }, pairs.map(([value, label]) => h("button", { type: "button", class: value === chosen ? "tap" : "tap quiet", "aria-pressed": String(value === chosen), click: set(name, value) }, label)))));
  const number = (name, label) => {
    const id = `home-${row.station}-${name}`;
    const keep = (event) => { typed[name] = event.target.value; sheet.keepDrafts(); };
    return [h("label", { for: id }, label), h("input", { id, type: "text", inputmode: "decimal", autocomplete: "off", value: typed[name] ?? "", input: keep })];
  };
  const wrong = h("p", { class: "error", role: "alert" });
  const send = (ohms) => keepTest({ row, ohms, typed, step, sheet, draft, tests, wrong });
  const submit = (event) => {
    event.preventDefault();
    const ohms = parse(typed.value);
    if (ohms === null || Number.isNaN(ohms) || ohms < 0) wrong.textContent = fill(sheet.words.not_a_number, words.value);
    else send(ohms);
  };
  return h("form", { submit, novalidate: true },
    row.expected ? h("p", { class: "soft" }, fill(words.expected, row.expected)) : null,
    taps(words.apart, "apart", [["open", words.apart_open], ["closed", words.apart_closed]], typed.apart),
    taps(words.how, "how", [["", words.joined], ["across", words.across]], typed.how || ""),
    typed.how === "across" ? h("div", { class: "ask" }, number("coil", words.coil)) : null,
    h("div", { class: "ask" }, number("value", words.value)),
    wrong,
    h("div", { class: "taps" }, h("button", { type: "submit", class: "tap" }, words.keep), h("button", { type: "button", class: "tap quiet", click: () => send(step.open_ohms) }, words.open)));
}

async function keepTest({ row, ohms, typed, step, sheet, draft, tests, wrong }) {
  const coil = typed.how === "across" ? parse(typed.coil) : null;
  if (typed.how === "across" && !(coil > 0)) { wrong.textContent = fill(sheet.words.not_a_number, step.words.coil); return; }
  const warmth = parse(draft[step.ground.name]);
  if (Number.isNaN(warmth)) { wrong.textContent = fill(sheet.words.not_a_number, step.ground.label); return; }
  const body = { kind: "loop", station: row.station, value: ohms };
  if (typed.apart) body.is_open_apart = typed.apart === "open";
  if (coil) body.across_ohms = coil;
  if (warmth !== null) body[step.ground.name] = warmth;
  const shown = ohms >= step.open_ohms ? step.words.open : `${ohms} Ω`;
  delete draft.forms[row.station];
  // On to the next one on the way that was not read yet.
  const after = step.homes.slice(step.homes.indexOf(row) + 1);
  const next = after.find((each) => !each.is_read && !tests.has(each.station));
  draft.at = next ? next.station : null;
  await sheet.add("reading", body, fill(step.words.title, { station: row.name, ohms: shown }));
  const place = next && document.getElementById(`home-${next.station}`);
  if (place) place.scrollIntoView({ block: "center" });
}
