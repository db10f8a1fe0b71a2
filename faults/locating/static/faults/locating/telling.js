// What each test did, and what there is to say of a search, without words.
// Follows faults/locating/engines/effects.py and cases.py. Loaded after the plan is there.
import { byLeg } from "./belief.js";
import { BEHIND, FINDS_BY_EARTH, IN_VALVE_BOX, OUTSIDE, SYMPTOM } from "./data.js";
import { nearest, sumOfPairs } from "./pairs.js";
import { searchOf, standOf } from "./plain.js";
import { begunOf } from "./searching.js";
import {
  AS_GOOD_AS_FOUND, BY_ITSELF, CASE, LEADS, LEAST_CHANCE, LEAST_SECOND, MOST_ERRORS,
  MOST_WALKED_OVER, OVER_LENGTH, SHARES_ALIKE, THIRDS_NEED_FT,
} from "./telling_data.js";
import {
  chanceOf, chanceOfLast, cheapestRetest, clash, next, shareOfSecond,
} from "./tension.js";

/**
 * What each reading that stands did, up to the one that left no explanation, and what there is to
 * say, the most pressing first; `pastBudget` says the rest.
 *
 * @param {object} plain a search @param {object} plainStand
 * @returns {{effects: {chance: number, moved: object | null}[], findings: object[],
 *   before: {legs: number[], splices: number[], outside: object}}} `moved` null = nothing fits;
 *   `before` what was believed before the last test
 */
export function tell(plain, plainStand) {
  const search = searchOf(plain);
  const states = statesOf(search);
  const beliefs = states.map(nearest);
  // What stands after a contradiction counts for nothing.
  const readings = search.readings.slice(0, states.length);
  const effects = readings.map((said, i) => ({
    chance: chanceOf(search, states[i], said, search.assumed),
    moved: i + 1 < beliefs.length ? moved(beliefs[i], beliefs[i + 1]) : null,
  }));
  const stand = standOf(plainStand, search.ids);
  const seen = { search: { ...search, readings }, states, stand, symptom: plain.symptom };
  seen.belief = states.length > readings.length ? beliefs.at(-1) : null;
  const order = Object.values(CASE);
  const found = [fit, mended, sides, distances, tones, hints, outside, jumper].flatMap((each) => each(seen));
  const findings = found.sort((a, b) => order.indexOf(a.case) - order.indexOf(b.case));
  const before = beliefs.at(-1);
  return {
    effects,
    findings,
    before: { legs: byLeg(before), splices: Array.from(before.splice), outside: before.outside },
  };
}

const finding = (name, figures = {}, about = {}) =>
  ({ case: name, figures, readings: [], points: [], legs: [], by_leg: [], ...about });

/** The state before any reading and after each, up to the last that has an explanation. */
function statesOf(search) {
  const states = [begunOf(search)];
  for (const said of search.readings) {
    const state = next(search, states.at(-1), said);
    if (!state) break;
    states.push(state);
  }
  return states;
}

/** What changed most, the first in the order of legs, splices and causes. */
function moved(before, after) {
  const shares = (belief) => [
    ...byLeg(belief).map((share, i) => ["leg", i, share]),
    ...Array.from(belief.splice, (share, i) => ["splice", i, share]),
    ...Object.values(OUTSIDE).map((cause, i) => ["outside", i, belief.outside[cause]]),
  ];
  const [was, is] = [shares(before), shares(after)];
  const off = was.map(([, , share], i) => Math.abs(is[i][2] - share));
  const at = off.findIndex((each) => each >= Math.max(...off) - SHARES_ALIKE);
  const [kind, index, start] = was[at];
  return { kind, index, start, end: is[at][2] };
}

const secondOf = ({ states, belief }) => (belief ? sumOfPairs(states.at(-1).two) : null);

function fit(seen) {
  const { search, states, stand, belief } = seen;
  const last = search.readings.length - 1;
  if (!belief) return [finding(CASE.CONTRADICTION, {}, { readings: clash(search, states, last) })];
  if (last < 0) return [];
  const chance = chanceOfLast(search, states[last], search.readings[last]);
  const second = secondOf(seen);
  if (chance >= LEAST_CHANCE && second <= 0.5) return [];
  const again = cheapestRetest(search, states, stand);
  return [finding(CASE.TENSION, {
    chance, second_fault: second, bad_reading: 1 - second, retest_min: again.minutes,
  }, { readings: [last, again.reading] })];
}

const sumOver = (belief, causes) => causes.reduce((sum, cause) => sum + belief.outside[cause], 0);

/** The last mend that left the station dead, and where the other fault then lies. */
function mended({ search: { readings, assumed }, states, belief }) {
  const at = readings.findLastIndex((said) => said.kind === "mended" && said.check === null);
  if (at < 0 || !belief) return [];
  const { leg, point } = readings[at];
  const about = { points: point === null ? [] : [point], legs: leg === null ? [] : [leg] };
  if (shareOfSecond(states[at], readings[at], assumed) < LEAST_SECOND) {
    return [finding(CASE.NO_SECOND_FITS, {}, about)];
  }
  const figures = { at_controller: sumOver(belief, BEHIND), at_valve: sumOver(belief, IN_VALVE_BOX) };
  return [finding(CASE.STILL_DEAD, figures, { ...about, by_leg: byLeg(belief) })];
}

/** The last test of each box, where its sides read alike. */
function sides(seen) {
  const last = new Map();
  seen.search.readings.forEach((said, i) => { if ("runs" in said) last.set(said.point, [i, said]); });
  return [...last].flatMap(([point, [i, { controller_bad: isBad, valve_bad: isOtherBad }]]) => {
    if (isBad === null || isBad !== isOtherBad) return [];
    const about = { readings: [i], points: [point] };
    if (!isBad) return [finding(CASE.BOTH_GOOD, {}, about)];
    const second = secondOf(seen);
    return [finding(CASE.BOTH_BAD, second === null ? {} : { second_fault: second }, about)];
  });
}

function distances({ search: { readings, assumed }, states }) {
  const { line } = states[0].base;
  const { lengthFt: length } = line;
  const read = readings.map((said, i) => ({ said, i }))
    .filter(({ said }) => said.kind === "distance" && !said.is_farthest);
  const found = read
    .filter(({ said: { feet } }) => !(feet >= 0 && feet <= (1 + OVER_LENGTH) * length))
    .map(({ said: { feet }, i }) =>
      finding(CASE.DISTANCE_OUT_OF_RANGE, { feet, length_ft: length }, { readings: [i] }));
  const guessed = line.legs.flatMap((leg, i) => (leg.is_guessed ? [i] : []));
  if (read.length && guessed.length) {
    found.push(finding(CASE.LENGTHS_GUESSED, {}, { readings: [read.at(-1).i], legs: guessed }));
  }
  const [near, far] = [false, true].map((end) => read.findLast(({ said }) => said.from_valve === end));
  if (!near || !far) return found;
  const sdOf = ({ said: { feet, sd_ft: sd, sd_share: share } }) =>
    Math.hypot(sd ?? assumed.distance_sd_ft, (share ?? assumed.distance_sd_share) * feet);
  const sd = Math.hypot(sdOf(near), sdOf(far), assumed.guessed_sd_share * line.guessedAtPoint.at(-1));
  const sum = near.said.feet + far.said.feet;
  if (Math.abs(sum - length) > MOST_ERRORS * sd) {
    const figures = { sum_ft: sum, length_ft: length, sd_ft: sd };
    found.push(finding(CASE.DISTANCES_DISAGREE, figures, { readings: [near.i, far.i] }));
  }
  return found;
}

function tones({ search: { readings, soilIsDry }, states }) {
  const { legs, lengthFt: length } = states[0].base.line;
  const found = readings.flatMap((said, i) => {
    if (said.kind !== "tone level") return [];
    if (soilIsDry) return [finding(CASE.DRY_LEVEL, {}, { readings: [i] })];
    if (said.third !== "low" || length >= THIRDS_NEED_FT) return [];
    return [finding(CASE.SHORT_PATH, { length_ft: length }, { readings: [i] })];
  });
  const times = legs.map((_, leg) => readings.filter(({ kind, point, to_point: to }) =>
    kind === "tone walked" && Math.min(point, to) <= leg && leg < Math.max(point, to)).length);
  const often = times.flatMap((each, leg) => (each >= MOST_WALKED_OVER ? [leg] : []));
  if (!often.length) return found;
  return [...found, finding(CASE.WALKED_IN_VAIN, { times: Math.max(...times) }, { legs: often })];
}

function hints({ search: { assumed, soilIsDry }, symptom }) {
  const found = [];
  if (symptom in BY_ITSELF) found.push(finding(BY_ITSELF[symptom]));
  if (symptom === SYMPTOM.SHORT) {
    found.push(finding(CASE.SHORT_PASSES_TONE, { detects: assumed.tone_detects }));
  }
  if (symptom === SYMPTOM.LEAK || (soilIsDry && FINDS_BY_EARTH.includes(symptom))) {
    found.push(finding(CASE.NICK_READS_GOOD, { sensitivity: assumed.box_sensitivity }));
  }
  return found;
}

function outside({ belief, symptom }) {
  if (!belief) return [];
  const found = [];
  const common = belief.outside[OUTSIDE.COMMON_TERMINAL];
  if (common > 0.5) found.push(finding(CASE.OTHERS_DEAD, { share: common }));
  const most = Math.max(...byLeg(belief), ...belief.splice, LEADS);
  const leads = (name, share) => { if (share >= most) found.push(finding(name, { share })); };
  leads(CASE.AT_CONTROLLER, sumOver(belief, BEHIND));
  // Of a valve that does not shut its own case says more.
  if (symptom !== SYMPTOM.STAYS_ON) leads(CASE.AT_VALVE, sumOver(belief, IN_VALVE_BOX));
  leads(CASE.OTHER_WIRE, belief.outside[OUTSIDE.WRONG_WIRE]);
  return found;
}

function jumper({ search: { readings }, belief }) {
  if (!belief) return [];
  const shares = byLeg(belief);
  return readings.flatMap(({ kind, leg, works }, i) =>
    (kind === "bypass" && works && shares[leg] > AS_GOOD_AS_FOUND
      ? [finding(CASE.JUMPER_WORKS, { share: shares[leg] }, { readings: [i], legs: [leg] })]
      : []));
}

/** The case of a search that took longer than is allowed. @param {{minutes: number, budget_min: number | null}} about */
export const pastBudget = ({ minutes, budget_min: allowed }) =>
  (allowed !== null && minutes > allowed ? [finding(CASE.PAST_BUDGET, { minutes, budget_min: allowed })] : []);

export { reasons } from "./reasons.js";
