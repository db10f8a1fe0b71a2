// The next action that ends the search soonest: every action ranked by minutes to the end.
// Follows faults/locating/engines/plan.py.
import { BUNDLE, HOT, weighed } from "./belief.js";
import { Prices } from "./costs.js";
import { ANY_WALK, LEAST_SIDE, LEAST_WALK, MOST_HEARD } from "./data.js";
import { distances } from "./distances.js";
import { gradients } from "./gradients.js";
import { Ground, most } from "./ground.js";
import { jumpers, renewals, spare } from "./jumpers.js";
import { clamped, listened } from "./readings.js";
import { shortened } from "./shortened.js";
import { boxWays } from "./terrain.js";
import { voltsAt } from "./volts.js";
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
  let found = [...boxes(ground), ...ends(ground), ...walks(ground), ...distances(ground)];
  found.push(...voltsAt(ground), ...jumpers(ground), ...gradients(ground), ...spare(ground), ...renewals(ground));
  if (!found.length) found = walks(ground, ANY_WALK);
  const key = new Map(found.map((option) => [option, Math.floor(option.minutes * 1e6 + 0.5)]));
  return found.sort((a, b) => key.get(a) - key.get(b));
}

/** Whether a test may tell something; the splice of a box still open was cut out before. */
function isNews({ before, beyond, prices, total }, at, isOpen) {
  const here = isOpen ? 0 : prices.m.point[at] / total;
  return Math.min(before[at], beyond[at]) + here >= LEAST_SIDE;
}

function boxes(ground) {
  const { line, assumed, tools, stand } = ground;
  const ways = line.boxes.flatMap((_, i) =>
    boxWays(line, i + 1, assumed, tools).map((way) => {
      const isOpen = stand.openBox === i + 1 && stand.at === i + 1;
      // A box that is still open takes the test, and the cut where a wire is cut for it.
      const minutes = isOpen ? assumed.repeat_min + way.lasting : way.minutes;
      return { box: i + 1, way, minutes, isOpen };
    }));
  const isHeard = ({ way }) => way.kind in HEARD;
  const cut = ways.filter((each) => !isHeard(each) && isNews(ground, each.box + 1, each.isOpen));
  return [
    ...cut.map(({ box, way, minutes }) => test(ground, box, way, minutes)),
    ...heardAt(ground, ways.filter(isHeard)),
  ];
}

/** What listening and a clamp may say, and under which name. */
const HEARD = {
  listen: { likelihood: listened, kind: "listened", says: "heard" },
  clamp: { likelihood: clamped, kind: "clamp", says: "flows" },
};

/** Listening, and a clamp: what is fed passes unless the hot wire is broken before. */
function heardAt(ground, ways) {
  const news = ways.map((each) => ({ ...each, before: beforeIt(ground, each.box) }))
    .map((each) => ({ ...each, half: Math.min(each.before, 1 - each.before) }))
    .filter(({ half }) => half >= LEAST_SIDE);
  const halves = most(news.map(({ half }) => half), MOST_HEARD);
  return news.filter(({ half }) => halves(half)).map((each) => heard(ground, each));
}

/** Chance that the hot wire is broken before a box, or at it. */
function beforeIt({ belief, line, total }, box) {
  let before = 0;
  for (let i = 0; i < line.firstCell[box]; i += 1) {
    before += belief.legs[HOT][i] + belief.legs[BUNDLE][i];
  }
  for (let point = 0; point <= box; point += 1) before += belief.splice[point];
  return before / total;
}

function heard(ground, { box, way, minutes, before }) {
  const { belief, line, assumed, t, k } = ground;
  const { likelihood, kind, says } = HEARD[way.kind];
  const after = [true, false].map((isSo) => {
    const said = { kind, point: box, [says]: isSo };
    return ground.priceAfter(
      weighed(belief, likelihood(line, assumed, said, false, belief)), box + 1);
  });
  const own = t.walkMin[ground.wayTo(box + 1)] + minutes;
  const price = (after[0] + after[1]) * Math.exp(k * own);
  const option = ground.option({ action: way.kind, point: box }, price, own);
  return { ...option, before, beyond: 1 - before };
}

function test(ground, box, way, minutes) {
  const { t, prices, total } = ground;
  const at = box + 1;
  const there = ground.wayTo(at);
  const price = prices.split(0, at, t.gaps, minutes, way.error) * t.walk[there];
  return {
    ...ground.option({ action: way.kind, point: box }, price, minutes + t.walkMin[there]),
    before: ground.before[at],
    beyond: ground.beyond[at],
    finds: prices.m.point[at] / total,
  };
}

/** Look at the controller or at the valve: what is wrong there is found and settled. */
function ends(ground) {
  const { t, k, assumed, prices, total } = ground;
  const { gap, point, left, right } = prices.m;
  const finds = assumed.check_sensitivity;
  const settle = Math.exp(k * assumed.settle_outside_min);
  const looks = [
    { kind: "check controller", at: 1, end: 0, minutes: assumed.terminals_min },
    { kind: "check valve", at: ground.valve, end: t.gaps - 1, minutes: assumed.coil_min },
  ];
  return looks.filter(({ end }) => gap[end] / total >= LEAST_WALK).map((look) => {
    const less = (masses) => masses.map((mass, i) => (i === look.end ? mass * (1 - finds) : mass));
    const after = { gap: less(gap), point, left: less(left), right: less(right) };
    const rest = new Prices(t, after).fromPoint(look.at);
    const own = look.minutes + t.walkMin[ground.wayTo(look.at)];
    const price = Math.exp(k * own) * (finds * gap[look.end] * settle + rest);
    return ground.option({ action: look.kind }, price, own, (gap[look.end] / total) * finds);
  });
}
