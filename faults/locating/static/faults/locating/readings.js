// How readings change a belief: one function for each kind, by the kind's name in the plain form.
// Follows faults/locating/engines/box_tests.py, tones.py and other_tests.py.
import { BUNDLE, COMMON, HOT, byCause } from "./belief.js";
import {
  CHECKS, END_SPLICES, FLAT_LEVEL, LEAST_SD_FT, LOGISTIC, OUTSIDE, SPARED,
  SPOILS_CONTROLLER_SIDE, SPOILS_VALVE_SIDE,
  WORDS,
} from "./data.js";
import { UnusableReading } from "./errors.js";
import { BY_PROBES, hears, missedAtPoints, missedByProbes, missedOnLegs } from "./misses.js";
import { volts } from "./volts.js";

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
function twoSided(line, assumed, said) {
  const [here, elsewhere] = respliced(assumed, said.runs);
  const pair = sidesOf(assumed, said);
  const none = pair(false, false);
  const before = pair(true, false) * elsewhere;
  const beyond = pair(false, true) * elsewhere;
  const { point: box } = said;
  return {
    legs: alike(byCell(line, (leg) => (leg < box ? before : beyond))),
    splice: byPoint(line, (point) => (point < box ? before : point > box ? beyond : none * here)),
    outside: byCause((cause) => elsewhere * pair(
      SPOILS_CONTROLLER_SIDE.includes(cause), SPOILS_VALVE_SIDE.includes(cause))),
  };
}

/** The chance of what both sides read, where they are truly bad as given. */
export function sidesOf(assumed, said) {
  const test = said.kind === "box" ? "box" : "insulation";
  const { [`${test}_sensitivity`]: se, [`${test}_specificity`]: sp, box_swapped: swapped } = assumed;
  const side = (isBad, seenBad) => {
    if (seenBad === null) return 1;
    const bad = isBad ? se : 1 - sp;
    return seenBad ? bad : 1 - bad;
  };
  const sides = (a, b) => side(a, said.controller_bad) * side(b, said.valve_bad);
  return (before, beyond) =>
    (1 - swapped) * sides(before, beyond) + swapped * sides(beyond, before);
}

/** Chance that the station runs, or not, as seen: if this splice was bad, and if not. */
export function respliced(assumed, runs) {
  if (runs === null) return [1, 1];
  const [mended, other] = [assumed.check_sensitivity, 1 - assumed.check_specificity];
  return runs ? [mended, other] : [1 - mended, 1 - other];
}

/** What is fed to the hot wire passes a point unless that wire is broken before it. */
function passes(line, assumed, heard, se, sp, earlier) {
  const same = earlier.filter(
    (each) => each.point === heard.point && each.byClamp === heard.byClamp);
  const chance = (there) => {
    const alone = heard.wasThere ? there : 1 - there;
    if (!same.length) return alone;
    // Listening once more at the same point mostly says the same for the same reason.
    const again = assumed.same_again;
    const last = same[same.length - 1].wasThere;
    return again * (heard.wasThere === last ? 1 : 0) + (1 - again) * alone;
  };
  const [yes, no] = [chance(se), chance(1 - sp)];
  const hot = byCell(line, (leg) => (leg >= heard.point ? yes : no));
  return {
    legs: [hot, byCell(line, () => yes), hot],
    splice: byPoint(line, (each) => (each > heard.point ? yes : no)),
    outside: byCause((cause) => (cause === OUTSIDE.CONTROLLER_SPLICE ? no : yes)),
  };
}

/** What was heard at a point, as it is remembered. */
function heardIn(said) {
  const byClamp = said.kind === "clamp";
  return { point: said.point, byClamp, wasThere: byClamp ? said.flows : said.heard };
}

/** Tone or clamp at an uncut wire: heard means the fault is beyond. */
export function listened(line, assumed, said, _soilIsDry, { listened: earlier }) {
  const { listen_sensitivity: se, listen_specificity: sp } = assumed;
  return passes(line, assumed, heardIn(said), se, sp, earlier);
}

/** A clamp round the wire of a short: the fed current turns back at the short. */
export function clamped(line, assumed, said, _soilIsDry, { listened: earlier }) {
  const { clamp_sensitivity: se, clamp_specificity: sp } = assumed;
  return passes(line, assumed, heardIn(said), se, sp, earlier);
}

/** What lies on a walk that found nothing was missed, never ruled out. */
const onTheWay = (said) => [
  Math.min(said.point, said.to_point), Math.max(said.point, said.to_point),
];

/** A tone on one conductor tells nothing of another. */
function toneWalked(line, assumed, said, _soilIsDry, { walked }) {
  const [low, high] = onTheWay(said);
  const fed = said.conductor === "common" ? COMMON : HOT;
  const missed = missedAtPoints(line, walked, assumed);
  return {
    legs: [HOT, COMMON, BUNDLE].map((broken) => {
      const of = missedOnLegs(line, walked, broken, assumed);
      const isHeard = hears(fed, broken);
      return byCell(line, (leg) => (isHeard && leg >= low && leg < high ? of[leg] : 1));
    }),
    splice: byPoint(line, (point) =>
      (fed === HOT && point >= low && point <= high ? missed[point] : 1)),
    outside: byCause(() => 1),
  };
}

/** Two probes walked over the wire: a leak of any conductor would have shown. */
function gradientWalked(line, assumed, said, _soilIsDry, { walked }) {
  const [low, high] = onTheWay(said);
  const missed = missedByProbes(line, walked, assumed);
  return {
    legs: alike(byCell(line, (leg) => (leg >= low && leg < high ? missed.legs[leg] : 1))),
    splice: byPoint(line, (point) => (point >= low && point <= high ? missed.points[point] : 1)),
    outside: byCause(() => 1),
  };
}

/** How strong the tone is where it is fed; dry soil says nothing. */
function toneLevel(line, assumed, said, soilIsDry) {
  const level = "third" in said ? levelByThird : levelByMarks;
  // Marks that cannot be are refused, whatever the soil.
  if (level === levelByMarks && said.at_transmitter === said.on_sound_wire) {
    throw new UnusableReading(`Expected two marks that differ, got ${said.on_sound_wire} twice`);
  }
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
  const ends = { [OUTSIDE.COMMON_TERMINAL]: FLAT_LEVEL, [OUTSIDE.CONTROLLER_SPLICE]: chance(0) };
  return {
    legs: [cells, byCell(line, () => FLAT_LEVEL), cells],
    splice: line.pointFt.map(chance),
    outside: byCause((cause) => ends[cause] ?? whole),
  };
}

/** Where the wire is whole to its first foot. */
const STARTS = [OUTSIDE.OUTPUT, OUTSIDE.CONTROLLER_SPLICE];

/**
 * Feet to the fault by an instrument: normal about the place, or the farthest place that it says;
 * mixed with useless readings.
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
    const near = said.is_farthest
      ? (1 + Math.tanh(((said.feet - s) * LOGISTIC) / (2 * sd))) / 2 / all
      : normal(said.feet - s, sd);
    return (1 - useless) * near + useless / all;
  };
  return {
    legs: alike(line.cellFt.map((feet, i) => chance(feet, guessedAtCell[i]))),
    splice: line.pointFt.map((feet, i) => chance(feet, guessedAtPoint[i])),
    outside: byCause((cause) => {
      if (STARTS.includes(cause)) return chance(0, 0);
      return SPOILS_VALVE_SIDE.includes(cause) ? chance(all, guessedInAll) : 1 / all;
    }),
  };
}

/** A jumper or new wire round one leg: that of one conductor does not help the other. */
export function bypassed(line, assumed, said) {
  const inVain = 1 - assumed.bypass_specificity;
  const yes = said.works ? assumed.bypass_sensitivity : 1 - assumed.bypass_sensitivity;
  const no = said.works ? inVain : 1 - inVain;
  const seen = even(line, no);
  const here = byCell(line, (leg) => (leg === said.leg ? yes : no));
  const isCommon = said.conductor === "common";
  return { ...seen, legs: seen.legs.map((cells, c) => ((c === COMMON) === isCommon ? here : cells)) };
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
    outside: byCause((cause) => chance(SPARED.includes(cause) ? helps : inVain)),
  };
}

/** A box looked into: a bad splice mostly looks wet or corroded. */
function looked(line, assumed, said) {
  if (said.wear === null) return even(line, 1);
  const { worn_if_bad: worn, worn_otherwise: usual } = assumed;
  const [here, other] = said.wear === "sound" ? [1 - worn, 1 - usual] : [worn, usual];
  const seen = even(line, other);
  return { ...seen, splice: byPoint(line, (point) => (point === said.point ? here : other)) };
}

/** Ohms of the whole loop at the controller: open, short or high by the wire, low by the coil. */
export function ohmsRead(line, assumed, said) {
  const chance = (shares) => {
    const rest = Math.max(0, 1 - Object.values(shares).reduce((a, b) => a + b, 0));
    const share = shares[said.ohms] ?? (said.ohms === "as expected" ? rest : 0);
    return (1 - assumed.ohms_wrong) * share + assumed.ohms_wrong / WORDS.ohms.length;
  };
  const fine = chance({ "as expected": 1 });
  const wire = chance({
    open: assumed.leg_reads_open,
    "dead short": assumed.leg_reads_short,
    high: assumed.leg_reads_high,
    "coil low": assumed.leg_reads_low,
    // Joined at the valve, the coil cannot hide it: a damaged wire never reads as expected.
    ...(said.joined ? { "as expected": 0 } : {}),
  });
  const coil = chance({
    open: assumed.coil_reads_open,
    "coil low": assumed.coil_reads_low,
    "dead short": assumed.coil_reads_short,
  });
  const other = {
    [OUTSIDE.COMMON_TERMINAL]: chance({ open: 0.5, "as expected": 0.5 }),
    // Another wire leads nowhere or to a coil of its own, whatever is joined at this valve.
    [OUTSIDE.WRONG_WIRE]: chance(said.joined
      ? { open: 0.4, high: 0.6 }
      : { open: 0.4, high: 0.2, "coil low": 0.1, "as expected": 0.3 }),
    // Joined at the valve, neither the coil nor its splices are in the loop.
    [OUTSIDE.COIL]: said.joined ? fine : coil,
    ...(said.joined ? { [OUTSIDE.VALVE_SPLICE]: fine } : {}),
  };
  const outside = (cause) => other[cause] ?? (END_SPLICES.includes(cause) ? wire : fine);
  return { ...even(line, wire), outside: byCause(outside) };
}

/** A place that was mended, or a part replaced, while the station stayed dead. */
function mended(line, assumed, { leg, point, check }) {
  if ([leg, point, check].filter((each) => each === null).length !== 2) {
    throw new UnusableReading("Expected a leg, a box or a part that was mended");
  }
  const fails = assumed.mend_fails;
  const inVain = check === null ? assumed.mended_for_nothing : 1;
  return {
    legs: alike(byCell(line, (each) => (each === leg ? fails : inVain))),
    splice: byPoint(line, (each) => (each === point ? fails : inVain)),
    outside: byCause((cause) => (check !== null && cause === CHECKS[check] ? fails : inVain)),
  };
}

const KINDS = {
  box: twoSided,
  insulation: twoSided,
  listened,
  "tone walked": toneWalked,
  "tone level": toneLevel,
  distance,
  bypass: bypassed,
  check: checked,
  gradient: earthGradient,
  "gradient walked": gradientWalked,
  clamp: clamped,
  spare: spareTried,
  looked,
  ohms: ohmsRead,
  mended,
  volts,
};

/**
 * The chance of a reading under each hypothesis; the same walked or heard once more tells less.
 *
 * @param {Belief} belief
 * @param {object} said the reading, its points counted along the line
 * @param {Record<string, number>} assumed
 * @param {boolean} soilIsDry
 * @returns {Likelihood}
 * @throws {UnusableReading} it cannot be
 */
export function likelihoodOf(belief, said, assumed, soilIsDry) {
  return KINDS[said.kind](belief.line, assumed, said, soilIsDry, belief);
}

/** The belief with what it remembers of a reading. @returns {Belief} */
export function walkOf(belief, said) {
  if (said.kind === "listened" || said.kind === "clamp") {
    return { ...belief, listened: [...belief.listened, heardIn(said)] };
  }
  if (said.kind !== "tone walked" && said.kind !== "gradient walked") return belief;
  const [low, high] = onTheWay(said);
  const ofTone = said.conductor === "common" ? COMMON : said.conductor === "bundle" ? BUNDLE : HOT;
  const conductor = said.kind === "gradient walked" ? BY_PROBES : ofTone;
  return { ...belief, walked: [...belief.walked, { low, high, conductor }] };
}
