// A long line priced on fewer legs: neighbours on which little is believed count as one.
// Follows faults/locating/engines/shortened.py.
import { HOT, byLeg } from "./belief.js";
import { MOST_LEGS, PARTS } from "./data.js";
import { lineOf } from "./line.js";

/**
 * The belief on at most so many legs, null where it has no more.
 *
 * @param {Belief} belief
 * @param {Stand} stand
 * @returns {{belief: Belief, stand: Stand, named: (options: Option[]) => Option[]} | null}
 */
export function shortened(belief, stand) {
  if (belief.line.legs.length <= MOST_LEGS) return null;
  const kept = keptOf(belief, stand);
  const place = new Map(kept.map((point, i) => [point, i]));
  const placeOf = (point) => (point === null ? null : place.get(point));
  const line = merged(belief.line, kept);
  const { at, openBox, toneFrom, toneOn } = stand;
  return {
    belief: {
      ...belief,
      ...moved(belief, line, kept),
      line,
      walked: belief.walked.map((walk) =>
        ({ ...walk, low: placeOf(walk.low), high: placeOf(walk.high) })),
      listened: belief.listened.map((each) => ({ ...each, point: placeOf(each.point) })),
    },
    stand: {
      at: placeOf(at), openBox: placeOf(openBox), toneFrom: placeOf(toneFrom), toneOn,
    },
    named: (options) => options.flatMap((option) => named(option, kept)),
  };
}

/** An option by points and legs of the whole line; none for a leg that stands for several. */
function named(option, kept) {
  const action = { ...option.action };
  for (const name of ["point", "to_point", "fed_at"]) {
    if (name in action) action[name] = kept[action[name]];
  }
  if ("leg" in action) {
    const [start, end] = [kept[action.leg], kept[action.leg + 1]];
    if (end - start > 1) return [];
    action.leg = start;
  }
  return [{ ...option, action }];
}

/** The points that stay: the least believed neighbours become one, time and again. */
function keptOf(belief, { at, openBox, toneFrom }) {
  const { splice, walked, listened } = belief;
  const tested = walked.flatMap(({ low, high }) => [low, high]);
  const isNamed = new Set(
    [at, openBox, toneFrom, ...tested, ...listened.map(({ point }) => point)]);
  const points = Array.from(belief.line.pointFt.keys());
  const mass = byLeg(belief);
  while (mass.length > MOST_LEGS) {
    let [least, found] = [Infinity, 0];
    for (let i = 1; i < mass.length; i += 1) {
      const both = isNamed.has(points[i]) ? Infinity
        : Math.floor((mass[i - 1] + mass[i] + splice[points[i]]) * PARTS + 0.5);
      if (both < least) [least, found] = [both, i];
    }
    if (!found) break;
    const [gone] = points.splice(found, 1);
    mass.splice(found - 1, 2, mass[found - 1] + mass[found] + splice[gone]);
  }
  return points;
}

function merged(line, kept) {
  const legs = kept.slice(1).map((end, i) => asOne(line.legs.slice(kept[i], end)));
  return lineOf({ legs, boxes: kept.slice(1, -1).map((point) => line.boxes[point - 1]) });
}

/** One leg for several; its length is guessed where more than half of it is. */
function asOne(legs) {
  const sum = (value) => legs.reduce((all, leg) => all + value(leg), 0);
  const feet = sum((leg) => leg.length_ft);
  const slow = sum((leg) => leg.length_ft * leg.tone_factor);
  return {
    ...legs[0],
    length_ft: feet,
    tone_factor: feet > 0 ? slow / feet : legs[0].tone_factor,
    is_guessed: 2 * sum((leg) => (leg.is_guessed ? leg.length_ft : 0)) > feet,
  };
}

/** The masses on the merged legs: cells by their place, lost splices as hot wire. */
function moved({ line: old, legs: masses, splice }, line, kept) {
  const groupOf = [];
  for (let group = 0; group + 1 < kept.length; group += 1) {
    for (let leg = kept[group]; leg < kept[group + 1]; leg += 1) groupOf.push(group);
  }
  const cellAt = (feet, group) => {
    const start = old.pointFt[kept[group]];
    const length = old.pointFt[kept[group + 1]] - start;
    const count = line.firstCell[group + 1] - line.firstCell[group];
    const share = (feet - start) / (length > 0 ? length : 1);
    return line.firstCell[group] + Math.min(Math.floor(share * count), count - 1);
  };
  const legs = masses.map((cells) => {
    const result = new Float64Array(line.cellLeg.length);
    cells.forEach((mass, i) => {
      result[cellAt(old.cellFt[i], groupOf[old.cellLeg[i]])] += mass;
    });
    return result;
  });
  const isKept = new Set(kept);
  splice.forEach((mass, point) => {
    if (!isKept.has(point)) legs[HOT][cellAt(old.pointFt[point], groupOf[point])] += mass;
  });
  return { legs, splice: Float64Array.from(kept, (point) => splice[point]) };
}
