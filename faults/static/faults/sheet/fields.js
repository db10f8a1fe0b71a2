// One question of a form: how it is drawn, and how its answer is read. What is half typed is kept.

import { fill, h, later } from "./view.js";

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
  const legs = at.step.legs.map((leg) => h("option", { value: leg.id, selected: at.draft.leg === leg.id }, `${leg.name}, ${leg.length}`));
  return [label(field, at), h("select", { id: idOf(field, at), change: set }, h("option", { value: "" }, at.words.no_leg), legs)];
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
    if (field.required && isEmpty) throw new NotAnAnswer(fill(words.needed, field.label));
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
