// How readings change a belief: one function for each kind, by the kind's name in the plain form.
// Follows faults/locating/engines/box_tests.py, tones.py and other_tests.py.
import { COMMON, HOT, byCause, scaled, weighed } from "./belief.js";
import { CHECKS, FLAT_LEVEL, LEAST_SD_FT, OUTSIDE } from "./data.js";
import { UnusableReading } from "./errors.js";

/** The same for all conductors. */
const alike = (cells) => [cells, cells, cells];

/** An array from a function of the leg of each cell. */
const byCell = (line, chance) => Float64Array.from(line.cellLeg, (leg) => chance(leg));

/** An array from a function of each point. */
const byPoint = (line, chance) => line.pointFt.map((_, point) => chance(point));

const even = (line, chance) => ({
  legs: alike(byCell(line, () => chance)),
  splice: byPoint(line, () => chance),
  outside: byCause(() => chance),
});

const normal = (off, sd) => Math.exp(-0.5 * (off / sd) ** 2) / (sd * Math.sqrt(2 * Math.PI));

/**
 * A splice cut open and both sides tested: null where a side was not tested, or where nobody saw
 * whether the station ran once the box was spliced again.
 */
function twoSided(line, assumed, said, se, sp) {
  const swapped = assumed.box_swapped;
  const [here, elsewhere] = splicedAnew(assumed, said.runs);
  const side = (isBad, seenBad) => {
    if (seenBad === null) return 1;
    const bad = isBad ? se : 1 - sp;
    return seenBad ? bad : 1 - bad;
  };
  const sides = (a, b) => side(a, said.controller_bad) * side(b, said.valve_bad);
  const pair = (before, beyond) =>
    (1 - swapped) * sides(before, beyond) + swapped * sides(beyond, before);
  const none = pair(false, false);
  const before = pair(true, false) * elsewhere;
  const beyond = pair(false, true) * elsewhere;
  const { point: box } = said;
  return {
    legs: alike(byCell(line, (leg) => (leg < box ? before : beyond))),
    splice: byPoint(line, (point) => (point < box ? before : point > box ? beyond : none * here)),
    outside: {
      [OUTSIDE.OUTPUT]: before, [OUTSIDE.COMMON_TERMINAL]: before, [OUTSIDE.COIL]: beyond, [OUTSIDE.WATER]: none * elsewhere,
    },
  };
}

/** Chance that the station runs, or not, as seen: if this splice was bad, and if not. */
function splicedAnew(assumed, runs) {
  if (runs === null) return [1, 1];
  const [mended, other] = [assumed.check_sensitivity, 1 - assumed.check_specificity];
  return runs ? [mended, other] : [1 - mended, 1 - other];
}

/** For a way through, or for a station that runs by each side. */
const boxTest = (line, assumed, said) =>
  twoSided(line, assumed, said, assumed.box_sensitivity, assumed.box_specificity);

/** Megohms to earth of both sides, for leaks. A dry nick reads good. */
const insulation = (line, assumed, said) =>
  twoSided(line, assumed, said, assumed.insulation_sensitivity, assumed.insulation_specificity);

/** What passes a point only where the fault is beyond it: fed from the controller. */
function passes(line, point, isSeen, se, sp) {
  const chance = (seen) => (isSeen ? seen : 1 - seen);
  const [yes, no] = [chance(se), chance(1 - sp)];
  return {
    legs: alike(byCell(line, (leg) => (leg >= point ? yes : no))),
    splice: byPoint(line, (each) => (each > point ? yes : no)),
    outside: byCause(() => yes),
  };
}

/** Tone or clamp at an uncut wire: heard means the fault is beyond. */
function listened(line, assumed, said) {
  const { listen_sensitivity: se, listen_specificity: sp } = assumed;
  return passes(line, said.point, said.heard, se, sp);
}

/** A clamp round the wire of a short: the fed current turns back at the short. */
const clamped = (line, assumed, said) =>
  passes(line, said.point, said.flows, assumed.clamp_sensitivity, assumed.clamp_specificity);

/** What lies on a walk that found nothing was missed, never ruled out. */
const onTheWay = (said) => [
  Math.min(said.point, said.to_point), Math.max(said.point, said.to_point),
];

/** A tone on one conductor tells nothing of another. */
function toneWalked(line, assumed, said) {
  const [low, high] = onTheWay(said);
  const missed = 1 - assumed.tone_detects;
  const cells = byCell(line, (leg) => (leg >= low && leg < high ? missed : 1));
  const ones = byCell(line, () => 1);
  const isHot = said.conductor !== "common";
  const legs = [cells, cells, cells];
  legs[isHot ? COMMON : HOT] = ones;
  return {
    legs,
    splice: byPoint(line, (point) => (isHot && point >= low && point <= high ? missed : 1)),
    outside: byCause(() => 1),
  };
}

/** Two probes walked over the wire: a leak of any conductor would have shown. */
function gradientWalked(line, assumed, said) {
  const [low, high] = onTheWay(said);
  const missed = 1 - assumed.gradient_detects;
  return {
    legs: alike(byCell(line, (leg) => (leg >= low && leg < high ? missed : 1))),
    splice: byPoint(line, (point) => (point >= low && point <= high ? missed : 1)),
    outside: byCause(() => 1),
  };
}

/** How strong the tone is where it is fed; dry soil says nothing. */
function toneLevel(line, assumed, said, soilIsDry) {
  const level = "third" in said ? levelByThird : levelByMarks;
  return soilIsDry ? even(line, 1) : level(line, assumed, said);
}

/** Without marks of the user's own. */
function levelByThird(line, assumed, said) {
  const all = line.lengthFt;
  const chance = (feet) => {
    const s = said.from_valve ? all - feet : feet;
    const low = 1 / (1 + Math.exp((s - 100) / 30)) + 0.05;
    const middle = Math.exp(-0.5 * ((s - 0.5 * all) / (0.2 * all)) ** 2) + 0.05;
    const top = s > 0.9 * all ? 1 : Math.exp(-0.5 * ((s - 0.9 * all) / (0.15 * all)) ** 2);
    const chosen = { low, middle, top: top + 0.05 }[said.third];
    return chosen / (low + middle + top + 0.05);
  };
  return {
    legs: alike(line.cellFt.map(chance)),
    splice: line.pointFt.map(chance),
    outside: byCause(() => 1 / 3),
  };
}

/** Between what the receiver shows at the transmitter and on a sound wire: the share that is fed. */
function levelByMarks(line, assumed, said) {
  if (said.at_transmitter === said.on_sound_wire) {
    throw new UnusableReading(`Expected two marks that differ, got ${said.on_sound_wire} twice`);
  }
  const share = (said.level - said.at_transmitter) / (said.on_sound_wire - said.at_transmitter);
  const { level_useless: useless, level_sd_share: sd } = assumed;
  const all = line.lengthFt;
  const chance = (feet) => {
    const fed = (said.from_valve ? all - feet : feet) / all;
    return (1 - useless) * normal(share - fed, sd) + useless * FLAT_LEVEL;
  };
  // A broken common leaves the hot wire whole to the coil and on: nothing is said of it.
  const whole = chance(said.from_valve ? 0 : all);
  const cells = line.cellFt.map(chance);
  return {
    legs: [cells, byCell(line, () => FLAT_LEVEL), cells],
    splice: line.pointFt.map(chance),
    outside: byCause((cause) => (cause === OUTSIDE.COMMON_TERMINAL ? FLAT_LEVEL : whole)),
  };
}

/**
 * Feet to the fault by an instrument: normal about the place, mixed with useless readings.
 *
 * @returns {Likelihood}
 */
export function distance(line, assumed, said) {
  for (const name of ["sd_ft", "sd_share"]) {
    if (said[name] < 0) throw new UnusableReading(`Expected ${name} >= 0, got ${said[name]}`);
  }
  const all = line.lengthFt;
  const sd0 = said.sd_ft ?? assumed.distance_sd_ft;
  const share = said.sd_share ?? assumed.distance_sd_share;
  const useless = assumed.distance_useless;
  // Guessed lengths between the instrument and the place widen it.
  const { guessedAtCell, guessedAtPoint } = line;
  const guessedInAll = guessedAtPoint[guessedAtPoint.length - 1];
  const chance = (feet, guessedFt) => {
    const s = said.from_valve ? all - feet : feet;
    const guessed = said.from_valve ? guessedInAll - guessedFt : guessedFt;
    const own = Math.hypot(sd0, share * s);
    const sd = Math.max(Math.hypot(own, assumed.guessed_sd_share * guessed), LEAST_SD_FT);
    return (1 - useless) * normal(said.feet - s, sd) + useless / all;
  };
  return {
    legs: alike(line.cellFt.map((feet, i) => chance(feet, guessedAtCell[i]))),
    splice: line.pointFt.map((feet, i) => chance(feet, guessedAtPoint[i])),
    outside: {
      [OUTSIDE.OUTPUT]: chance(0, 0),
      [OUTSIDE.COMMON_TERMINAL]: 1 / all,
      [OUTSIDE.COIL]: chance(all, guessedInAll),
      [OUTSIDE.WATER]: 1 / all,
    },
  };
}

/** A jumper round one leg: it does not help a broken common. */
export function bypassed(line, assumed, said) {
  const inVain = 1 - assumed.bypass_specificity;
  const yes = said.works ? assumed.bypass_sensitivity : 1 - assumed.bypass_sensitivity;
  const no = said.works ? inVain : 1 - inVain;
  const seen = even(line, no);
  const here = byCell(line, (leg) => (leg === said.leg ? yes : no));
  return { ...seen, legs: seen.legs.map((cells, c) => (c === COMMON ? cells : here)) };
}

/** One cause outside the wire looked at: is it right? */
function checked(line, assumed, said) {
  const bad = assumed.check_sensitivity;
  const fine = assumed.check_specificity;
  const ifCause = said.is_right ? 1 - bad : bad;
  const ifNot = said.is_right ? fine : 1 - fine;
  const cause = CHECKS[said.check];
  const seen = even(line, ifNot);
  return { ...seen, outside: { ...seen.outside, [cause]: ifCause } };
}

/** The place where a leak's current enters the ground, found by two probes. */
const earthGradient = (line, assumed, said) =>
  distance(line, assumed, { feet: said.feet, sd_ft: assumed.gradient_sd_ft, sd_share: 0 });

/** Moved to a spare of the same bundle: it helps where only the hot wire is broken. */
export function spareTried(line, assumed, said) {
  const helps = assumed.spare_sensitivity;
  const inVain = 1 - assumed.spare_specificity;
  const spared = 1 - assumed.neighbour_dead_if_bundle;
  const bundle = spared * helps + (1 - spared) * inVain;
  const chance = (works) => (said.works ? works : 1 - works);
  return {
    legs: [helps, inVain, bundle].map((works) => byCell(line, () => chance(works))),
    splice: byPoint(line, () => chance(helps)),
    outside: byCause(() => chance(inVain)),
  };
}

const KINDS = {
  box: boxTest,
  listened,
  "tone walked": toneWalked,
  "tone level": toneLevel,
  distance,
  bypass: bypassed,
  check: checked,
  gradient: earthGradient,
  "gradient walked": gradientWalked,
  clamp: clamped,
  insulation,
  spare: spareTried,
};

/**
 * The belief after one reading.
 *
 * @param {Belief} belief
 * @param {object} said the reading, its points counted along the line
 * @param {Record<string, number>} assumed
 * @param {boolean} soilIsDry
 * @returns {Belief}
 * @throws {Contradiction} no explanation is left
 * @throws {UnusableReading} it cannot be
 */
export function updated(belief, said, assumed, soilIsDry) {
  return scaled(weighed(belief, KINDS[said.kind](belief.line, assumed, said, soilIsDry)));
}
