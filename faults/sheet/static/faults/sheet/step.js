// One step of a sheet: cautions, what to know, lists to tick, rows to tap, and forms, question by
// question. What is half typed is kept.

import { lastTapped, recorded } from "./keep.js";
import { fill, h, later } from "./view.js";

// Legs with less are not named before the others, nor are more than these.
const LIKELY = 0.05, MOST_LIKELY = 4;

/** An answer that cannot be: its message names the question. */
export class NotAnAnswer extends Error {}

/**
 * @param {any} field as the server described it
 * @param {any} at {words, draft, keep(), step, again()}: `draft` holds what was typed so far
 */
export function ask(field, at) {
  if (field.value !== undefined && !(field.name in at.draft)) at.draft[field.name] = shown(field);
  const drawn = (DRAW[field.type] || DRAW.text)(field, at);
  return h("div", { class: `ask ask-${field.type}` }, drawn);
}

function shown(field) {
  if (field.value === null) return "";
  return field.factor && field.factor !== 1 ? String(Math.round((field.value / field.factor) * 10) / 10) : field.value;
}

const idOf = (field, at) => `${at.key}-${field.name}`;
const label = (field, at) => h("label", { for: idOf(field, at) }, field.label, field.unit ? `, ${field.unit}` : "");

function input(field, at, props) {
  const set = (event) => { at.draft[field.name] = event.target.value; at.keep(); };
  return h("input", { id: idOf(field, at), name: field.name, autocomplete: "off", value: at.draft[field.name] ?? "", input: set, ...props });
}

const DRAW = {
  text: (field, at) => [label(field, at), input(field, at, { type: "text", maxlength: field.most })],
  day: (field, at) => [label(field, at), input(field, at, { type: "date" })],
  time: (field, at) => [label(field, at), input(field, at, { type: "time" })],
  number: (field, at) => [label(field, at), numberLine(field, at), field.helper ? later(import("./depth.js"), ({ depthHelper }) => depthHelper(field, at)) : null],
  tick: (field, at) => h("label", { class: "big" }, box(field, at, "checkbox", true, at.draft[field.name] === true), h("span", {}, field.label)),
  choice: (field, at) => group(field, at, "radio", field.options),
  choices: (field, at) => group(field, at, "checkbox", field.options),
  leg: (field, at) => legChoice(field, at),
  end: (field, at) => ofLeg(at, (leg) => group(field, at, "radio", leg.ends, leg.ends[0][0])),
  wires: (field, at) => ofLeg(at, (leg) => {
    if (!(field.name in at.draft)) at.draft[field.name] = leg.wires.filter((wire) => wire[2]).map((wire) => wire[0]);
    return leg.wires.length ? group(field, at, "checkbox", leg.wires) : null;
  }),
  photo: (field, at) => later(import("./photo.js"), ({ takePicture }) => takePicture(field, at)),
  position: (field, at) => later(import("./position.js"), ({ takePosition }) => takePosition(field, at)),
};

function numberLine(field, at) {
  const line = [input(field, at, { type: "text", inputmode: "decimal" })];
  if (field.open_word) {
    const open = () => { at.draft[field.name] = String(field.open); at.keep(); at.again(); };
    line.push(h("button", { type: "button", class: "quiet", click: open }, field.open_word));
  }
  return h("div", { class: "in-line" }, line);
}

function box(field, at, type, value, checked) {
  const set = (event) => {
    if (type === "radio") at.draft[field.name] = value;
    else if (field.type === "tick") at.draft[field.name] = event.target.checked;
    else at.draft[field.name] = toggled(at.draft[field.name] || [], value, event.target.checked);
    at.keep();
    if (at.depends.has(field.name)) at.again();
  };
  return h("input", { type, name: idOf(field, at), value: String(value), checked, change: set });
}

const toggled = (values, value, isIn) => (isIn ? [...values, value] : values.filter((each) => each !== value));

function group(field, at, type, options, first) {
  if (type === "radio" && first !== undefined && !(field.name in at.draft)) at.draft[field.name] = first;
  const chosen = at.draft[field.name];
  const isChosen = (value) => (Array.isArray(chosen) ? chosen.includes(value) : chosen === value);
  const each = options.map(([value, words]) => h("label", { class: "big" }, box(field, at, type, value, isChosen(value)), h("span", {}, words)));
  return h("fieldset", {}, h("legend", {}, field.label), h("div", { class: "bigs" }, each));
}

function legChoice(field, at) {
  const set = (event) => {
    at.draft.leg = Number(event.target.value) || "";
    for (const name of ["from_point", "wires"]) delete at.draft[name];
    at.keep();
    at.again();
  };
  const option = (leg) => h("option", { value: leg.id, selected: at.draft.leg === leg.id }, `${leg.name}, ${leg.length}`);
  const first = likeliest(at), rest = at.step.legs.filter((leg) => !first.includes(leg));
  const groups = first.length
    ? [[at.words.likeliest, first], [at.words.other_legs, rest]].filter(([, legs]) => legs.length).map(([words, legs]) => h("optgroup", { label: words }, legs.map(option)))
    : rest.map(option);
  return [label(field, at), h("select", { id: idOf(field, at), change: set }, h("option", { value: "" }, at.words.no_leg), groups)];
}

/** The few legs on which the search, as it was seen last, believes the most. */
function likeliest(at) {
  const mass = new Map();
  for (const legs of Object.values(at.likely || {})) for (const [leg, share] of legs) mass.set(leg, Math.max(share, mass.get(leg) || 0));
  const of = (leg) => mass.get(leg.id) || 0;
  return at.step.legs.filter((leg) => of(leg) >= LIKELY).sort((a, b) => of(b) - of(a)).slice(0, MOST_LIKELY);
}

function ofLeg(at, draw) {
  const leg = at.step.legs.find((each) => each.id === at.draft.leg);
  return leg ? draw(leg) : null;
}

/** Read what was typed: a comma is as good as a point. Empty = null, nonsense = NaN. */
export function parse(typed) {
  const text = String(typed ?? "").trim().replace(",", ".");
  if (!text) return null;
  return /^-?\d*\.?\d+$/.test(text) ? Number(text) : NaN;
}

/** Return the body of a thing from what was typed, or throw what is wrong with it. */
export function read(fields, draft, words) {
  const body = {};
  for (const field of fields) {
    const value = answerOf(field, draft, words);
    const isEmpty = value === null || value === "" || value === false || (Array.isArray(value) && !value.length);
    if (field.required && isEmpty && !String(draft[field.instead] ?? "").trim()) throw new NotAnAnswer(fill(words.needed, field.label));
    if (field.type === "position") Object.assign(body, value || {});
    else if (!isEmpty) body[field.name] = value;
    else if (field.type === "tick") body[field.name] = false;
  }
  return body;
}

function answerOf(field, draft, words) {
  const typed = draft[field.name] ?? null;
  if (field.type !== "number") return typed;
  const value = parse(typed);
  if (Number.isNaN(value)) throw new NotAnAnswer(fill(words.not_a_number, field.label));
  return value === null ? null : value * (field.factor || 1);
}

/** @param {any} step @param {any} sheet the open sheet: data, words, state, queue, drafts, add() */
export function drawStep(step, sheet) {
  return [
    cautions(step, sheet),
    step.lead ? h("p", {}, step.lead) : null,
    step.parts ? h("p", {}, h("b", {}, step.parts)) : null,
    step.lines ? h("ul", { class: "lines" }, step.lines.map(line)) : null,
    (step.lists || []).map((list) => drawList(list, step, sheet)),
    step.forms_first ? forms(step, sheet) : null,
    part("left", step, sheet),
    step.stations ? stationRows(step, sheet) : null,
    part("homes", step, sheet),
    (step.facts || []).map(facts),
    part("boxes", step, sheet),
    part("photos", step, sheet),
    step.devices ? rows(step, sheet, "devices", deviceRow) : null,
    step.forms_first ? null : forms(step, sheet),
  ];
}

/** Open until they were read and folded, on this phone. */
function cautions(step, sheet) {
  if (!step.cautions) return null;
  const folded = (sheet.drafts.folded ||= {});
  const keep = ({ target }) => {
    if (Boolean(folded[step.id]) === !target.open) return; // it was only drawn so
    folded[step.id] = !target.open;
    sheet.keepDrafts();
  };
  return h("details", { class: "cautions", open: !folded[step.id], toggle: keep }, h("summary", {}, sheet.words.cautions),
    step.cautions.map((words) => h("p", { class: "caution" }, words)));
}

const forms = (step, sheet) => (step.forms || []).map((form, n) => drawForm(form, n, step, sheet));

const line = ({ name, state, word, words }) =>
  h("li", { class: state }, h("b", {}, name), `: ${word}`, words ? `. ${words}` : "");

function drawList(list, step, sheet) {
  const draft = sheet.draft(`${step.id}-${list.list}`);
  const toggle = (key) => (event) => { draft[key] = event.target.checked; sheet.keepDrafts(); };
  const ticks = list.ticks.map(([key, words]) =>
    h("label", { class: "big" }, h("input", { type: "checkbox", checked: draft[key] === true, change: toggle(key) }), h("span", {}, words)));
  const keep = () => sheet.add("looked", { list: list.list, done: list.ticks.map(([key]) => key).filter((key) => draft[key]) }, list.title);
  return h("section", { class: "panel" }, h("h3", {}, list.title), h("div", { class: "bigs" }, ticks),
    h("button", { type: "button", click: keep }, list.button));
}

const PARTS = {
  left: () => import("./left.js").then((made) => made.drawLeft),
  homes: () => import("./home.js").then((made) => made.drawHomes),
  boxes: () => import("./boxes.js").then((made) => made.drawBoxes),
  photos: () => import("./boxes.js").then((made) => made.drawPhotos),
};
const drawn = {};

/** What few steps have: its module comes with the step. */
function part(name, step, sheet) {
  if (!step[name]) return null;
  if (drawn[name]) return drawn[name](step, sheet);
  PARTS[name]().then((draw) => { drawn[name] = draw; sheet.draw({ gently: true }); });
  return h("p", { class: "remark" }, "…");
}

/** What is known: whom to call is a tap. */
const facts = ({ title, rows: known }) => h("section", { class: "panel" }, h("h3", {}, title),
  h("dl", { class: "facts" }, known.map(([name, words, href]) => [h("dt", {}, name), h("dd", {}, href ? h("a", { href }, words) : words)])));

/** Stations by controller, and one tap for all that nobody has said anything of. */
function stationRows(step, sheet) {
  const known = (row) => lastTapped(sheet.data, sheet.queue, "walk", "station", row) || row.seen;
  const left = step.stations.filter((row) => !known(row));
  const all = async () => { for (const row of left) await sheet.add("walk", { station: row.station, result: step.all_run[0] }, `${row.name}: ${step.all_run[1]}`); };
  const clocks = new Map();
  for (const row of step.stations) clocks.set(row.clock, [...(clocks.get(row.clock) || []), row]);
  return h("section", { class: "panel" }, h("h3", {}, step.stations_title),
    step.all_run && left.length > 1 ? h("div", { class: "taps" }, h("button", { type: "button", class: "tap quiet all-run", click: all }, fill(step.all_run[2], left.length))) : null,
    [...clocks].map(([clock, several]) => [clocks.size > 1 ? h("h4", {}, clock) : null, h("ul", { class: "rows" }, several.map((row) => stationRow(row, step, sheet)))]));
}

function rows(step, sheet, name, draw) {
  return h("section", { class: "panel" }, h("h3", {}, step[`${name}_title`]), h("ul", { class: "rows" }, step[name].map((row) => draw(row, step, sheet))));
}

/** One tap says what a station did; another tap puts it right. */
function stationRow(row, step, sheet) {
  const last = lastTapped(sheet.data, sheet.queue, "walk", "station", row);
  const now = last ? last.body.result : row.seen;
  const buttons = step.results.map(([value, words]) =>
    h("button", { type: "button", class: value === now ? "tap" : "tap quiet", "aria-pressed": String(value === now),
      click: () => sheet.add("walk", { station: row.station, result: value }, `${row.name}: ${words}`) }, words));
  return h("li", { id: `station-${row.station}` }, h("b", {}, row.name), h("div", { class: "taps", role: "group", "aria-label": row.name }, buttons));
}

function deviceRow(row, step, sheet) {
  const last = lastTapped(sheet.data, sheet.queue, "battery", "device", row);
  const tap = () => sheet.add("battery", { device: row.device }, `${row.name}: ${sheet.words.timer_set}`);
  const button = h("button", { type: "button", class: last ? "tap" : "tap quiet", "aria-pressed": String(Boolean(last)), click: tap }, sheet.words.timer_set);
  const known = [row.due, row.changed_on, row.kind].filter(Boolean).join(", ");
  return h("li", { id: `device-${row.device}` }, h("b", {}, row.name), h("span", { class: "soft" }, known), h("div", { class: "taps" }, button), last ? oldSet(row, last, step, sheet) : null);
}

/** How the set was that came out: one tap more, from which the life of its kind is learned. */
function oldSet(row, last, step, sheet) {
  const taps = step.old_sets.map(([value, word]) => h("button", { type: "button", class: value === last.body.found ? "tap" : "tap quiet", "aria-pressed": String(value === last.body.found),
    click: () => sheet.add("battery", { device: row.device, found: value }, `${row.name}: ${step.old_set} ${word}`) }, word));
  return h("div", { role: "group", "aria-label": `${row.name}: ${step.old_set}` }, h("span", { class: "soft" }, step.old_set), h("div", { class: "taps" }, taps));
}

/** Stations of the fault from which a form leads on; null where the form is for no stage. */
function leading(form, sheet) {
  if (!form.starts) return null;
  return [...sheet.state.stages].filter(([, stage]) => form.starts.includes(stage)).map(([row]) => row);
}

export function drawForm(form, n, step, sheet) {
  const moving = leading(form, sheet);
  const isHere = (!moving || moving.length) && (!form.states || form.states.includes(sheet.state.jobState));
  if (!isHere) return form.none ? h("section", { class: "panel" }, h("h3", {}, form.title), h("p", {}, form.none)) : null;
  if (form.of_break && !sheet.state.ofBreak) return null;
  const key = `${step.id}-${n}`;
  const draft = sheet.draft(key);
  const fields = form.fields.filter((field) => isAsked(field, draft, moving));
  const depends = new Set(form.fields.flatMap((field) => Object.keys(field.only || {})));
  const again = () => sheet.draw();
  const at = { key, draft, step, likely: sheet.likely, words: sheet.words, length: sheet.data.job.length, depends, again, keep: () => sheet.keepDrafts() };
  for (const field of fields) if (field.elapsed && !(field.name in draft)) draft[field.name] = elapsed(sheet);
  // Kept beside the draft: an answer of the server draws the step again, and it must not go with that.
  const wrong = h("p", { class: "error", role: "alert" }, sheet.errors.get(key));
  const send = async (event) => {
    event.preventDefault();
    sheet.errors.delete(key);
    try {
      const body = { ...read(fields, draft, sheet.words), ...form.body, ...(form.of_break ? sheet.state.ofBreak : {}), ...(moving ? { stations: moving } : {}) };
      refuseUndug(fields, body, sheet);
      if (form.keep) { await form.keep(body); delete sheet.drafts.forms[key]; sheet.keepDrafts(); sheet.draw(); }
      else await sheet.add(form.kind, body, titleOf(form, body, step), key);
    } catch (problem) {
      if (!(problem instanceof NotAnAnswer)) throw problem;
      sheet.errors.set(key, problem.message);
      wrong.textContent = problem.message;
    }
  };
  const made = h("form", { submit: send, novalidate: true }, form.note ? h("p", { class: "soft" }, form.note) : null,
    fields.map((field) => ask(field, at)), wrong, h("button", { type: "submit" }, form.button));
  // An empty form looks as if nothing had been kept: what was stands below it.
  const isKept = !form.keep && recorded(sheet.data, sheet.queue).some((thing) => thing.kind === form.kind);
  const kept = isKept && later(import("./typed.js"), ({ keptHere }) => keptHere(form, step, sheet));
  if (form.folded) return h("details", { class: "panel folded" }, h("summary", {}, form.title), made, kept);
  if (!form.title) return made;
  return h("section", { class: form.row ? "panel row" : "panel", id: form.row ? `station-${form.body.station}` : null }, h("h3", {}, form.title), made, kept);
}

/** What is kept, in words; where they cannot be had, the form's name: nothing waits for them. */
const titleOf = (form, body, step) => import("./typed.js").then((made) => made.titleOf(form, body, step), () => form.said || form.title);

/** What says that nothing was dug cannot be where a break lies in the ground: the server's words. */
function refuseUndug(fields, body, sheet) {
  const wrong = fields.find(({ name, undug }) => undug && body[name] === undug[0] && sheet.state.groundOpened);
  if (wrong) throw new NotAnAnswer(wrong.undug[1]);
}

function isAsked(field, draft, moving) {
  if (field.row && moving && !field.row.some((row) => moving.includes(row))) return false;
  return Object.entries(field.only || {}).every(([name, values]) => values.includes(draft[name]));
}

function elapsed(sheet) {
  const minutes = Math.round((Date.now() - new Date(sheet.state.startedAt).getTime()) / 60000);
  return String(minutes > 0 && minutes < 720 ? minutes : sheet.data.job.minutes);
}
