// The next action that ends the search soonest: every action ranked by minutes to the end.
// Follows faults/locating/engines/plan.py.
import { ALIKE, ANY_WALK, LEAST_SIDE } from "./data.js";
import { distances, ohms } from "./distances.js";
import { ends } from "./ends.js";
import { gradients } from "./gradients.js";
import { Ground } from "./ground.js";
import { heardAt, isHeard } from "./hearing.js";
import { jumpers, renewals, spare } from "./jumpers.js";
import { openings } from "./openings.js";
import { shortened } from "./shortened.js";
import { boxWays } from "./terrain.js";
import { walks } from "./walks.js";

/**
 * Every useful action, the best first.
 *
 * @param {Belief} belief
 * @param {Stand} stand
 * @param {object} tools
 * @param {Record<string, number>} assumed
 * @returns {Option[]}
 */
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
