// What is looked at from the ends of the wire, and whether it is this wire at all.
// Follows `_ends` of faults/locating/engines/plan.py, and proving.py.
import { Prices } from "./costs.js";
import { LEAST_WALK, OUTSIDE } from "./data.js";

/**
 * Looks at the controller and at the valve, and the proof of the wire: each finds what is wrong.
 *
 * @param {Ground} ground
 * @returns {Option[]}
 */
export function ends(ground) {
  const { t, k, assumed, prices, total, tools, belief } = ground;
  const { gap, point, left, right } = prices.m;
  const settle = Math.exp(k * assumed.settle_outside_min);
  // Whether it is this wire is no part of a look at the valve.
  const wrong = belief.outside[OUTSIDE.WRONG_WIRE];
  const last = t.gaps - 1;
  const way = (at) => t.walkMin[ground.wayTo(at)];
  const looks = [
    { kind: "check controller", at: 1, end: 0, there: gap[0], own: assumed.terminals_min + way(1) },
    { kind: "check valve", at: ground.valve, end: last, there: gap[last] - wrong, own: assumed.coil_min + way(ground.valve) },
    { kind: "prove wire", at: 1, end: last, there: tools.tone ? wrong : 0, own: proofMin(ground), back: ground.back },
  ];
  return looks.filter(({ there }) => there / total >= LEAST_WALK).map((look) => {
    const found = assumed.check_sensitivity * look.there;
    const reached = found * ground.settle * (look.back ?? 1);
    const less = (masses, by) => masses.map((mass, i) => (i === look.end ? mass - by : mass));
    const after = { gap: less(gap, found), point, left: less(left, reached), right: less(right, reached) };
    const rest = new Prices(t, after).fromPoint(look.at);
    const price = Math.exp(k * look.own) * (found * settle + rest);
    return ground.option({ action: look.kind }, price, look.own, found / total);
  });
}

/** Minutes to feed the tone at the valve, walk to the controller and listen there. */
function proofMin({ t, stand, assumed, valve, here }) {
  const way = (from, to) => t.walkMin[from * t.wide + to];
  const { toneFrom, toneOn } = stand;
  if (toneOn === "hot" && toneFrom === valve - 1) return assumed.prove_wire_min + way(here, 1);
  return assumed.prove_wire_min + way(here, valve) + way(valve, 1) + assumed.tone_setup_min;
}
