// One step of a sheet: cautions, what to know, lists to tick, rows to tap, forms.

import { NotAnAnswer, ask, read } from "./fields.js";
import { lastTapped } from "./state.js";
import { h } from "./view.js";

/** @param {any} step @param {any} sheet the open sheet: data, words, state, queue, drafts, add() */
export function drawStep(step, sheet) {
  return [
    (step.cautions || []).map((words) => h("p", { class: "caution" }, words)),
    step.lead ? h("p", {}, step.lead) : null,
    step.parts ? h("p", {}, h("b", {}, step.parts)) : null,
    step.lines ? h("ul", { class: "lines" }, step.lines.map(line)) : null,
    (step.lists || []).map((list) => drawList(list, step, sheet)),
    step.stations ? rows(step, sheet, "stations", stationRow) : null,
    step.devices ? rows(step, sheet, "devices", deviceRow) : null,
    (step.forms || []).map((form, n) => drawForm(form, n, step, sheet)),
  ];
}

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
  return h("li", {}, h("b", {}, row.name), h("div", { class: "taps", role: "group", "aria-label": row.name }, buttons));
}

function deviceRow(row, _step, sheet) {
  const last = lastTapped(sheet.data, sheet.queue, "battery", "device", row);
  const tap = () => sheet.add("battery", { device: row.device }, `${row.name}: ${sheet.words.timer_set}`);
  const button = h("button", { type: "button", class: last ? "tap" : "tap quiet", "aria-pressed": String(Boolean(last)), click: tap }, sheet.words.timer_set);
  const known = [row.changed_on, row.kind].filter(Boolean).join(", ");
  return h("li", {}, h("b", {}, row.name), h("span", { class: "soft" }, known), h("div", { class: "taps" }, button));
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
  const at = { key, draft, step, words: sheet.words, isMetric: sheet.data.job.units !== "us", depends, again, keep: () => sheet.keepDrafts() };
  for (const field of fields) if (field.elapsed && !(field.name in draft)) draft[field.name] = elapsed(sheet);
  const wrong = h("p", { class: "error", role: "alert" });
  const send = async (event) => {
    event.preventDefault();
    try {
      const body = { ...read(fields, draft, sheet.words), ...form.body, ...(form.of_break ? sheet.state.ofBreak : {}), ...(moving ? { stations: moving } : {}) };
      if (form.keep) { delete sheet.drafts.forms[key]; await form.keep(body); }
      else await sheet.add(form.kind, body, form.said || form.title, key);
    } catch (problem) {
      if (!(problem instanceof NotAnAnswer)) throw problem;
      wrong.textContent = problem.message;
    }
  };
  const made = h("form", { submit: send, novalidate: true }, form.note ? h("p", { class: "soft" }, form.note) : null,
    fields.map((field) => ask(field, at)), wrong, h("button", { type: "submit" }, form.button));
  if (form.folded) return h("details", { class: "panel folded" }, h("summary", {}, form.title), made);
  if (!form.title) return made;
  return h("section", { class: form.row ? "panel row" : "panel" }, h("h3", {}, form.title), made);
}

function isAsked(field, draft, moving) {
  if (field.row !== undefined && moving && !moving.includes(field.row)) return false;
  return Object.entries(field.only || {}).every(([name, values]) => values.includes(draft[name]));
}

function elapsed(sheet) {
  const minutes = Math.round((Date.now() - new Date(sheet.state.startedAt).getTime()) / 60000);
  return String(minutes > 0 && minutes < 720 ? minutes : sheet.data.job.minutes);
}

/** What was recorded, in words: the list that everybody can look back at. */
export function drawRecorded(things, sheet) {
  if (!things.length) return h("p", {}, sheet.words.nothing_kept);
  const { words } = sheet;
  return h("ol", { class: "recorded" }, things.map((thing) => {
    const how = thing.state ? words[thing.state === "waiting" ? "waiting" : "not_kept"] : thing.answer === "accepted" ? words.sent : words.not_kept;
    const title = thing.title || sheet.data.kinds[thing.kind] || thing.kind;
    return h("li", { class: thing.isVoid ? "struck" : "" }, h("time", {}, new Date(thing.at).toTimeString().slice(0, 5)), ` ${title} `,
      h("span", { class: "soft" }, thing.isVoid ? `(${words.struck}, ${how})` : `(${how})`));
  }));
}
