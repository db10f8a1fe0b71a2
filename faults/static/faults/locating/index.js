// The phone's engine: what is believed of a search, and what to do next, without the server.
// The Python in faults/engines/locating/ is the reference; a browser test holds the two equal.
import { byLeg, feetOf, prior } from "./belief.js";
import { UnusablePlain } from "./errors.js";
import { lineOf } from "./line.js";
import { ranked } from "./plan.js";
import { updated } from "./readings.js";
import { forSymptom, toolsFor } from "./symptoms.js";

export { Contradiction, UnusableLine, UnusablePlain } from "./errors.js";

// What is at hand where the search does not say.
const TOOLS = { tone: true, may_cut: true };

/**
 * What is believed after all readings that stand.
 *
 * @param {object} search the plain form of a search
 * @returns {{legs: number[], splices: number[], outside: Record<string, number>,
 *   feet: {low: number, middle: number, high: number} | null}} `splices` by point
 * @throws {import("./errors.js").Contradiction} no explanation is left
 * @throws {import("./errors.js").UnusableLine} the line cannot be searched
 * @throws {UnusablePlain} something in it is not known
 */
export function beliefOf(search) {
  const belief = believed(search);
  return {
    legs: byLeg(belief),
    splices: Array.from(belief.splice),
    outside: belief.outside,
    feet: feetOf(belief),
  };
}

/**
 * Every useful action, the best first.
 *
 * @param {object} search the plain form of a search
 * @param {{at: number, open_box?: number | null, tone_from?: number | null,
 *   tone_on?: string}} stand where the technician stands, points by id
 * @returns {import("./plan.js").Option[]} points of actions by id
 * @throws {Error} as `beliefOf`
 */
export function nextActions(search, stand) {
  const { points } = search.line;
  const at = (id) => (id === null || id === undefined ? null : indexOf(points, id));
  const place = {
    at: indexOf(points, stand.at),
    openBox: at(stand.open_box),
    toneFrom: at(stand.tone_from),
    toneOn: stand.tone_on ?? "hot",
  };
  const tools = toolsFor({ ...TOOLS, ...search.tools }, search.symptom);
  const options = ranked(believed(search), place, tools, assumedOf(search));
  return options.map((option) => ({ ...option, action: named(option.action, points) }));
}

const assumedOf = (search) => forSymptom(search.assumed, search.symptom, search.soil_is_dry);

function believed(search) {
  const { line: plain } = search;
  const assumed = assumedOf(search);
  const line = lineOf(plain);
  if (plain.points.length !== line.boxes.length + 2) {
    throw new UnusablePlain(
      `Expected ${line.boxes.length + 2} points along the line, got ${plain.points.length}`,
    );
  }
  let belief = prior(line, assumed, search.neighbours ?? []);
  for (const reading of search.readings) {
    if (!reading.voided) belief = updated(belief, counted(reading, plain), assumed, search);
  }
  return belief;
}

/** A reading with its points and leg counted along the line. */
function counted(said, { points, legs }) {
  const result = { ...said };
  for (const name of ["point", "to_point"]) {
    if (name in said) result[name] = indexOf(points, said[name]);
  }
  if ("leg" in said) result.leg = indexOf(legs.map((leg) => leg.id), said.leg);
  return result;
}

/** An action with its points named by id. */
function named(action, points) {
  const result = { ...action };
  for (const name of ["point", "to_point"]) {
    if (name in action) result[name] = points[action[name]];
  }
  return result;
}

function indexOf(ids, id) {
  const found = ids.indexOf(id);
  if (found < 0) throw new UnusablePlain(`Expected a point or leg of this line, got ${id}`);
  return found;
}
