// What was recorded, in words: of a form the answers, of a search the test and what it said.

import { isBack, isPending, recorded } from "./keep.js";
import { formOf, h } from "./view.js";

const MOST_SHOWN = 3;
const LONGEST = 140;

const wordOf = (options, value) => (options || []).find(([each]) => each === value)?.[1];

/** One answer in words, empty where nothing was said or it says nothing to a reader. */
function answer(field, value, legs, isFirst) {
  if (value === undefined || value === null || value === "" || value === false) return "";
  switch (field.type) {
    case "choice": return wordOf(field.options, value) ?? "";
    case "choices": return value.map((each) => wordOf(field.options, each)).filter(Boolean).join(" + ");
    case "leg": return legs.find((leg) => leg.id === value)?.name ?? "";
    case "end": return `${field.label} ${wordOf(legs.flatMap((leg) => leg.ends), value) ?? "?"}`;
    case "tick": return field.label;
    case "number": return `${isFirst ? "" : `${field.label} `}${number(field, value)}`;
    case "text": case "day": case "time": return String(value);
    default: return "";
  }
}

function number(field, value) {
  if (field.open_word && value === field.open) return field.open_word;
  const shown = Math.round((value / (field.factor || 1)) * 100) / 100;
  return field.unit ? `${shown} ${field.unit}` : String(shown);
}

/** The answers of a form, in its order: "8.1 Ω", "D-03, Along the leg 40 ft, rodent". */
export function inWords(form, body, step) {
  const told = form.fields.map((field, n) => answer(field, body[field.name], step.legs || [], n === 0)).filter(Boolean).join(", ");
  return told.length > LONGEST ? `${told.slice(0, LONGEST - 1)}…` : told;
}

/** A form's name with the answers that were just given. */
export function titleOf(form, body, step) {
  const [name, told] = [form.said || form.title, inWords(form, body, step)];
  return name && told ? `${name}: ${told}` : name || told;
}

const holds = (body, given) => Object.entries(given).every(([name, value]) => body[name] === value);

/** Below a form that is empty again: what was kept with it, the newest first. */
export function keptHere(form, step, sheet) {
  const things = recorded(sheet.data, sheet.queue).filter((thing) => thing.kind === form.kind && !thing.isVoid && !isRefused(thing) && holds(thing.body, form.body || {}));
  const told = things.map((thing) => [thing, inWords(form, thing.body, step)]).filter(([, words]) => words);
  return told.slice(-MOST_SHOWN).reverse().map(([thing, words]) => h("p", { class: "kept-here" }, clock(thing), ` ${words} `, h("span", { class: "soft" }, `(${how(thing, sheet.words)})`)));
}

const isRefused = (thing) => (thing.state ? isBack(thing) : thing.answer !== "accepted");
const clock = (thing) => h("time", {}, new Date(thing.at).toTimeString().slice(0, 5));

function how(thing, words) {
  if (thing.state && isPending(thing)) return thing.state === "accepted" ? words.sent : words.waiting;
  return !thing.state && thing.answer === "accepted" ? words.sent : words.not_kept;
}

/** What is called after its kind alone says what it was, also once the phone has forgotten it. */
function nameOf(thing, { data }) {
  if (thing.title) return thing.title;
  if (thing.kind === "search test") return testOf(thing, data);
  const found = formOf(thing, data);
  const told = found && titleOf(found.form, thing.body, data.steps.find((step) => step.id === found.step));
  return told || data.kinds[thing.kind] || thing.kind;
}

/** A test of a search: as the server says it, or by the button that was tapped for it. */
function testOf({ id, kind, body }, { steps, kinds }) {
  const step = steps.find((each) => each.searches);
  const one = step?.searches.find((each) => each.station === body.station);
  if (one?.said?.[id]) return one.said[id];
  const results = Object.values({ ...step?.actions, ...one?.actions }).flatMap((each) => each.results);
  const tapped = results.find(([, said]) => said.kind && holds(body.said, said))?.[0];
  return [kinds[kind], one?.names?.[body.said.point], tapped].filter(Boolean).join(", ");
}

/** The list that everybody can look back at. */
export function drawRecorded(things, sheet) {
  const { words } = sheet;
  return h("ol", { class: "recorded" }, things.map((thing) =>
    h("li", { class: thing.isVoid ? "struck" : "" }, clock(thing), ` ${nameOf(thing, sheet)} `,
      h("span", { class: "soft" }, thing.isVoid ? `(${words.struck}, ${how(thing, words)})` : `(${how(thing, words)})`))));
}
