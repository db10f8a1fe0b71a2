// Walks with the tone: which are worth pricing, and what each leaves where it finds nothing.
// Follows faults/locating/engines/walks.py.
import { BUNDLE, COMMON, HOT, cellsOf, sumOf } from "./belief.js";
import { Prices } from "./costs.js";
import { LEAST_COMMON, LEAST_WALK, MOST_WALKS } from "./data.js";
import { most, outerOf } from "./ground.js";

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
  const { legs, splice } = ground.belief;
  if (conductor === COMMON && sumOf(legs[COMMON]) < LEAST_COMMON) return [];
  const carries = legs[conductor].map((mass, i) => mass + legs[BUNDLE][i]);
  const silent = cellsOf(legs).map((mass, i) => mass - carries[i]);
  const fed = ground.masses(carries, { behind: 0, points: splice, beyond: 0 });
  const outer = { ...outerOf(ground.belief), points: new Float64Array(splice.length) };
  const other = ground.masses(silent, outer);
  const sums = sumsOf(ground.t, fed);
  const { until } = ground.t;
  const minutes = (start, end) => Math.abs(until[end] - until[start]);
  const worth = pairs(ground.valve)
    .map(([start, end]) => {
      const chance = chanceOf(sums, start, end);
      return { start, end, chance, worth: chance / (ground.t.setupMin + minutes(start, end)) };
    })
    .filter(({ chance }) => chance / ground.total > least);
  const isMost = most(worth.map((walk) => walk.worth), MOST_WALKS);
  return worth.filter((walk) => isMost(walk.worth))
    .map((walk) => priced(ground, conductor, walk, { fed, other, sums }));
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

function priced(ground, conductor, { start, end, chance }, { fed, other, sums }) {
  const { t, k, stand } = ground;
  const finds = t.detects;
  const low = Math.min(start, end);
  const high = Math.max(start, end);
  const rest = new Prices(t, leftAfter(fed, other, low, high, 1 - finds)).fromPoint(end);
  const on = conductor === HOT ? "hot" : "common";
  const isFed = start === (stand.toneFrom ?? -9) + 1 && stand.toneOn === on;
  const setupMin = isFed ? 0 : t.setupMin;
  const way = ground.wayTo(start);
  const found = foundBy(t, sums, start, end);
  const price =
    t.walk[way] * Math.exp(k * setupMin) * (finds * found + t.full[low * t.wide + high] * rest);
  const action = { action: "walk tone", point: start - 1, to_point: end - 1, conductor: on };
  const own = t.walkMin[way] + setupMin + t.until[high] - t.until[low];
  return ground.option(action, price, own, (chance / ground.total) * finds);
}

/** What is left of the belief when a walk found nothing. */
function leftAfter(fed, other, low, high, misses) {
  const gaps = (name) =>
    fed[name].map((mass, i) => mass * (i >= low && i < high ? misses : 1) + other[name][i]);
  return {
    gap: gaps("gap"),
    point: fed.point.map((mass, i) => mass * (i >= low && i <= high ? misses : 1) + other.point[i]),
    left: gaps("left"),
    right: gaps("right"),
  };
}
