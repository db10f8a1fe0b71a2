// The next action that ends the search soonest: every action ranked by minutes to the end.
// Follows faults/locating/engines/plan.py and proving.py.
import { Prices } from "./costs.js";
import { ALIKE, ANY_WALK, LEAST_SIDE, LEAST_WALK, OUTSIDE } from "./data.js";
import { distances, ohms } from "./distances.js";
import { gradients } from "./gradients.js";
import { Ground } from "./ground.js";
import { heardAt, isHeard } from "./hearing.js";
import { jumpers, renewals, spare } from "./jumpers.js";
import { openings } from "./openings.js";
import { shortened } from "./shortened.js";
import { boxWays } from "./terrain.js";
import { walks } from "./walks.js";

/** Every useful action, the best first. */
export function ranked(belief, stand, tools, assumed) {
  const short = shortened(belief, stand);
  if (!short) return rankedOn(belief, stand, tools, assumed);
  return short.named(rankedOn(short.belief, short.stand, tools, assumed));
}

function rankedOn(belief, stand, tools, assumed) {
  const ground = new Ground(belief, stand, tools, assumed);
  let found = [...boxes(ground), ...openings(ground), ...ends(ground), ...walks(ground), ...distances(ground), ...ohms(ground)];
  found.push(...jumpers(ground), ...gradients(ground), ...spare(ground), ...renewals(ground));
  if (!found.length) found = walks(ground, ANY_WALK);
  const key = new Map(found.map((option) => [option, Math.floor(option.minutes * 1e6 + 0.5)]));
  return harmlessFirst(found.sort((a, b) => key.get(a) - key.get(b)));
}

const CUTS = ["open box", "cut box", "measure insulation", "open ground"];
const HARMLESS = ["check controller", "check valve", "prove wire", "read ohms"];

/** A look or a meter at an end before a cut that takes as long to all that anybody knows. */
function harmlessFirst(ranked) {
  const [best] = ranked;
  if (!best || !CUTS.includes(best.action.action)) return ranked;
  const first = ranked.find(({ action, minutes }) =>
    minutes <= best.minutes * ALIKE && HARMLESS.includes(action.action));
  return first ? [first, ...ranked.filter((each) => each !== first)] : ranked;
}

/** Whether a test may tell something; a splice that was cut out before does not. */
function isNews({ before, beyond, prices, total }, at, isCut) {
  const here = isCut ? 0 : prices.m.point[at] / total;
  return Math.min(before[at], beyond[at]) + here >= LEAST_SIDE;
}

function boxes(ground) {
  const { line, assumed, tools, stand, isFed } = ground;
  const ways = line.boxes.flatMap((_, i) =>
    boxWays(line, i + 1, assumed, tools, isFed).map((way) => {
      const isOpen = ground.inBox(i + 1);
      // A box that is still open takes the test, and what is done for it first.
      const minutes = isOpen ? assumed.repeat_min + way.lasting + way.setup : way.minutes;
      return { box: i + 1, way, minutes, isCut: isOpen && stand.isCut };
    }));
  const cut = ways.filter((each) => !isHeard(each.way) && isNews(ground, each.box + 1, each.isCut));
  return [
    ...cut.map(({ box, way, minutes }) => test(ground, box, way, minutes)),
    ...heardAt(ground, ways.filter(({ way }) => isHeard(way))),
  ];
}

function test(ground, box, way, minutes) {
  const { t, k, prices, total, assumed } = ground;
  const at = box + 1;
  const there = ground.wayTo(at);
  let price = prices.split(0, at, t.gaps, minutes, way.error);
  // Volts name a bad splice; it is still to be cut out.
  if (way.kind === "read volts") {
    price += prices.m.point[at] * Math.exp(k * minutes) * Math.expm1(k * assumed.repeat_min);
  }
  price *= t.walk[there];
  return {
    ...ground.option({ action: way.kind, point: box }, price, minutes + t.walkMin[there]),
    before: ground.before[at],
    beyond: ground.beyond[at],
    finds: prices.m.point[at] / total,
  };
}

/** Look at the controller or at the valve, or prove the wire: what is wrong is found and settled. */
function ends(ground) {
  const { t, k, assumed, prices, total, valve, settle } = ground;
  const { gap, point, left, right } = prices.m;
  const wrong = ground.belief.outside[OUTSIDE.WRONG_WIRE];
  const last = t.gaps - 1;
  const way = (at) => t.walkMin[ground.wayTo(at)];
  const looks = [
    ["check controller", 1, 0, gap[0], assumed.terminals_min + way(1), 1],
    // Whether it is this wire is no part of a look at the valve.
    ["check valve", valve, last, gap[last] - wrong, assumed.coil_min + way(valve), 1],
    ["prove wire", 1, last, ground.tools.tone ? wrong : 0, proofMin(ground, way), ground.back],
  ];
  return looks.filter(([, , , there]) => there / total >= LEAST_WALK)
    .map(([action, at, end, there, own, back]) => {
      const found = assumed.check_sensitivity * there;
      const less = (masses, by) => masses.map((mass, i) => (i === end ? mass - by : mass));
      const [nearer, farther] = [left, right].map((masses) => less(masses, found * settle * back));
      const after = { gap: less(gap, found), point, left: nearer, right: farther };
      const rest = new Prices(t, after).fromPoint(at);
      const price = Math.exp(k * own) * (found * Math.exp(k * assumed.settle_outside_min) + rest);
      return ground.option({ action }, price, own, found / total);
    });
}

/** Minutes to feed the tone at the valve, walk to the controller and listen there. */
function proofMin({ t, stand, assumed, valve }, way) {
  const isFed = stand.toneOn === "hot" && stand.toneFrom === valve - 1;
  const there = way(valve) + t.walkMin[valve * t.wide + 1] + assumed.tone_setup_min;
  return assumed.prove_wire_min + (isFed ? way(1) : there);
}
