// Walks with the tone: which are worth pricing, and what each leaves where it finds nothing.
// Follows faults/locating/engines/walks.py.
import { BUNDLE, COMMON, HOT, cellsOf, sumOf } from "./belief.js";
import { Prices } from "./costs.js";
import { LEAST_COMMON, LEAST_WALK, LEAST_WALKS, MOST_WALKS, WALKS_TIMES_GAPS } from "./data.js";
import { most, outerOf } from "./ground.js";
import { missedAtPoints, missedOnLegs } from "./misses.js";

/**
 * @param {import("./ground.js").Ground} ground
 * @param {number} least
 * @returns {Option[]}
 */
export function walks(ground, least = LEAST_WALK) {
  if (!ground.tools.tone) return [];
  return [HOT, COMMON].flatMap((conductor) => walksOn(ground, conductor, least));
}

function walksOn(ground, conductor, least) {
  if (conductor === COMMON && sumOf(ground.belief.legs[COMMON]) < LEAST_COMMON) return [];
  const heard = heardOn(ground, conductor);
  const sums = sumsOf(ground.t, heard.shows);
  const { until } = ground.t;
  const minutes = (start, end) => Math.abs(until[end] - until[start]);
  const worth = pairs(ground.valve)
    .map(([start, end]) => {
      const chance = chanceOf(sums, start, end);
      return { start, end, chance, worth: chance / (ground.t.setupMin + minutes(start, end)) };
    })
    .filter(({ chance }) => chance / ground.total > least);
  const fitting = Math.min(MOST_WALKS, Math.floor(WALKS_TIMES_GAPS / ground.t.gaps));
  const isMost = most(worth.map((walk) => walk.worth), Math.max(LEAST_WALKS, fitting));
  return worth.filter((walk) => isMost(walk.worth))
    .map((walk) => priced(ground, conductor, walk, heard, sums));
}

/** The masses by what the next tone on a conductor shows of them, misses, and cannot tell. */
function heardOn(ground, conductor) {
  const { belief, line, assumed } = ground;
  const { legs, splice, walked } = belief;
  const missed = missedOnLegs(line, walked, conductor, assumed);
  const missedOfAll = missedOnLegs(line, walked, BUNDLE, assumed);
  const misses = legs[conductor].map((mass, i) =>
    mass * missed[line.cellLeg[i]] + legs[BUNDLE][i] * missedOfAll[line.cellLeg[i]]);
  const shows = legs[conductor].map((mass, i) => mass + legs[BUNDLE][i] - misses[i]);
  const silent = cellsOf(legs).map((mass, i) => mass - legs[conductor][i] - legs[BUNDLE][i]);
  const own = splice.map((mass) => (conductor === HOT ? mass : 0));
  const atPoints = missedAtPoints(line, walked, assumed);
  const none = { behind: 0, inBox: 0, otherWire: 0 };
  return {
    shows: ground.masses(shows, { ...none, points: own.map((mass, i) => mass * (1 - atPoints[i])) }),
    misses: ground.masses(misses, { ...none, points: own.map((mass, i) => mass * atPoints[i]) }),
    cannot: ground.masses(silent, {
      ...outerOf(belief), points: splice.map((mass, i) => mass - own[i]),
    }),
  };
}

/** Every way from one point to another. */
function pairs(valve) {
  const found = [];
  for (let start = 1; start <= valve; start += 1) {
    for (let end = 1; end <= valve; end += 1) if (start !== end) found.push([start, end]);
  }
  return found;
}

/** Running sums: any walk's chance or price of finding is a difference of two. */
function sumsOf({ grow, gaps }, { gap, point, left, right }) {
  const running = (count, value) => {
    const sums = new Float64Array(count + 1);
    for (let i = 0; i < count; i += 1) sums[i + 1] = sums[i] + value(i);
    return sums;
  };
  return {
    gap: running(gaps, (i) => gap[i]),
    point: running(gaps + 1, (i) => point[i]),
    rightGap: running(gaps, (i) => left[i] * grow[i]),
    leftGap: running(gaps, (i) => right[i] / grow[i + 1]),
    rightPoint: running(gaps + 1, (i) => point[i] * grow[i]),
    leftPoint: running(gaps + 1, (i) => point[i] / grow[i]),
  };
}

function between(gap, point, low, high) {
  return gap[high] - gap[low] + point[high + 1] - point[low];
}

function chanceOf(sums, start, end) {
  return between(sums.gap, sums.point, Math.min(start, end), Math.max(start, end));
}

/** Sum of mass x dislike of reaching it by a walk; both end points are on the way. */
function foundBy({ grow }, sums, start, end) {
  return end > start
    ? between(sums.rightGap, sums.rightPoint, start, end) / grow[start]
    : between(sums.leftGap, sums.leftPoint, end, start) * grow[start];
}

function priced(ground, conductor, { start, end, chance }, heard, sums) {
  const { t, k } = ground;
  const low = Math.min(start, end);
  const high = Math.max(start, end);
  const rest = new Prices(t, leftAfter(heard, low, high)).fromPoint(end);
  const found = foundBy(t, sums, start, end);
  const on = conductor === HOT ? "hot" : "common";
  const [fedAt, ready] = feed(ground, start, end, on);
  const price = Math.exp(k * ready) * (found + t.full[low * t.wide + high] * rest);
  const action = {
    action: "walk tone", point: start - 1, to_point: end - 1, conductor: on, fed_at: fedAt,
  };
  const own = ready + t.until[high] - t.until[low];
  return ground.option(action, price, own, chance / ground.total);
}

/** Where the tone is fed for least minutes, and the minutes until the walk begins. */
function feed(ground, start, end, on) {
  const { t, stand, valve, here } = ground;
  const way = (from, to) => t.walkMin[from * t.wide + to];
  const via = (point) => way(here, point) + way(point, start) + t.setupMin;
  const ways = [[0, via(1)], [valve - 1, via(valve)]];
  if (start > 1 && start < valve) ways.push([start - 1, via(start) + ground.reachMin(start - 1)]);
  const fed = stand.toneOn === on && stand.toneFrom !== null ? stand.toneFrom + 1 : null;
  const isWithin = fed !== null && Math.min(start, end) < fed && fed < Math.max(start, end);
  if (fed !== null && !isWithin) ways.unshift([fed - 1, way(here, start)]);
  return ways.reduce((best, each) => (each[1] < best[1] ? each : best));
}

/** What is left of the belief when a walk found nothing. */
function leftAfter({ shows, misses, cannot }, low, high) {
  const left = (name, isOn) => shows[name].map((mass, i) =>
    (isOn(i) ? 0 : mass) + misses[name][i] + cannot[name][i]);
  const onGap = (i) => i >= low && i < high;
  return {
    gap: left("gap", onGap),
    point: left("point", (i) => i >= low && i <= high),
    left: left("left", onGap),
    right: left("right", onGap),
  };
}
