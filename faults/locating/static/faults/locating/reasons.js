// Why each option ranks where it does: the facts, without words.
// Follows faults/locating/engines/why.py.
import { COMMON, HOT, feetOf } from "./belief.js";
import { BY_PROBES } from "./misses.js";
import { searchOf, standOf } from "./plain.js";
import { believed } from "./searching.js";
import { HALF } from "./telling_data.js";

const OF_A_BOX = ["open box", "cut box", "listen", "clamp", "read volts", "measure insulation"];

/**
 * The facts of each option, in their order; `point` counted along the line, null = no place.
 *
 * @param {object} plain a search @param {object} plainStand
 * @param {Option[]} options as the plan gives them, points and legs by id
 */
export function reasons(plain, plainStand, options) {
  if (!options.length) return [];
  const search = searchOf(plain);
  const stand = standOf(plainStand, search.ids);
  const belief = believed(search);
  const { pointFt } = belief.line;
  const middle = feetOf(belief)?.middle;
  const pointOf = (id) => search.ids.points.indexOf(id);
  const tested = options.map(({ action }) => action).filter(({ action }) => OF_A_BOX.includes(action));
  const away = (point) => Math.abs(pointFt[point] - pointFt[stand.at]);
  const least = Math.min(...tested.map(({ point }) => away(pointOf(point))));
  return options.map(({ action, before, beyond }) => {
    const point = placeOf(action, search.ids);
    const isTest = OF_A_BOX.includes(action.action);
    const isHere = point === stand.at;
    const [low, high] = [pointFt[stand.at], middle ?? NaN].sort((a, b) => a - b);
    return {
      point,
      halves: Math.min(before, beyond) >= HALF,
      is_here: isHere,
      is_open: isTest && isHere && point === stand.openBox,
      is_on_the_way: isTest && !isHere && low < pointFt[point] && pointFt[point] < high,
      is_nearest: isTest && away(point) === least,
      walked_in_vain: walkedInVain(action, belief, pointOf),
    };
  });
}

/** The point at which an action starts. */
function placeOf({ action, point, leg, from_valve: fromValve }, { points, legs }) {
  const valve = points.length - 1;
  if (["bypass", "renew leg"].includes(action)) return legs.indexOf(leg);
  if (["check controller", "read ohms"].includes(action)) return 0;
  if (["check valve", "prove wire"].includes(action)) return valve;
  if (action === "read distance") return fromValve ? valve : 0;
  return point === undefined ? null : points.indexOf(point);
}

/** How often all of a walk's way was walked already, by such a walk, for nothing. */
function walkedInVain({ action, point, to_point: to, conductor }, { walked }, pointOf) {
  if (!["walk tone", "walk gradient"].includes(action)) return 0;
  const by = action === "walk gradient" ? BY_PROBES : conductor === "common" ? COMMON : HOT;
  const [low, high] = [pointOf(point), pointOf(to)].sort((a, b) => a - b);
  const times = (leg) => walked.filter((walk) =>
    walk.conductor === by && walk.low <= leg && leg < walk.high).length;
  return Math.min(...Array.from({ length: high - low }, (_, i) => times(low + i)));
}
