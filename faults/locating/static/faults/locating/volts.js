// Volts at a box while the station is switched on, on both sides of its splice, without a cut.
// Follows faults/locating/engines/volts.py.
import { byCause } from "./belief.js";
import { SPOILS_CONTROLLER_SIDE } from "./data.js";

/** The chance of a reading where something is wrong before each side. */
export function voltsChance(assumed, said) {
  const { volts_sensitivity: loaded, volts_specificity: sound } = assumed;
  const one = (isLow, readBad, sensitivity) => {
    if (readBad === null) return 1;
    const bad = isLow ? sensitivity : 1 - sound;
    return readBad ? bad : 1 - bad;
  };
  return (before, withSplice) =>
    one(before, said.controller_bad, loaded) * one(withSplice, said.valve_bad, loaded) *
    one(before, said.unloaded_bad, assumed.unloaded_sensitivity);
}

/**
 * They are low beyond the place; a bad splice in this box parts its own two sides.
 *
 * @param {Line} line
 * @param {Record<string, number>} assumed
 * @param {object} said
 * @returns {Likelihood}
 */
export function volts(line, assumed, said) {
  const chance = voltsChance(assumed, said);
  const cells = Float64Array.from(line.cellLeg, (leg) => chance(leg < said.point, leg < said.point));
  return {
    legs: [cells, cells, cells],
    splice: line.pointFt.map((_, point) => chance(point < said.point, point <= said.point)),
    outside: byCause((cause) => {
      const isBehind = SPOILS_CONTROLLER_SIDE.includes(cause);
      return chance(isBehind, isBehind);
    }),
  };
}
