// Listening and a clamp at a box: priced as every test of steps to come is, by its two sides.
// Follows faults/locating/engines/hearing.py.
import { BUNDLE, HOT, cellsOf, totalMass } from "./belief.js";
import { LEAST_HEARD, MOST_HEARD, OUTSIDE } from "./data.js";
import { most, outerOf } from "./ground.js";
import { Prices } from "./costs.js";

/** Whether a way is one that hears what is fed. @param {BoxWay} way */
export const isHeard = ({ kind }) => kind === "listen" || kind === "clamp";

/**
 * @param {import("./ground.js").Ground} ground
 * @param {{box: number, way: BoxWay, minutes: number}[]} ways
 * @returns {Option[]}
 */
export function heardAt(ground, ways) {
  const news = ways.map((each) => parted(ground, each))
    .map((each) => ({ ...each, rarer: Math.min(each.stopped, 1 - each.stopped) }))
    .filter(({ rarer }) => rarer >= LEAST_HEARD);
  const isMost = most(news.map(({ rarer }) => rarer), MOST_HEARD);
  return news.filter(({ rarer }) => isMost(rarer)).map((each) => option(ground, each));
}

/** The belief parted by what is fed passing a box, or not. */
function parted({ belief, line }, each) {
  const { box } = each;
  const part = (stops) => ({
    ...belief,
    legs: belief.legs.map((cells, conductor) => cells.map((mass, i) => {
      const isStopped = (conductor === HOT || conductor === BUNDLE) && line.cellLeg[i] < box;
      return isStopped === stops ? mass : 0;
    })),
    splice: belief.splice.map((mass, point) => (point <= box === stops ? mass : 0)),
    outside: Object.fromEntries(Object.entries(belief.outside).map(([cause, mass]) =>
      [cause, (cause === OUTSIDE.CONTROLLER_SPLICE) === stops ? mass : 0])),
  });
  const [passes, stops] = [part(false), part(true)];
  const [out, through] = [totalMass(stops), totalMass(passes)];
  return { ...each, passes, stops, stopped: out / (out + through) };
}

function option(ground, heard) {
  const { t, k } = ground;
  const { box, way, minutes, passes, stops, stopped } = heard;
  const at = box + 1;
  const wrong = wrongOf(ground, heard);
  const ifStops =
    1 - wrong + wrong * (t.vain[at * t.wide + t.gaps] * t.walk[t.gaps * t.wide + at]);
  const ifPasses = 1 - wrong + wrong * (t.vain[at] * t.walk[at]);
  // By the controller, where a tone has to be fed there first.
  const there = way.setup > 0
    ? t.walkMin[ground.wayTo(1)] + t.walkMin[t.wide + at]
    : t.walkMin[ground.wayTo(at)];
  const own = there + minutes;
  const sides = priceOf(ground, passes, at) * ifPasses + priceOf(ground, stops, at) * ifStops;
  const made = ground.option({ action: way.kind, point: box }, sides * Math.exp(k * own), own);
  return { ...made, before: stopped, beyond: 1 - stopped };
}

const priceOf = (ground, belief, at) =>
  new Prices(ground.t, ground.masses(cellsOf(belief.legs), outerOf(belief))).fromPoint(at);

/** Chance of the wrong side; once more at one place mostly says what it said before. */
function wrongOf({ belief, assumed }, { box, way, stopped }) {
  const same = belief.listened.filter(
    (each) => each.point === box && each.byClamp === (way.kind === "clamp"));
  if (!same.length) return way.error;
  const again = assumed.same_again;
  const wasWrong = same[same.length - 1].wasThere ? stopped : 1 - stopped;
  return again * wasWrong + (1 - again) * way.error;
}
