// The plain form of a search, checked and counted: points and legs by their place on the line.
// Follows faults/locating/engines/plain.py and plain_words.py.
import { assumedOf } from "./assumptions.js";
import {
  CHECKS, JOINT, NUMBER_OF, OTHERS_TELL_NOTHING, READINGS, STAND, SYMPTOM, TOOLS, WORDS,
} from "./data.js";
import { UnusablePlain } from "./errors.js";
import { lineOf } from "./line.js";
import { forSymptom, toolsFor } from "./symptoms.js";

const isNothing = (value) => value === null || value === undefined;

function refuse(what, name, value) {
  const written = isNothing(value) ? "nothing" : JSON.stringify(value);
  throw new UnusablePlain(`Expected ${what} as ${name}, got ${written}`);
}

/** How a value of each type is read. */
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
  conductor: (value, name) => oneOf(WORDS.conductor, value, name),
  check: (value, name) => oneOf(WORDS.check, value, name),
  joint: (value, name) => oneOf(WORDS.joint, value, name),
  wear: (value, name) => oneOf(WORDS.wear, value, name),
  ohms: (value, name) => oneOf(WORDS.ohms, value, name),
  third: (value, name) => oneOf(WORDS.third, value, name),
};

function placeOf(ids, id, name) {
  const found = ids.indexOf(id);
  return found < 0 ? refuse("a point or leg of this wire", name, id) : found;
}

function oneOf(words, value, name) {
  return words.includes(value) ? value : refuse(`one of ${words.join(", ")}`, name, value);
}

/** Each part of a layout is a type, and what it is where it is not given. */
function read(layout, given, ids) {
  return Object.fromEntries(Object.entries(layout).map(([name, [type, otherwise]]) => {
    const value = given[name] === undefined ? otherwise : given[name];
    return [name, value === null && otherwise === null ? null : TYPES[type](value, name, ids)];
  }));
}

function readingOf(given, ids) {
  const kind = READINGS.find(
    ({ tag, needs }) => tag === given.kind && (!needs || !isNothing(given[needs])),
  );
  if (!kind) refuse(`one of ${READINGS.map(({ tag }) => tag).join(", ")}`, "kind", given.kind);
  return { kind: kind.tag, ...read(kind.layout, given, ids) };
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
  for (const { joint } of line.boxes) oneOf(Object.values(JOINT), joint, "joint");
  oneOf(Object.values(SYMPTOM), symptom, "symptom");
  const soilIsDry = plain.soil_is_dry ?? false;
  const readings = goneOn(
    plain.readings.filter((each) => !each.voided).map((each) => readingOf(each, ids)),
  );
  const assumed = assumedOf(plain.assumed);
  return {
    line,
    ids,
    soilIsDry,
    // Parts that cannot be to blame whatever the symptom, as a master that is not there.
    lacking: Object.keys(CHECKS).filter((check) => !assumed[NUMBER_OF[CHECKS[check]]]),
    neighbours: OTHERS_TELL_NOTHING.includes(symptom)
      ? []
      : (plain.neighbours ?? []).map((each) => ({ shares: [], common: [], ...each })),
    assumed: forSymptom(assumed, symptom, soilIsDry),
    tools: toolsFor(unmeasured({ ...TOOLS, ...plain.tools }, readings), symptom),
    readings,
  };
}

/**
 * A distance is measured once from each end: what was wrong with it would be wrong again. So are
 * ohms at the controller, and again after a mend.
 */
function unmeasured(tools, readings) {
  const isMeasured = (fromValve) =>
    readings.some((each) =>
      each.kind === "distance" && !each.is_farthest && each.from_valve === fromValve);
  const last = [...readings].reverse().find(({ kind, by_ohms: byOhms }) =>
    kind === "ohms" || byOhms || kind === "mended");
  return {
    ...tools,
    ohms: tools.ohms && (!last || last.kind === "mended"),
    distance_at_controller: tools.distance_at_controller && !isMeasured(false),
    distance_at_valve: tools.distance_at_valve && !isMeasured(true),
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
  for (const name of ["point", "to_point", "fed_at"]) {
    if (name in action) result[name] = points[action[name]];
  }
  if ("leg" in action) result.leg = legs[action.leg];
  return result;
}
