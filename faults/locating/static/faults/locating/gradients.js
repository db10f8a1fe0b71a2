// Walks with two probes that find where a leak enters the ground, over neighbouring legs.
// Follows faults/locating/engines/gradients.py.
import { cellsOf } from "./belief.js";
import { Prices } from "./costs.js";
import { LEAST_GRADIENT, MOST_GRADIENTS } from "./data.js";
import { most, outerOf } from "./ground.js";
import { missedByProbes } from "./misses.js";

/**
 * @param {import("./ground.js").Ground} ground
 * @returns {Option[]}
 */
export function gradients(ground) {
  if (!ground.tools.gradient) return [];
  const { line, assumed, total } = ground;
  const shown = shownBy(ground);
  const points = Array.from(line.pointFt.keys());
  const walks = points.flatMap((start) => points.map((end) => {
    const chance = start === end ? 0 : chanceOf(line, shown.cells, shown.splice, start, end);
    const walkMin = minutesOf(ground, start, end);
    const worth = chance / total >= LEAST_GRADIENT ? chance : 0;
    return { start, end, chance, worth: worth / (assumed.gradient_setup_min + walkMin + 1) };
  }));
  const isMost = most(walks.map((walk) => walk.worth), MOST_GRADIENTS);
  return walks.filter(({ worth }) => worth > 0 && isMost(worth))
    .map((walk) => priced(ground, shown, walk));
}

/** The mass of each cell and point that the next walk would show. */
function shownBy({ belief, line, assumed }) {
  const missed = missedByProbes(line, belief.walked, assumed);
  return {
    cells: cellsOf(belief.legs).map((mass, i) => mass * (1 - missed.legs[line.cellLeg[i]])),
    splice: belief.splice.map((mass, i) => mass * (1 - missed.points[i])),
  };
}

function minutesOf({ line, assumed }, start, end) {
  const feet = Math.abs(line.pointFt[end] - line.pointFt[start]);
  return (feet / 100) * assumed.gradient_min_per_100_ft;
}

function chanceOf({ firstCell }, cells, splice, start, end) {
  const low = Math.min(start, end);
  const high = Math.max(start, end);
  let sum = 0;
  for (let i = firstCell[low]; i < firstCell[high]; i += 1) sum += cells[i];
  for (let point = low; point <= high; point += 1) sum += splice[point];
  return sum;
}

function priced(ground, { cells, splice }, { start, end, chance }) {
  const { belief, line, assumed, t, k, total } = ground;
  const low = Math.min(start, end);
  const high = Math.max(start, end);
  const perFt = (k * assumed.gradient_min_per_100_ft) / 100;
  const reach = (feet) => Math.exp(perFt * Math.abs(feet - line.pointFt[start]));
  const left = cellsOf(belief.legs);
  const points = belief.splice.slice();
  let found = 0;
  for (let i = line.firstCell[low]; i < line.firstCell[high]; i += 1) {
    found += cells[i] * reach(line.cellFt[i]);
    left[i] -= cells[i];
  }
  for (let point = low; point <= high; point += 1) {
    found += splice[point] * reach(line.pointFt[point]);
    points[point] -= splice[point];
  }
  const masses = ground.masses(left, { ...outerOf(belief), points });
  const rest = new Prices(t, masses).fromPoint(end + 1);
  const way = ground.wayTo(start + 1);
  const walkMin = minutesOf(ground, start, end);
  const setupMin = assumed.gradient_setup_min;
  const price =
    t.walk[way] * Math.exp(k * setupMin) * (found + Math.exp(k * walkMin) * rest);
  const action = { action: "walk gradient", point: start, to_point: end };
  const own = t.walkMin[way] + setupMin + walkMin;
  return ground.option(action, price, own, chance / total);
}
