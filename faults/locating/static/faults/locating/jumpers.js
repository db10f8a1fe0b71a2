// Going round a part of the wire: a jumper or a new wire for one leg, a spare for the whole.
// Follows faults/locating/engines/jumpers.py.
import { BUNDLE, COMMON, HOT, sumOf, totalMass, weighed } from "./belief.js";
import { LEAST_NEWS, LEAST_RENEWED, MOST_JUMPERS } from "./data.js";
import { most } from "./ground.js";
import { bypassed, spareTried } from "./readings.js";

/**
 * @param {import("./ground.js").Ground} ground
 * @returns {Option[]}
 */
export function jumpers(ground) {
  if (!ground.tools.jumper) return [];
  const { belief, line, assumed, t, k } = ground;
  const shares = sharesOf(belief);
  const isMost = most(shares, MOST_JUMPERS);
  return shares.flatMap((share, leg) => {
    const accessMin = accessOf(ground, leg);
    const isNews = share >= LEAST_NEWS && share <= 1 - LEAST_NEWS;
    if (!isMost(share) || !isNews || !Number.isFinite(accessMin)) return [];
    const after = [true, false].map((works) =>
      ground.priceAfter(weighed(belief, bypassed(line, assumed, { leg, works })), leg + 2));
    const own = t.walkMin[ground.wayTo(leg + 1)] + accessMin;
    const price = sumOf(after) * Math.exp(k * own);
    return [ground.option({ action: "bypass", leg }, price, own, share)];
  });
}

/** Minutes to reach the wire at both ends of a leg and lay a jumper along it. */
function accessOf(ground, leg) {
  const { t, assumed } = ground;
  const along = t.walkMin[(leg + 1) * t.wide + leg + 2];
  return ground.reachMin(leg) + ground.reachMin(leg + 1) + assumed.jumper_min + along;
}

/**
 * Lay a leg again: it ends the search wherever on the leg the fault lies.
 *
 * @param {import("./ground.js").Ground} ground
 * @returns {Option[]}
 */
export function renewals(ground) {
  if (!ground.tools.renew) return [];
  return ["hot", "common"].flatMap((conductor) => renewed(ground, conductor));
}

function renewed(ground, conductor) {
  const { belief, line, assumed, t, k } = ground;
  const shares = conductor === "hot" ? sharesOf(belief) : sumsOf(line, belief.legs[COMMON]);
  return shares.flatMap((share, leg) => {
    if (share < LEAST_RENEWED) return [];
    const said = { leg, works: false, conductor };
    const rest = ground.priceAfter(weighed(belief, bypassed(line, assumed, said)), leg + 2);
    const feet = line.legs[leg].length_ft;
    const work = assumed.renew_setup_min + (feet / 100) * assumed.renew_min_per_100_ft;
    const own = t.walkMin[ground.wayTo(leg + 1)] + work;
    const price = Math.exp(k * own) * (assumed.bypass_sensitivity * share + rest);
    return [ground.option({ action: "renew leg", leg, conductor }, price, own, share)];
  });
}

/** The chance of each leg that the station's own wire is broken there. */
function sharesOf({ line, legs }) {
  return sumsOf(line, legs[HOT].map((mass, i) => mass + legs[BUNDLE][i]));
}

const sumsOf = ({ legs, firstCell }, cells) =>
  legs.map((_, leg) => sumOf(cells.subarray(firstCell[leg], firstCell[leg + 1])));

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
  const price = Math.exp(k * minutes) * (runs + ground.priceAfter(dead, here));
  return [ground.option({ action: "move to spare" }, price, minutes, runs / total)];
}
