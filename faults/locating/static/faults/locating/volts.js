// Volts at a box while the station is switched on, on both sides of its splice, without a cut.
// Follows faults/locating/engines/volts.py.
import { byCause, weighed } from "./belief.js";
import { JOINT, LEAST_VOLTS, MOST_VOLTS, SPOILS_CONTROLLER_SIDE } from "./data.js";
import { most } from "./ground.js";

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

/**
 * At splices, which a meter reaches without a cut.
 *
 * @param {import("./ground.js").Ground} ground
 * @returns {Option[]}
 */
export function voltsAt(ground) {
  const { line, tools, before, beyond, prices, total } = ground;
  if (!tools.volts) return [];
  const news = line.boxes
    .map(({ joint }, i) => {
      const at = i + 2;
      const rarer = Math.min(before[at], beyond[at]) + prices.m.point[at] / total;
      return { box: i + 1, joint, rarer };
    })
    .filter(({ joint, rarer }) => joint === JOINT.SPLICED && rarer >= LEAST_VOLTS);
  const isMost = most(news.map(({ rarer }) => rarer), MOST_VOLTS);
  return news.filter(({ rarer }) => isMost(rarer)).map(({ box }) => option(ground, box));
}

const BOTH = [[false, false], [false, true], [true, false], [true, true]];

function option(ground, box) {
  const { belief, line, assumed, stand, t, k } = ground;
  let after = 0;
  for (const [controllerBad, valveBad] of BOTH) {
    const said = {
      point: box, controller_bad: controllerBad, valve_bad: valveBad, unloaded_bad: null,
    };
    after += ground.priceAfter(weighed(belief, volts(line, assumed, said)), box + 1);
  }
  const isOpen = stand.openBox === box && stand.at === box;
  // No cut, no new splice.
  const { repeat_min: again, volts_saves_min: saved } = assumed;
  const minutes = isOpen ? again : Math.max(again, line.boxes[box - 1].open_min - saved);
  const own = minutes + t.walkMin[ground.wayTo(box + 1)];
  return {
    ...ground.option({ action: "read volts", point: box }, after * Math.exp(k * own), own),
    before: ground.before[box + 1],
    beyond: ground.beyond[box + 1],
  };
}
