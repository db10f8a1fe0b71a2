// One fault or two: what is believed when both are possible, and after a mend.
// Follows faults/locating/engines/pairs.py.
import {
  BUNDLE, COMMON, HOT, byCause, prior, scaled, seenAt, totalMass, weighed,
} from "./belief.js";
import {
  BEHIND, CHECKS, OUTSIDE, SPOILS_CONTROLLER_SIDE, SPOILS_VALVE_SIDE,
} from "./data.js";
import { Contradiction } from "./errors.js";
import { likelihoodOf, respliced, sidesOf, walkOf } from "./readings.js";
import { voltsChance } from "./volts.js";

const CAUSES = Object.values(OUTSIDE);
const CONDUCTORS = [HOT, COMMON, BUNDLE];

/** Where each segment lies, in half steps from the controller; -1 is behind it. */
export function placesOf({ legs, boxes }) {
  const n = boxes.length;
  return [
    ...CONDUCTORS.flatMap(() => legs.map((_, leg) => 2 * leg)),
    ...boxes.map((_, i) => 2 * i + 1),
    ...CAUSES.map((cause) => (BEHIND.includes(cause) ? -1 : 2 * n + 1)),
  ];
}

function sumsByLeg({ firstCell, legs }, cells) {
  return legs.map((_, leg) => {
    let sum = 0;
    for (let i = firstCell[leg]; i < firstCell[leg + 1]; i += 1) sum += cells[i];
    return sum;
  });
}

/** The mass of each segment. */
export function massesOf({ line, legs, splice, outside }) {
  return [
    ...CONDUCTORS.flatMap((c) => sumsByLeg(line, legs[c])),
    ...line.boxes.map((_, i) => splice[i + 1]),
    ...CAUSES.map((cause) => outside[cause]),
  ];
}

/** The chance of a reading in each segment, a mean over its places. */
export function chancesOf(seen, { line, legs }) {
  const mean = (c) => {
    const mass = sumsByLeg(line, legs[c]);
    const sums = sumsByLeg(line, legs[c].map((each, i) => each * seen.legs[c][i]));
    return mass.map((each, leg) => (each > 0 ? sums[leg] / each : 0));
  };
  return [
    ...CONDUCTORS.flatMap(mean),
    ...line.boxes.map((_, i) => seen.splice[i + 1]),
    ...CAUSES.map((cause) => seen.outside[cause]),
  ];
}

/** A belief with these masses; within a leg they lie as in `shape`, else as in `otherwise`. */
function spread(masses, shape, otherwise) {
  const { line } = shape;
  const count = line.legs.length;
  const legs = CONDUCTORS.map((c) => {
    const own = sumsByLeg(line, shape.legs[c]);
    const other = sumsByLeg(line, otherwise.legs[c]);
    return shape.legs[c].map((mass, i) => {
      const leg = line.cellLeg[i];
      const share = own[leg] > 0 ? mass / own[leg]
        : otherwise.legs[c][i] / (other[leg] > 0 ? other[leg] : 1);
      return masses[c * count + leg] * share;
    });
  });
  const splice = new Float64Array(shape.splice.length);
  line.boxes.forEach((_, i) => {
    splice[i + 1] = masses[3 * count + i];
  });
  const ends = masses.slice(masses.length - CAUSES.length);
  const outside = Object.fromEntries(CAUSES.map((cause, i) => [cause, ends[i]]));
  return { ...shape, legs, splice, outside };
}

function times(belief, factor) {
  return {
    ...belief,
    legs: belief.legs.map((masses) => masses.map((mass) => mass * factor)),
    splice: belief.splice.map((mass) => mass * factor),
    outside: byCause((cause) => belief.outside[cause] * factor),
  };
}

/** Pairs as rows. @param {(i: number, j: number) => number} value */
const pairsOf = (count, value) =>
  Array.from({ length: count }, (_, i) =>
    Float64Array.from({ length: count }, (__, j) => value(i, j)));

export const sumOfPairs = (two) => two.reduce((sum, row) => sum + row.reduce((a, b) => a + b, 0), 0);

/**
 * The state before any reading. That a station stands still needs one of two faults that stops it.
 *
 * @param {Belief} before
 * @param {Record<string, number>} assumed
 */
export function begun(before, assumed) {
  const alone = prior(before.line, assumed, []);
  const masses = massesOf(alone);
  const share = assumed.two_faults;
  const two = pairsOf(masses.length, (i, j) => share * (masses[i] * masses[j]));
  return before.others.reduce(
    (state, other) => beside(state, other, assumed),
    { base: alone, one: times(alone, 1 - share), two },
  );
}

/** The state after it is known whether another station runs. */
function beside({ base, one, two }, other, assumed) {
  const seen = seenAt(base.line, other, assumed);
  const chance = chancesOf(seen, base);
  const pick = other.works ? Math.min : Math.max;
  return scaledState({
    base,
    one: weighed(one, seen),
    two: pairsOf(chance.length, (i, j) => two[i][j] * pick(chance[i], chance[j])),
  });
}

/** Where the fault nearest the controller lies. @returns {Belief} */
export function nearest({ base, one, two }) {
  const place = placesOf(base.line);
  const first = two.map((row, i) => {
    let sum = 0;
    for (let j = 0; j < row.length; j += 1) {
      sum += row[j] * ((place[j] > place[i] ? 1 : 0) + (place[j] >= place[i] ? 1 : 0));
    }
    return sum;
  });
  const both = spread(first, one, base);
  return scaled({
    ...one,
    legs: one.legs.map((masses, c) => masses.map((mass, i) => mass + both.legs[c][i])),
    splice: one.splice.map((mass, i) => mass + both.splice[i]),
    outside: byCause((cause) => one.outside[cause] + both.outside[cause]),
  });
}

/**
 * The state after a reading.
 *
 * @param {object} state
 * @param {object} said the reading, its points counted along the line
 * @param {Record<string, number>} assumed
 * @param {boolean} soilIsDry
 * @throws {Contradiction} neither one fault nor two explain it
 */
export function afterReading(state, said, assumed, soilIsDry) {
  if (said.kind === "mended") return afterMend(state, said, assumed);
  if (said.stays && !said.works) return afterRenewal(state, said, assumed);
  const { base, one, two } = state;
  const seen = likelihoodOf(one, said, assumed, soilIsDry);
  const chance = chancesOf(seen, base);
  const ofBoth = ofTwo(base.line, said, chance, assumed);
  const left = walkOf(weighed(one, seen), said);
  return scaledState({
    base, one: left, two: pairsOf(chance.length, (i, j) => two[i][j] * ofBoth(i, j)),
  });
}

function scaledState({ base, one, two }) {
  const total = totalMass(one) + sumOfPairs(two);
  if (!(Number.isFinite(total) && total > 0)) {
    throw new Contradiction("Expected some explanation to be left, got none");
  }
  return { base, one: times(one, 1 / total), two: two.map((row) => row.map((m) => m / total)) };
}

/** The chance of a reading for each pair, from its chance for each segment alone. */
export function ofTwo(line, said, chance, assumed) {
  const either = (i, j) => Math.max(chance[i], chance[j]);
  const fine = (isFine) => (isFine ? (i, j) => Math.min(chance[i], chance[j]) : either);
  switch (said.kind) {
    case "box":
    case "insulation": return ofSides(line, said, assumed);
    case "volts": return ofVolts(line, said, assumed);
    case "tone walked":
    case "gradient walked": return (i, j) => chance[i] * chance[j];
    case "distance":
    case "tone level": return nearestOf(line, said, chance);
    case "gradient": return (i, j) => (chance[i] + chance[j]) / 2;
    case "listened": return fine(said.heard);
    case "clamp": return fine(said.flows);
    case "bypass":
    case "spare": return fine(said.works);
    case "check": return fine(said.is_right);
    default: return either;
  }
}

/** An instrument at an end sees the nearest fault. */
function nearestOf(line, said, chance) {
  const place = placesOf(line);
  return (i, j) => {
    if (place[i] === place[j]) return (chance[i] + chance[j]) / 2;
    return (said.from_valve ? place[i] > place[j] : place[i] < place[j]) ? chance[i] : chance[j];
  };
}

/** A side reads bad if either fault makes it bad; the station runs if no fault is left. */
function ofSides(line, said, assumed) {
  const at = 2 * said.point - 1;
  const place = placesOf(line);
  const inside = place.length - CAUSES.length;
  const spoiled = (isOn, causes) =>
    place.map((each, i) => (i < inside ? isOn(each) : causes.includes(CAUSES[i - inside])));
  const before = spoiled((each) => each < at, SPOILS_CONTROLLER_SIDE);
  const beyond = spoiled((each) => each > at, SPOILS_VALVE_SIDE);
  const pair = sidesOf(assumed, said);
  const [here, elsewhere] = respliced(assumed, said.runs);
  return (i, j) =>
    pair(before[i] || before[j], beyond[i] || beyond[j]) *
    (place[i] === at && place[j] === at ? here : elsewhere);
}

/** Volts are low beyond either fault. */
function ofVolts(line, said, assumed) {
  const at = 2 * said.point - 1;
  const place = placesOf(line);
  const inside = place.length - CAUSES.length;
  const low = (isOn) => place.map((each, i) =>
    (i < inside ? isOn(each) : SPOILS_CONTROLLER_SIDE.includes(CAUSES[i - inside])));
  const before = low((each) => each < at);
  const withSplice = low((each) => each <= at);
  const chance = voltsChance(assumed, said);
  return (i, j) => chance(before[i] || before[j], withSplice[i] || withSplice[j]);
}

/** Which segments a mend was at. */
export function mendedAt({ legs }, place, { leg, point, check }) {
  const count = legs.length;
  return place.map((_, i) => {
    if (leg !== null) return i < 3 * count && i % count === leg;
    if (point !== null) return i === 3 * count + point - 1;
    return i === place.length - CAUSES.length + CAUSES.indexOf(CHECKS[check]);
  });
}

/** Which segments a new wire took out of use. */
function renewedAt({ legs }, place, { leg, conductor }) {
  const isCommon = conductor === "common";
  return place.map((_, i) =>
    i < 3 * legs.length && i % legs.length === leg &&
    (Math.floor(i / legs.length) === COMMON) === isCommon);
}

/**
 * The masses of what may be left alone, and of pairs that lie elsewhere. Of two faults at that
 * place a mend leaves one (`secondHere`), a new wire none.
 */
function cured({ one, two }, said, here, assumed, secondHere) {
  const left = massesOf(weighed(one, likelihoodOf(one, said, assumed, false))).map((mass, j) => {
    let other = 0;
    for (let i = 0; i < two.length; i += 1) if (here[i]) other += two[i][j];
    return mass + other * (here[j] ? secondHere : 2);
  });
  return { left, kept: (i, j) => (here[i] || here[j] ? 0 : two[i][j]) };
}

/** What is left when a place was mended and the station stayed dead. */
function afterMend(state, said, assumed) {
  const { base, one } = state;
  const { left, kept } = cured(state, said, mendedAt(base.line, placesOf(base.line), said), assumed, 1);
  const inVain = said.check === null ? assumed.mended_for_nothing : 1;
  const total = left.reduce((a, b) => a + b, 0);
  const share = assumed.two_faults;
  const again = (i, j) => (total > 0 ? (left[i] * left[j]) / total : 0);
  return scaledState({
    base,
    one: times(spread(left, one, base), 1 - share),
    two: pairsOf(left.length, (i, j) => kept(i, j) * inVain + share * again(i, j)),
  });
}

/** What is left when a leg has a new wire and the station stayed dead. */
function afterRenewal(state, said, assumed) {
  const { base, one } = state;
  const here = renewedAt(base.line, placesOf(base.line), said);
  const { left, kept } = cured(state, said, here, assumed, 0);
  return scaledState({
    base,
    one: spread(left, one, base),
    two: pairsOf(left.length, (i, j) => kept(i, j) * assumed.bypass_specificity),
  });
}
