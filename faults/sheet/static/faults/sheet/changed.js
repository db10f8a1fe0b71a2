// What changed on a sheet since this person last looked at it on this phone. New numbers of
// stations are said before the next tap: a thumb remembers where a station stood.

import { getFrom, putInto } from "./keep.js";
import { fill, h } from "./view.js";

const OF_JOB = ["title", "place", "address", "day", "starts_at", "crew", "held", "summary", "notes"];

/**
 * What stands on a sheet, as [name, words] by a key that outlives its words.
 * @param {any} data the sheet @returns {Map<string, string[]>}
 */
export function marksOf(data) {
  const marks = new Map(OF_JOB.map((name) => [`job ${name}`, [data.words[`of_${name}`], data.job[name] || ""]]));
  const put = (key, name, words) => {
    let n = 1;
    while (marks.has(`${key} ${n}`)) n += 1;
    marks.set(`${key} ${n}`, [name, words]);
  };
  // What a visit itself changes tells nothing once it has begun.
  const isBefore = data.job.state === "planned";
  for (const step of data.steps) {
    for (const { title, rows, is_visits } of step.facts || []) {
      if (is_visits && !isBefore) continue;
      for (const [name, words] of rows) put(`${is_visits ? "line" : "fact"} ${title} ${name}`, `${title}, ${name}`, words);
    }
    for (const box of step.boxes || []) put(`box ${box.name}`, box.name, [box.words, ...box.ties].filter(Boolean).join("; "));
    if (isBefore) for (const line of step.lines || []) put(`line ${line.name}`, line.name, [line.word, line.words].filter(Boolean).join(". "));
  }
  for (const [station, name] of stationsIn(data)) marks.set(`station ${station}`, ["", name]);
  return marks;
}

/** The stations that a sheet names, wherever it does. */
function stationsIn(value, found = new Map()) {
  if (Array.isArray(value)) for (const each of value) stationsIn(each, found);
  else if (value && typeof value === "object") {
    if (typeof value.station === "number" && typeof value.name === "string") found.set(value.station, value.name);
    for (const each of Object.values(value)) if (each && typeof each === "object") stationsIn(each, found);
  }
  return found;
}

/** @returns {{renumbered: string[], others: string[]}} in words */
export function difference(before, now, words) {
  const changes = { renumbered: [], others: [] };
  const inWords = ([name, text]) => (name && text ? `${name}: ${text}` : name || text);
  for (const [key, mark] of now) {
    const old = before.get(key);
    if (old && old[1] === mark[1]) continue;
    if (key.startsWith("station ")) {
      if (old) changes.renumbered.push(fill(words.is_now, { old: old[1], now: mark[1] }));
    } else if (old && old[1]) changes.others.push(fill(words.was, { now: inWords(mark) || "–", old: old[1] }));
    else if (mark[1]) changes.others.push(fill(words.is_new, inWords(mark)));
  }
  for (const [key, old] of before) {
    if (!now.has(key) && old[1] && !/^(station|line) /.test(key)) changes.others.push(fill(words.is_gone, inWords(old)));
  }
  return changes;
}

/** Compare with what this person saw last; what was never looked at has not changed. */
export async function noteChanges(sheet) {
  const key = `looked ${sheet.data.job.ref}`;
  const now = marksOf(sheet.data);
  const before = await getFrom(sheet.base, "kept", key);
  const changes = before ? difference(before, now, sheet.words) : null;
  const isChanged = changes && (changes.renumbered.length || changes.others.length);
  const seen = async () => {
    await putInto(sheet.base, "kept", now, key);
    sheet.drawChanges = null;
    sheet.draw();
  };
  if (!isChanged) {
    await putInto(sheet.base, "kept", now, key);
    sheet.drawChanges = null;
    return;
  }
  sheet.drawChanges = () => panel(changes, seen, sheet);
  if (changes.renumbered.length) say(changes.renumbered, seen, sheet);
}

function panel({ renumbered, others }, seen, { words }) {
  return h("section", { class: "panel changed", role: "status" }, h("h3", {}, words.changed),
    h("ul", { class: "lines" }, [...renumbered, ...others].map((each) => h("li", {}, each))),
    h("button", { type: "button", class: "tap", click: seen }, words.seen));
}

/** Over everything: no row can be tapped by its old number. */
function say(renumbered, seen, { words }) {
  document.getElementById("renumbered")?.remove();
  const box = h("dialog", { id: "renumbered", "aria-labelledby": "renumbered-title" },
    h("h3", { id: "renumbered-title" }, words.renumbered), h("ul", {}, renumbered.map((each) => h("li", {}, each))),
    h("button", { type: "button", class: "tap", click: () => { box.remove(); seen(); } }, words.seen));
  box.addEventListener("close", () => box.remove());
  document.body.append(box);
  box.showModal();
}
