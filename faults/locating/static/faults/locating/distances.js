// Measurements at an end: a distance by its results at even steps of their chance, and ohms.
// Follows faults/locating/engines/measurements.py.
import { cellsOf, feetAt, places, sumOf, weighed } from "./belief.js";
import { Prices } from "./costs.js";
import { DISTANCE_RESULTS, WORDS } from "./data.js";
import { outerOf } from "./ground.js";
import { distance, ohmsRead } from "./readings.js";

/**
 * @param {import("./ground.js").Ground} ground
 * @returns {Option[]}
 */
export function distances(ground) {
  const found = [];
  if (ground.tools.distance_at_controller) found.push(priced(ground, false));
  if (ground.tools.distance_at_valve) found.push(priced(ground, true));
  return found;
}

/** Ohms of wire, coil and common at the controller: each result with what it leaves. */
export function ohms(ground) {
  const { t, k, assumed, belief, line } = ground;
  if (!ground.tools.ohms) return [];
  const after = WORDS.ohms.map((word) =>
    ground.priceAfter(weighed(belief, ohmsRead(line, assumed, { ohms: word, joined: false })), 1));
  const own = assumed.read_ohms_min + t.walkMin[ground.wayTo(1)];
  return [ground.option({ action: "read ohms" }, sumOf(after) * Math.exp(k * own), own)];
}

function priced(ground, fromValve) {
  const { t, k, assumed } = ground;
  const at = fromValve ? ground.valve : 1;
  const prices = likelyFeet(ground, fromValve).map((feet) =>
    new Prices(t, after(ground, feet, fromValve)).fromPoint(at));
  const way = ground.wayTo(at);
  const minutes = assumed.distance_min;
  const price = (sumOf(prices) / prices.length) * Math.exp(k * minutes) * t.walk[way];
  const action = { action: "read distance", from_valve: fromValve };
  return ground.option(action, price, minutes + t.walkMin[way]);
}

function likelyFeet({ belief, line }, fromValve) {
  const { feet, masses } = places(belief);
  const steps = Array.from({ length: DISTANCE_RESULTS }, (_, i) => (i + 0.5) / DISTANCE_RESULTS);
  return feetAt(feet, masses, (all) => steps.map((step) => step * all))
    .map((ft) => (fromValve ? line.lengthFt - ft : ft));
}

/** The masses after a reading, brought back to the same total. */
function after(ground, feet, fromValve) {
  const { belief, line, assumed } = ground;
  const seen = weighed(belief, distance(line, assumed, { feet, from_valve: fromValve }));
  const cells = cellsOf(seen.legs);
  const { behind, points, inBox, otherWire } = outerOf(seen);
  const scale = ground.total / (sumOf(cells) + (behind + sumOf(points) + inBox + otherWire));
  return ground.masses(cells.map((mass) => mass * scale), {
    behind: behind * scale,
    points: points.map((mass) => mass * scale),
    inBox: inBox * scale,
    otherWire: otherWire * scale,
  });
}
