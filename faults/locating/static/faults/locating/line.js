// The wire to search, as a line of legs between points: 0 the controller, n + 1 the valve.
// Follows faults/locating/engines/line.py.
import { CELL_FT } from "./data.js";
import { UnusableLine } from "./errors.js";

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
  const guessedAtPoint = new Float64Array(legs.length + 1);
  const firstCell = new Int32Array(legs.length + 1);
  legs.forEach((leg, i) => {
    pointFt[i + 1] = pointFt[i] + leg.length_ft;
    guessedAtPoint[i + 1] = guessedAtPoint[i] + (leg.is_guessed ? leg.length_ft : 0);
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
  const guessedAtCell = cellFt.map((feet, cell) => {
    const leg = cellLeg[cell];
    return guessedAtPoint[leg] + (legs[leg].is_guessed ? feet - pointFt[leg] : 0);
  });
  return {
    legs, boxes, lengthFt, pointFt, cellLeg, cellFt, cellLengthFt, firstCell,
    guessedAtPoint, guessedAtCell,
  };
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
    const factor = box.hazard_factor ?? 1;
    if (!(Number.isFinite(factor) && factor >= 0)) {
      throw new UnusableLine(`Expected hazard_factor >= 0 at box ${box.name}, got ${factor}`);
    }
    if (!(Number.isFinite(box.open_min) && box.open_min > 0)) {
      throw new UnusableLine(`Expected open_min > 0 at box ${box.name}, got ${box.open_min}`);
    }
  }
}
