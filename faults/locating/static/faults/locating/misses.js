// Walks that find nothing: a place that did not show may be one that never will.
// Follows faults/locating/engines/misses.py, and what tones.py and other_tests.py make of it.
import { BUNDLE, COMMON, HOT } from "./belief.js";

/** Conductor of a walk with two probes. */
export const BY_PROBES = null;

/** The chance to miss a fault once more that so many walks have missed. */
function missedAfter(times, detects, neverShows) {
  const hidden = (1 - detects) * neverShows;
  const once = hidden < 1 ? 1 - detects / (1 - hidden) : 1;
  const before = hidden + (1 - hidden) * once ** times;
  const after = hidden + (1 - hidden) * once ** (times + 1);
  return before > 0 ? after / before : 0;
}

/** Whether a walk was one with the tone on a conductor; the bundle hears both. */
const isToneOn = (conductor) => (walk) =>
  walk.conductor !== BY_PROBES && (conductor === BUNDLE || walk.conductor === conductor);

const isByProbes = (walk) => walk.conductor === BY_PROBES;

const missedOn = (line, walks, counts, detects, neverShows) => line.legs.map((_, leg) =>
  missedAfter(
    walks.filter((walk) => counts(walk) && walk.low <= leg && leg < walk.high).length,
    detects,
    neverShows,
  ));

const missedAt = (line, walks, counts, detects, neverShows) =>
  Array.from(line.pointFt, (_, point) =>
    missedAfter(
      walks.filter((walk) => counts(walk) && walk.low <= point && point <= walk.high).length,
      detects,
      neverShows,
    ));

/** The chance that the next tone misses such a break on each leg. */
export function missedOnLegs(line, walks, conductor, assumed) {
  return missedOn(line, walks, isToneOn(conductor), assumed.tone_detects, assumed.never_shows);
}

/** The chance that the next tone misses a bad splice of the hot wire at each point. */
export function missedAtPoints(line, walks, assumed) {
  return missedAt(line, walks, isToneOn(HOT), assumed.tone_detects, assumed.never_shows);
}

/** The chance that the next walk with two probes misses a leak: by leg, by point. */
export function missedByProbes(line, walks, assumed) {
  const rates = [assumed.gradient_detects, assumed.never_shows];
  return {
    legs: missedOn(line, walks, isByProbes, ...rates),
    points: missedAt(line, walks, isByProbes, ...rates),
  };
}

/** Whether a tone fed on a conductor shows a break of another. */
export function hears(fed, broken) {
  return broken === BUNDLE || (fed === COMMON) === (broken === COMMON);
}
