// Readings that do not go together: which two, how unlikely the last, what to repeat.
// Follows faults/locating/engines/tension.py, and `State` of pairs.py.
import { totalMass, weighed } from "./belief.js";
import { Contradiction } from "./errors.js";
import {
  afterReading, chancesOf, massesOf, mendedAt, ofTwo, placesOf, sumOfPairs,
} from "./pairs.js";
import { likelihoodOf } from "./readings.js";
import { AT_ITS_POINT, NUMBER_RESULTS, SHARES_ALIKE, WALKED } from "./telling_data.js";

/** The state after a reading, null where nothing explains it. */
export function next(search, state, said) {
  try {
    return afterReading(state, said, search.assumed, search.soilIsDry);
  } catch (problem) {
    if (problem instanceof Contradiction) return null;
    throw problem;
  }
}

/** The state after several readings, null where they leave no explanation. */
const after = (search, state, readings) =>
  readings.reduce((left, said) => left && next(search, left, said), state);

/** How likely a result is; a density per foot for a distance. */
export function chanceOf({ soilIsDry }, { base, one, two }, said, assumed) {
  if (said.kind === "mended") return 1;
  const seen = likelihoodOf(one, said, assumed, soilIsDry);
  const ofBoth = ofTwo(base.line, said, chancesOf(seen, base), assumed);
  const both = two.map((row, i) => row.map((mass, j) => mass * ofBoth(i, j)));
  return totalMass(weighed(one, seen)) + sumOfPairs(both);
}

/** How likely another fault is why the station is dead after a mend. */
export function shareOfSecond({ base, one, two }, said, assumed) {
  const here = mendedAt(base.line, placesOf(base.line), said);
  let other = 0;
  two.forEach((row, i) => row.forEach((mass, j) => { other += here[i] ? mass * (here[j] ? 1 : 2) : 0; }));
  const mended = massesOf(weighed(one, likelihoodOf(one, said, assumed, false)));
  const total = other + mended.reduce((a, b) => a + b, 0);
  return total > 0 ? other / total : 1;
}

/** The readings that leave no explanation; the one that does not fit comes last. */
export function clash(search, states, last) {
  for (let i = last - 1; i >= 0; i -= 1) {
    const both = [search.readings[i], search.readings[last]];
    if (!after(search, states[0], both)) return [i, last];
  }
  return [last];
}

/** How likely the last reading was; of a number, any result at most as likely as the one read. */
export function chanceOfLast(search, state, said) {
  const { assumed } = search;
  if (!["distance", "gradient"].includes(said.kind) && !("level" in said)) {
    return chanceOf(search, state, said, assumed);
  }
  const works = { ...assumed, distance_useless: 0, level_useless: 0 };
  const density = [said, ...results(said, state.base.line)].map(
    (each) => chanceOf(search, state, each, works));
  const sum = (values) => values.reduce((a, b) => a + b, 0);
  const total = sum(density);
  const most = density[0] * (1 + SHARES_ALIKE);
  return total > 0 ? sum(density.filter((each) => each <= most)) / total : 0;
}

function results(said, line) {
  const between = (low, high) => Array.from(
    { length: NUMBER_RESULTS }, (_, i) => low + (i * (high - low)) / (NUMBER_RESULTS - 1));
  if ("level" in said) {
    const span = said.on_sound_wire - said.at_transmitter;
    return between(-0.5, 1.5).map((share) => ({ ...said, level: said.at_transmitter + share * span }));
  }
  return between(-0.1, 1.1).map((share) => ({ ...said, feet: share * line.lengthFt }));
}

/** Which to repeat: the last reading, or the earlier one that speaks most against it. */
export function cheapestRetest(search, states, stand) {
  const { readings } = search;
  const last = readings.length - 1;
  const without = readings.slice(0, last).map((_, i) => {
    const state = after(search, states[0], readings.slice(0, last).filter((__, j) => j !== i));
    return state ? chanceOf(search, state, readings[last], search.assumed) : 0;
  });
  const most = Math.max(...without) * (1 - SHARES_ALIKE);
  const against = last ? without.findIndex((chance) => chance >= most) : last;
  const minutes = (i) => retestMin(readings[i], states[0].base.line, search.assumed, stand);
  const [reading, own] = [[last, minutes(last)], [against, minutes(against)]].reduce(
    (best, each) => (each[1] < best[1] ? each : best));
  return { reading, minutes: own };
}

/** Minutes to repeat a reading from here; a box still open takes the test only. */
function retestMin(said, { boxes, pointFt }, assumed, stand) {
  const isThere = AT_ITS_POINT.includes(said.kind);
  const at = isThere ? said.point : said.from_valve ? boxes.length + 1 : 0;
  const there = Math.abs(pointFt[at] - pointFt[stand.at]) / assumed.walk_ft_per_min;
  if (said.kind in WALKED) {
    const feet = Math.abs(pointFt[said.to_point] - pointFt[said.point]);
    const [setup, rate] = WALKED[said.kind].map((name) => assumed[name]);
    return there + setup + (feet / 100) * rate;
  }
  if (said.kind === "distance") return there + assumed.distance_min;
  if (at >= 1 && at <= boxes.length && !(stand.openBox === at && at === stand.at)) {
    return there + boxes[at - 1].open_min;
  }
  return there + assumed.repeat_min;
}
