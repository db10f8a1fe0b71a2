// Going round a part of the wire: a jumper over one leg, or a spare instead of the whole wire.
// Follows faults/locating/engines/jumpers.py.
import { BUNDLE, HOT, cellsOf, sumOf, totalMass, weighed } from "./belief.js";
import { Prices } from "./costs.js";
import { JOINT, LEAST_NEWS, MOST_JUMPERS } from "./data.js";
import { most, outerOf } from "./ground.js";
import { bypassed, spareTried } from "./readings.js";

/**
 * @param {import("./ground.js").Ground} ground
 * @returns {Option[]}
 */
export function jumpers(ground) {
  if (!ground.tools.jumper) return [];
  const { belief, line, assumed, t, k } = ground;
  const helped = belief.legs[HOT].map((mass, i) => mass + belief.legs[BUNDLE][i]);
  const shares = line.legs.map((_, leg) =>
    sumOf(helped.subarray(line.firstCell[leg], line.firstCell[leg + 1])));
  const isMost = most(shares, MOST_JUMPERS);
  return shares.flatMap((share, leg) => {
    const accessMin = accessOf(ground, leg);
    const isNews = share >= LEAST_NEWS && share <= 1 - LEAST_NEWS;
    if (!isMost(share) || !isNews || !Number.isFinite(accessMin)) return [];
    const after = [true, false].map((works) =>
      priceAfter(ground, weighed(belief, bypassed(line, assumed, { leg, works })), leg + 2));
    const own = t.walkMin[ground.wayTo(leg + 1)] + accessMin;
    const price = sumOf(after) * Math.exp(k * own);
    return [ground.option({ action: "bypass", leg }, price, own, share)];
  });
}

/** Minutes to reach the wire at both ends of a leg and lay a jumper along it. */
function accessOf(ground, leg) {
  const { t, assumed } = ground;
  const along = t.walkMin[(leg + 1) * t.wide + leg + 2];
  return reachMin(ground, leg) + reachMin(ground, leg + 1) + assumed.jumper_min + along;
}

/** Minutes to lay the wire bare at a point; endless where it would have to be cut. */
function reachMin({ line, assumed, stand, tools }, point) {
  if (point < 1 || point > line.boxes.length) return assumed.repeat_min;
  const box = line.boxes[point - 1];
  const isOpen = stand.openBox === point && stand.at === point;
  const opening = isOpen ? assumed.repeat_min : box.open_min;
  if (box.joint === JOINT.SPLICED) return opening;
  const cut = assumed.cut_uncut_min + assumed.lasting_splice_min;
  return tools.may_cut ? opening + cut : Infinity;
}

/**
 * Move to a spare: where it runs the station is served, where not the search goes on.
 *
 * @param {import("./ground.js").Ground} ground
 * @returns {Option[]}
 */
export function spare(ground) {
  const { belief, line, assumed, total, k, here } = ground;
  const minutes = ground.tools.spare_min ?? null;
  if (minutes === null) return [];
  const dead = weighed(belief, spareTried(line, assumed, { works: false }));
  const runs = total - totalMass(dead);
  if (runs / total < LEAST_NEWS) return [];
  const price = Math.exp(k * minutes) * (runs + priceAfter(ground, dead, here));
  return [ground.option({ action: "move to spare" }, price, minutes, runs / total)];
}

/** Price what a result leaves, weighed by its chance, from a point. */
function priceAfter(ground, after, at) {
  const masses = ground.masses(cellsOf(after.legs), outerOf(after));
  return new Prices(ground.t, masses).fromPoint(at);
}
