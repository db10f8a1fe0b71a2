// What is believed of one fault: a mass for each foot of each leg, each splice, each cause.
// A leg's mass is kept three times, in this order: the station's own hot wire, the common, the
// whole bundle. Follows faults/locating/engines/belief.py and evidence.py.
import { pOutside } from "./assumptions.js";
import { JUST_BELOW, NUMBER_OF, OUTSIDE, SPLICE_SHARE } from "./data.js";
import { Contradiction, UnusableLine } from "./errors.js";

export const HOT = 0;
export const COMMON = 1;
export const BUNDLE = 2;

const CAUSES = Object.values(OUTSIDE);

/** @param {ArrayLike<number>} values */
export function sumOf(values) {
  let sum = 0;
  for (let i = 0; i < values.length; i += 1) sum += values[i];
  return sum;
}

/** Mass of each cell, whichever conductor. @param {Float64Array[]} legs */
export function cellsOf(legs) {
  const [hot, common, bundle] = legs;
  return hot.map((mass, i) => mass + common[i] + bundle[i]);
}

/** What lies in the wire. @param {Belief} belief */
export function inTheWire({ legs, splice }) {
  return sumOf(cellsOf(legs)) + sumOf(splice);
}

/** Sum of all masses. @param {Belief} belief */
export function totalMass(belief) {
  return inTheWire(belief) + sumOf(CAUSES.map((cause) => belief.outside[cause]));
}

/** Probability of each leg. @param {Belief} belief @returns {number[]} */
export function byLeg({ line, legs }) {
  const cells = cellsOf(legs);
  return line.legs.map((_, i) => sumOf(cells.subarray(line.firstCell[i], line.firstCell[i + 1])));
}

/** By cause. @param {(cause: string) => number} chance @returns {Record<string, number>} */
export function byCause(chance) {
  return Object.fromEntries(CAUSES.map((cause) => [cause, chance(cause)]));
}

/**
 * Weigh each hypothesis by a chance.
 *
 * @param {Belief} belief
 * @param {Likelihood} seen
 * @returns {Belief} not scaled
 */
export function weighed(belief, seen) {
  return {
    ...belief,
    legs: belief.legs.map((masses, c) => masses.map((mass, i) => mass * seen.legs[c][i])),
    splice: belief.splice.map((mass, i) => mass * seen.splice[i]),
    outside: byCause((cause) => belief.outside[cause] * seen.outside[cause]),
  };
}

/**
 * Return the same with a sum of 1.
 *
 * @param {Belief} belief
 * @returns {Belief}
 * @throws {Contradiction} nothing is left
 */
export function scaled(belief) {
  const total = totalMass(belief);
  if (!(Number.isFinite(total) && total > 0)) {
    throw new Contradiction("Expected some explanation to be left, got none");
  }
  return {
    ...belief,
    legs: belief.legs.map((masses) => masses.map((mass) => mass / total)),
    splice: belief.splice.map((mass) => mass / total),
    outside: byCause((cause) => belief.outside[cause] / total),
  };
}

/** Expected faults per foot and year of each leg, shrunk to the common hazard. */
function legRates(line, assumed) {
  const h0 = assumed.hazard_per_ft_year;
  const a = assumed.hazard_prior_faults;
  return line.legs.map(
    (leg) => ((h0 * (a + leg.faults)) / (a + h0 * leg.length_ft * leg.years)) * leg.hazard_factor,
  );
}

/**
 * What is believed before any test: length, history, splices, other stations.
 *
 * @param {Line} line
 * @param {Record<string, number>} assumed the fields of the engine's assumptions
 * @param {{works: boolean, shares: number[], common: number[], is_on_ours?: boolean,
 *   is_on_master?: boolean}[]} neighbours
 *   other stations
 * @returns {Belief}
 */
export function prior(line, assumed, neighbours) {
  const rates = legRates(line, assumed);
  const cells = line.cellLengthFt.map((feet, i) => feet * rates[line.cellLeg[i]]);
  const shares = [
    1 - assumed.bundle_share - assumed.common_share,
    assumed.common_share,
    assumed.bundle_share,
  ];
  const legs = shares.map((share) => cells.map((mass) => share * mass));
  const splice = new Float64Array(line.boxes.length + 2);
  line.boxes.forEach((box, i) => {
    splice[i + 1] =
      SPLICE_SHARE[box.joint] * assumed.splice_counts_as_ft * assumed.hazard_per_ft_year *
      (box.hazard_factor ?? 1);
  });
  const outside = byCause((cause) => assumed[NUMBER_OF[cause]]);
  const whole = sumOf(cellsOf(legs)) + sumOf(splice);
  if (!(whole > 0)) {
    throw new UnusableLine("Expected a leg or splice that can fail, got hazard factors of 0 only");
  }
  const scale = (1 - pOutside(assumed)) / whole;
  let belief = {
    line,
    legs: legs.map((masses) => masses.map((mass) => mass * scale)),
    splice: splice.map((mass) => mass * scale),
    outside,
    others: neighbours,
    walked: [],
    listened: [],
  };
  for (const neighbour of neighbours) {
    checkLegs(line, neighbour);
    belief = weighed(belief, seenAt(line, neighbour, assumed));
  }
  return scaled(belief);
}

function checkLegs({ legs }, { shares, common }) {
  for (const leg of [...shares, ...common]) {
    if (!(leg in legs)) {
      throw new UnusableLine(
        `Expected legs 0..${legs.length - 1} shared with a neighbour, got ${leg}`,
      );
    }
  }
}

/** How well each hypothesis explains that another station runs, or does not. */
export function seenAt(line, neighbour, assumed) {
  const chance = (dead) => (neighbour.works ? 1 - dead : dead);
  const other = assumed.neighbour_otherwise;
  const by = assumed.neighbour_by_common;
  // A station on another common says nothing of ours: as likely dead as for any other reason.
  const isOnOurs = neighbour.is_on_ours ?? true;
  const beyond = isOnOurs ? 1 - by : other;
  // Without its common, or without water from its master valve, it does not run either.
  const stopped = {
    [OUTSIDE.COMMON_TERMINAL]: isOnOurs, [OUTSIDE.MASTER]: neighbour.is_on_master ?? true,
  };
  const cells = (of) => Float64Array.from(line.cellLeg, (leg) => chance(of(leg)));
  return {
    legs: [
      cells(() => other),
      cells((leg) => (neighbour.common.includes(leg) ? by : beyond)),
      cells((leg) => (neighbour.shares.includes(leg) ? assumed.neighbour_dead_if_bundle : other)),
    ],
    splice: new Float64Array(line.pointFt.length).fill(chance(other)),
    outside: byCause((cause) => chance(stopped[cause] ? by : other)),
  };
}

/**
 * The feet at which given shares of some masses lie.
 *
 * @param {Float64Array} feet
 * @param {Float64Array} masses
 * @param {(all: number) => number[]} wanted masses, from the mass of all
 * @returns {number[]}
 */
export function feetAt(feet, masses, wanted) {
  const order = Array.from(feet.keys()).sort((a, b) => feet[a] - feet[b]);
  const share = new Float64Array(order.length);
  let sum = 0;
  order.forEach((at, i) => {
    sum += masses[at];
    share[i] = sum;
  });
  return wanted(sum).map((each) => {
    const found = share.findIndex((mass) => mass >= each * JUST_BELOW);
    return feet[order[found < 0 ? order.length - 1 : found]];
  });
}

/** Cells and points as places with feet. @param {Belief} belief */
export function places({ line, legs, splice }) {
  const join = (a, b) => {
    const both = new Float64Array(a.length + b.length);
    both.set(a);
    both.set(b, a.length);
    return both;
  };
  return { feet: join(line.cellFt, line.pointFt), masses: join(cellsOf(legs), splice) };
}

/**
 * The 5, 50 and 95 % feet given that the fault lies in the wire; null where it is all but ruled out.
 *
 * @param {Belief} belief
 * @returns {{low: number, middle: number, high: number} | null}
 */
export function feetOf(belief) {
  const mass = inTheWire(belief);
  if (mass <= 1e-9) return null;
  const { feet, masses } = places(belief);
  const [low, middle, high] = feetAt(feet, masses, () => [0.05 * mass, 0.5 * mass, 0.95 * mass]);
  return { low, middle, high };
}
