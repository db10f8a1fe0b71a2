// A belief on its terrain: its masses, its prices, and minutes from prices.
// Follows faults/locating/engines/ground.py.
import { HOT, byLeg, cellsOf, sumOf } from "./belief.js";
import { Prices, totalOf } from "./costs.js";
import { BEHIND, IN_VALVE_BOX, JOINT, JUST_BELOW, LEAST_DETECTS, OUTSIDE } from "./data.js";
import { missedOnLegs } from "./misses.js";
import { Terrain } from "./terrain.js";

/** What every action is priced on. */
export class Ground {
  constructor(belief, stand, tools, assumed) {
    Object.assign(this, { belief, stand, tools, assumed, line: belief.line });
    this.isFed = stand.toneFrom === 0 && stand.toneOn === "hot";
    this.t = new Terrain(this.line, assumed, tools, this.isFed);
    if (belief.walked.length) this.t.detects = this.#stillDetects();
    this.k = this.t.k;
    this.here = stand.at + 1;
    this.valve = this.line.boxes.length + 2;
    this.settle = Math.exp(this.k * this.t.toneMin[0]);
    // Another wire is known only once one has walked back from the valve.
    const backMin = this.t.walkMin[this.valve * this.t.wide + 1] + assumed.prove_wire_min;
    this.back = Math.exp(this.k * backMin);
    this.#reach();
    this.prices = new Prices(this.t, this.masses(cellsOf(belief.legs), outerOf(belief)));
    this.total = totalOf(this.prices.m);
    this.#sides();
  }

  option(action, price, ownMin, finds = 0) {
    const minutes = Math.log(price / this.total) / this.k;
    return { action, minutes, own_min: ownMin, before: 0, beyond: 0, finds };
  }

  /** Index of the way from here to a point, in the terrain's tables. @param {number} point */
  wayTo(point) {
    return this.here * this.t.wide + point;
  }

  /** How much of the wire's mass the next tone shows: less, where walks have missed it. */
  #stillDetects() {
    const { belief, line, assumed } = this;
    const missed = missedOnLegs(line, belief.walked, HOT, assumed);
    let [mass, left] = [0, 0];
    byLeg(belief).forEach((share, leg) => {
      mass += share;
      left += share * missed[leg];
    });
    return mass > 0 ? Math.max(LEAST_DETECTS, 1 - left / mass) : assumed.tone_detects;
  }

  /** Whether a box stands open before the technician. */
  inBox(box) {
    return this.stand.openBox === box && this.stand.at === box;
  }

  /** Minutes to lay the wire bare at a point; endless where it would have to be cut. */
  reachMin(point) {
    const { line, assumed, tools } = this;
    if (point < 1 || point > line.boxes.length) return assumed.repeat_min;
    const box = line.boxes[point - 1];
    // In an open box its ends are at hand: to clip on is part of any set-up.
    const opening = this.inBox(point) ? 0 : box.open_min;
    if (box.joint === JOINT.SPLICED) return opening;
    const cut = assumed.cut_uncut_min + assumed.lasting_splice_min;
    return tools.may_cut ? opening + cut : Infinity;
  }

  /** Price what a result leaves, weighed by its chance, from a point. */
  priceAfter(after, at) {
    return new Prices(this.t, this.masses(cellsOf(after.legs), outerOf(after))).fromPoint(at);
  }

  /** Dislike of reaching each cell of its leg from the leg's two ends. */
  #reach() {
    const { cellFt, cellLeg, pointFt, legs } = this.line;
    const perFt = legs.map((leg) => (leg.tone_factor * this.assumed.tone_min_per_100_ft) / 100);
    const dislike = (minutes) => Math.exp(this.k * minutes);
    this.reachLeft = cellFt.map((ft, i) =>
      dislike((ft - pointFt[cellLeg[i]]) * perFt[cellLeg[i]]));
    this.reachRight = cellFt.map((ft, i) =>
      dislike((pointFt[cellLeg[i] + 1] - ft) * perFt[cellLeg[i]]));
  }

  /** The masses of a belief's cells, with points and outer causes. */
  masses(cells, { behind, points, inBox, otherWire }) {
    const { settle, t: { gaps } } = this;
    const { cellLeg } = this.line;
    const [gap, left, right] = [0, 1, 2].map(() => new Float64Array(gaps));
    for (let i = 0; i < cells.length; i += 1) {
      const at = cellLeg[i] + 1;
      gap[at] += cells[i];
      left[at] += cells[i] * this.reachLeft[i];
      right[at] += cells[i] * this.reachRight[i];
    }
    gap[0] = behind;
    gap[gaps - 1] = inBox + otherWire;
    left[0] = right[0] = behind * settle;
    left[gaps - 1] = right[gaps - 1] = (inBox + otherWire * this.back) * settle;
    const point = new Float64Array(gaps + 1);
    point.set(points, 1);
    return { gap, point, left, right };
  }

  /** Share before and beyond each point of the terrain, the point itself in neither. */
  #sides() {
    const { gap, point } = this.prices.m;
    const sums = new Float64Array(point.length);
    for (let i = 0; i < gap.length; i += 1) sums[i + 1] = sums[i] + (gap[i] + point[i + 1]);
    this.before = point.map((mass, i) => (sums[i] - mass) / this.total);
    this.beyond = point.map((mass, i) => (this.total - (sums[i] - mass) - mass) / this.total);
  }
}

/** Outer masses of a belief. */
export function outerOf({ splice, outside }) {
  return {
    behind: sumOf(BEHIND.map((cause) => outside[cause])),
    points: splice,
    inBox: sumOf(IN_VALVE_BOX.map((cause) => outside[cause])),
    otherWire: outside[OUTSIDE.WRONG_WIRE],
  };
}

/** Which values are among the greatest so many; those equal to the last are too. */
export function most(values, count) {
  if (values.length <= count) return () => true;
  const least = Array.from(values).sort((a, b) => b - a)[count - 1] * JUST_BELOW;
  return (value) => value >= least;
}
