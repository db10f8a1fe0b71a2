// The plain form of a search, checked and counted: points and legs by their place on the line.
// Follows faults/locating/engines/plain.py and plain_words.py.
import { assumedOf } from "./assumptions.js";
import { UnusablePlain } from "./errors.js";
import { SPLICE_SHARE, lineOf } from "./line.js";
import { SYMPTOMS, forSymptom, toolsFor } from "./symptoms.js";

const SIDES = { point: "box", controller_bad: "flag?", valve_bad: "flag?", runs: "flag?" };
const WAY = { point: "point", to_point: "point" };

/** What each kind of reading says, by name. */
const READINGS = {
  box: SIDES,
  listened: { point: "box", heard: "flag" },
  "tone walked": { ...WAY, conductor: "conductor" },
  "tone level": { third: "third", from_valve: "flag=" },
  distance: { feet: "number", from_valve: "flag=", sd_ft: "number?", sd_share: "number?" },
  bypass: { leg: "leg", works: "flag" },
  check: { check: "check", is_right: "flag" },
  gradient: { feet: "number" },
  "gradient walked": WAY,
  clamp: { point: "point", flows: "flag" },
  insulation: SIDES,
  spare: { works: "flag" },
};
const MARKED_LEVEL = {
  level: "number", at_transmitter: "number", on_sound_wire: "number", from_valve: "flag=",
};
const STAND = {
  at: "point", open_box: "point?", tone_from: "point?", tone_on: "conductor",
};
// What is at hand where the search does not say.
const TOOLS = { tone: true, may_cut: true };

const isNothing = (value) => value === null || value === undefined;

function refuse(what, name, value) {
  const written = isNothing(value) ? "nothing" : JSON.stringify(value);
  throw new UnusablePlain(`Expected ${what} as ${name}, got ${written}`);
}

/** How a value of each type is read; a type with "?" may be nothing, with "=" is false then. */
const TYPES = {
  flag: (value, name) =>
    (typeof value === "boolean" ? value : refuse("true or false", name, value)),
  number: (value, name) => (Number.isFinite(value) ? value : refuse("a number", name, value)),
  point: (value, name, ids) => placeOf(ids.points, value, name),
  leg: (value, name, ids) => placeOf(ids.legs, value, name),
  box: (value, name, ids) => {
    const at = placeOf(ids.points, value, name);
    return at > 0 && at < ids.points.length - 1 ? at : refuse("a box", name, value);
  },
  conductor: (value = "hot", name) => oneOf(["hot", "common", "bundle"], value, name),
  check: (value, name) => oneOf(["output", "common", "coil", "water"], value, name),
  third: (value, name) => oneOf(["low", "middle", "top"], value, name),
};

function placeOf(ids, id, name) {
  const found = ids.indexOf(id);
  return found < 0 ? refuse("a point or leg of this wire", name, id) : found;
}

function oneOf(words, value, name) {
  return words.includes(value) ? value : refuse(`one of ${words.join(", ")}`, name, value);
}

function read(layout, given, ids) {
  return Object.fromEntries(Object.entries(layout).map(([name, type]) => {
    const value = given[name];
    if (isNothing(value) && type.endsWith("?")) return [name, null];
    if (value === undefined && type.endsWith("=")) return [name, false];
    return [name, TYPES[type.replace(/[?=]$/, "")](value, name, ids)];
  }));
}

function readingOf(given, ids) {
  const layout = given.kind === "tone level" && isNothing(given.third)
    ? MARKED_LEVEL
    : Object.hasOwn(READINGS, given.kind) && READINGS[given.kind];
  if (!layout) refuse(`one of ${Object.keys(READINGS).join(", ")}`, "kind", given.kind);
  return { kind: given.kind, ...read(layout, given, ids) };
}

/**
 * The readings, each box that was left marked as respliced without a cure: a search that went on
 * elsewhere says that the station did not run.
 */
function goneOn(readings) {
  return readings.map((each, i) => {
    const next = readings[i + 1];
    if (!("runs" in each) || each.runs !== null || !next) return each;
    const isStillThere = "runs" in next && next.point === each.point;
    return isStillThere ? each : { ...each, runs: false };
  });
}

/**
 * @param {object} plain a search
 * @returns {Search}
 */
export function searchOf(plain) {
  const { line: given, symptom } = plain;
  const line = lineOf(given);
  const ids = { points: given.points, legs: given.legs.map((leg) => leg.id) };
  if (ids.points.length !== line.legs.length + 1) {
    refuse(`${line.legs.length + 1} points for the legs`, "points", ids.points.length);
  }
  for (const { joint } of line.boxes) oneOf(Object.keys(SPLICE_SHARE), joint, "joint");
  oneOf(SYMPTOMS, symptom, "symptom");
  const soilIsDry = plain.soil_is_dry ?? false;
  return {
    line,
    ids,
    soilIsDry,
    neighbours: (plain.neighbours ?? []).map((each) => ({ shares: [], common: [], ...each })),
    assumed: forSymptom(assumedOf(plain.assumed), symptom, soilIsDry),
    tools: toolsFor({ ...TOOLS, ...plain.tools }, symptom),
    readings: goneOn(
      plain.readings.filter((each) => !each.voided).map((each) => readingOf(each, ids)),
    ),
  };
}

/**
 * @param {object} plain where the technician stands
 * @param {Ids} ids
 * @returns {Stand}
 */
export function standOf(plain, ids) {
  const { at, open_box: openBox, tone_from: toneFrom, tone_on: toneOn } = read(STAND, plain, ids);
  return { at, openBox, toneFrom, toneOn };
}

/** An action with its points and its leg named again. @param {object} action */
export function named(action, { points, legs }) {
  const result = { ...action };
  for (const name of ["point", "to_point"]) {
    if (name in action) result[name] = points[action[name]];
  }
  if ("leg" in action) result.leg = legs[action.leg];
  return result;
}
