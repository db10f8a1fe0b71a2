// The wire to search, as a line of legs between points: 0 the controller, n + 1 the valve.
// Follows faults/engines/locating/line.py.
import { UnusableLine } from "./errors.js";

const CELL_FT = 1;

export const SPLICED = "spliced";
const UNCUT = "passes uncut";
const NOT_KNOWN = "not known";

/** How much of a splice to expect, by what the wire does at a box. */
export const SPLICE_SHARE = { [SPLICED]: 1, [UNCUT]: 0, [NOT_KNOWN]: 0.5 };

/**
 * @typedef {object} Leg One leg of the wire's way; the fields of the plain form.
 * @property {string} name
 * @property {number} length_ft
 * @property {number} years how long faults here would have been written down
 * @property {number} faults
 * @property {number} hazard_factor what cover and conduit do to the hazard
 * @property {number} tone_factor how much slower a tone is walked here than in turf
 */

/**
 * @typedef {object} Box
 * @property {string} name
 * @property {string} joint
 * @property {number} open_min minutes to open it and test
 */

/**
 * @typedef {object} Line
 * @property {Leg[]} legs 0..n in order from the controller
 * @property {Box[]} boxes 1..n, the first at index 0
 * @property {number} lengthFt feet from controller to valve
 * @property {Float64Array} pointFt feet from the controller of each point, n + 2
 * @property {Int32Array} cellLeg the leg of each cell
 * @property {Float64Array} cellFt feet from the controller to the middle of each cell
 * @property {Float64Array} cellLengthFt
 * @property {Int32Array} firstCell index of the first cell of each leg, and the number of cells
 */

/**
 * Lay out a line. A leg without length has one cell, which never has mass.
 *
 * @param {{legs: Leg[], boxes: Box[]}} plain
 * @returns {Line}
 * @throws {UnusableLine}
 */
export function lineOf({ legs, boxes }) {
  check(legs, boxes);
  const counts = legs.map((leg) => Math.max(1, Math.ceil(leg.length_ft / CELL_FT)));
  const pointFt = new Float64Array(legs.length + 1);
  const firstCell = new Int32Array(legs.length + 1);
  legs.forEach((leg, i) => {
    pointFt[i + 1] = pointFt[i] + leg.length_ft;
    firstCell[i + 1] = firstCell[i] + counts[i];
  });
  const cells = firstCell[legs.length];
  const cellLeg = new Int32Array(cells);
  const cellFt = new Float64Array(cells);
  const cellLengthFt = new Float64Array(cells);
  legs.forEach((leg, i) => {
    for (let k = 0; k < counts[i]; k += 1) {
      const cell = firstCell[i] + k;
      cellLeg[cell] = i;
      cellFt[cell] = pointFt[i] + ((k + 0.5) / counts[i]) * leg.length_ft;
      cellLengthFt[cell] = leg.length_ft / counts[i];
    }
  });
  const lengthFt = legs.reduce((sum, leg) => sum + leg.length_ft, 0);
  if (!(lengthFt > 0)) throw new UnusableLine("Expected some length, got legs of 0 ft only");
  return { legs, boxes, lengthFt, pointFt, cellLeg, cellFt, cellLengthFt, firstCell };
}

function check(legs, boxes) {
  if (!legs.length) throw new UnusableLine("Expected at least one leg, got none");
  if (boxes.length !== legs.length - 1) {
    throw new UnusableLine(
      `Expected a box between each two legs: ${legs.length - 1}, got ${boxes.length}`,
    );
  }
  for (const leg of legs) {
    for (const name of ["length_ft", "years", "faults", "hazard_factor", "tone_factor"]) {
      if (!(Number.isFinite(leg[name]) && leg[name] >= 0)) {
        throw new UnusableLine(`Expected ${name} >= 0 on leg ${leg.name}, got ${leg[name]}`);
      }
    }
  }
  for (const box of boxes) {
    if (!(Number.isFinite(box.open_min) && box.open_min > 0)) {
      throw new UnusableLine(`Expected open_min > 0 at box ${box.name}, got ${box.open_min}`);
    }
    if (!(box.joint in SPLICE_SHARE)) {
      throw new UnusableLine(`Expected a known joint at box ${box.name}, got ${box.joint}`);
    }
  }
}

/**
 * Refuse a box that is not on this line.
 *
 * @param {Line} line
 * @param {number} box
 * @throws {UnusableLine} the number lies outside 1..n
 */
export function checkBox(line, box) {
  if (!(box >= 1 && box <= line.boxes.length)) {
    throw new UnusableLine(`Expected a box 1..${line.boxes.length} of this wire, got ${box}`);
  }
}
