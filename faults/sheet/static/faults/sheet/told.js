// What each test did and what there is to say of a search, in the words that came with the sheet.
// Follows `_words` and `_values` of finding_words.py, `effect_words` of words.py and `tried_lines`
// of shown.py, all in services/ of faults/locating.
import { NO_CHANCE, SHARES_ALIKE, SURPRISE } from "../locating/telling_data.js";
import { share } from "./shown.js";
import { fill } from "./view.js";

const READINGS = { "readings in tension": ["last", "again"], "no explanation is left": ["earlier", "last"] };
const SHARES = { share: "share", bad_reading: "bad", second_fault: "second" };
const LENGTHS = { feet: "feet", length_ft: "length", sum_ft: "sum" };
const MINUTES = { minutes: "minutes", budget_min: "allowed", retest_min: "minutes" };

/**
 * The points by their order along the line, where among them one stands, and how it is said.
 *
 * @param {any} line the plain form @param {Record<string, string>} names of points by key
 * @param {any} stand @param {any} words of the step @param {(feet: number) => string} length
 */
export function placesOf({ points, legs }, names, stand, words, length) {
  let feet = 0;
  return {
    names: points.map((point) => names[point] ?? "?"),
    feet: points.map((_, i) => (feet += i ? legs[i - 1].length_ft : 0)),
    legs: legs.map((leg) => leg.name),
    at: points.indexOf(stand.at),
    words,
    length,
  };
}

const standing = ({ readings }) => readings.filter((reading) => !reading.voided);

/**
 * What there is to say, the most pressing first, less what stands among the cautions already.
 *
 * @param {{told: any, place: any, now: any, step: any}} at what the engine tells, null where it is
 *   not there; `placesOf`; the readings, each with its words as in the list of tests
 * @returns {{words: string, is_grave: boolean}[]}
 */
export function findingLines({ told, place, now, step }) {
  if (!told) return [];
  const of = { ...step.telling, ...place, tests: standing(now).map((reading) => reading.words) };
  return told.findings
    .map((each) => ({ words: inWords(each, of), is_grave: of.grave.includes(each.case) }))
    .filter(({ words }) => !step.cautions.includes(words));
}

function inWords(finding, of) {
  const values = valuesOf(finding, of);
  const alone = of.templates[`${finding.case}, alone`];
  const [words, only] = alone && !("earlier" in values || "share" in values) ? alone : of.templates[finding.case];
  return fill(words, only ? values[only] : values);
}

function valuesOf({ case: name, figures, readings, points, legs, by_leg: byLeg }, of) {
  const tests = readings.map((i) => fill(of.quoted, of.tests[i]));
  const names = tests.length ? (READINGS[name] || []).slice(-tests.length) : [];
  const values = Object.fromEntries(names.map((each, i) => [each, tests[i]]));
  for (const [figure, value] of Object.entries(figures)) {
    if (figure in SHARES) values[SHARES[figure]] = share(value, of.words);
    else if (figure in LENGTHS) values[LENGTHS[figure]] = of.length(value);
    else if (figure in MINUTES) values[MINUTES[figure]] = Math.max(1, Math.floor(value + 0.5));
  }
  if (name === "both sides bad" && "second" in values) values.share = values.second;
  if (points.length) values.point = of.names[points[0]];
  let about = legs;
  if (byLeg.length) {
    const most = Math.max(...byLeg);
    about = [byLeg.findIndex((each) => each >= most - SHARES_ALIKE)];
    values.share = share(byLeg[about[0]], of.words);
  }
  if (about.length) values.leg = about.map((i) => of.legs[i]).join(", ");
  return values;
}

/** At a place that this wire no longer has: taken back by nobody, yet it counts for nothing. */
export const isLost = (reading, one) => one.lost.includes(reading.id);

/** By reading: how likely its result was, unless that says nothing, and what it changed. */
export function effectLines({ told, place, now, step, one }) {
  const of = { ...step.telling, ...place, places: one.places };
  const lost = now.readings.filter((reading) => isLost(reading, one));
  const lines = new Map(lost.map((reading) => [reading, of.effects.lost]));
  standing(now).slice(0, told ? told.effects.length : 0).forEach((reading, i) => {
    lines.set(reading, chanceWords(told.effects[i], reading, of) + effectWords(told.effects[i].moved, of));
  });
  return lines;
}

function chanceWords({ chance }, reading, { words }) {
  const isChance = reading.kind === "looked" ? Boolean(reading.wear) : !NO_CHANCE.includes(reading.kind);
  if (!isChance) return "";
  const likely = `${words.so_likely}: ${share(Math.min(chance, 1), words)}`;
  return chance < SURPRISE ? `${likely} (${words.surprising}). ` : `${likely}. `;
}

function effectWords(moved, { effects, places, words }) {
  if (!moved) return effects.nothing;
  const [start, end] = [share(moved.start, words), share(moved.end, words)];
  if (start === end) return effects.little;
  const told = fill(effects.moved, { place: places[moved.kind][moved.index], start, end });
  return told[0].toUpperCase() + told.slice(1);
}
