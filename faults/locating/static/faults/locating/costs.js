// Minutes to the end of a search along a line, with tests that err as they do in the field.
// Follows faults/locating/engines/costs.py, which says why each term is there.
import { MOST_REPEATED } from "./data.js";

/** @param {Masses} masses */
export function totalOf({ gap, point }) {
  let sum = 0;
  for (const mass of gap) sum += mass;
  let points = 0;
  for (const mass of point) points += mass;
  return sum + points;
}

const least = (a, b, c) => Math.min(a, Math.min(b, c));

/** The priced stretches of one belief, by first and last gap, entered at the left or right end. */
export class Prices {
  /**
   * @param {import("./terrain.js").Terrain} terrain
   * @param {Masses} masses
   */
  constructor(terrain, masses) {
    this.t = terrain;
    this.m = masses;
    const { gaps, grow } = terrain;
    const { left, right, point } = masses;
    this.fromLeft = new Float64Array(gaps * gaps);
    this.fromRight = new Float64Array(gaps * gaps);
    // Sums of what a walk from the far left or the far right would cost: any walk over
    // neighbouring gaps is a difference of two, scaled to its own start.
    this.rightward = new Float64Array(gaps + 1);
    this.leftward = new Float64Array(gaps + 1);
    for (let i = 0; i < gaps; i += 1) {
      this.rightward[i + 1] = this.rightward[i] + (left[i] * grow[i] + point[i + 1] * grow[i + 1]);
      this.leftward[i + 1] = this.leftward[i] + (right[i] / grow[i + 1] + point[i] / grow[i]);
    }
    // What `#bets` and `#walks` return, kept here so that the loops make no garbage.
    this.byLow = 0;
    this.byHigh = 0;
    this.walkedRight = 0;
    this.walkedLeft = 0;
    for (let length = 1; length <= gaps; length += 1) {
      for (let start = 0; start + length <= gaps; start += 1) this.#fill(start, start + length);
    }
  }

  /** Price the whole line from a point. @param {number} at @returns {number} */
  fromPoint(at) {
    const { gaps, wide, walk } = this.t;
    const row = at * wide;
    let best = Infinity;
    for (let inner = 1; inner < gaps; inner += 1) {
      best = Math.min(best, this.split(0, inner, gaps) * walk[row + inner]);
    }
    for (let low = 0; low < gaps; low += 1) {
      for (let high = low + 1; high <= gaps; high += 1) {
        this.#bets(0, low, high, gaps);
        best = least(best, this.byLow * walk[row + low], this.byHigh * walk[row + high]);
      }
    }
    return best;
  }

  /**
   * Price a test at a point of a stretch, without the way there.
   *
   * @param {number} start
   * @param {number} at
   * @param {number} end
   * @param {number} [testMin] minutes, where not those of the terrain
   * @param {number} [wrong] chance of the wrong side, where not that of the terrain
   * @returns {number}
   */
  split(start, at, end, testMin = this.t.testMin[at], wrong = this.t.testError[at]) {
    const { gaps, k, wide, vain, walk } = this.t;
    const left = this.fromRight[start * gaps + at - 1];
    const right = this.fromLeft[at * gaps + end - 1];
    const sides =
      left * (1 - wrong + wrong * (vain[at * wide + end] * walk[end * wide + at])) +
      right * (1 - wrong + wrong * (vain[start * wide + at] * walk[start * wide + at]));
    return Math.exp(k * testMin) * (sides + this.m.point[at]);
  }

  #fill(start, end) {
    const { gaps, wide, walk } = this.t;
    const there = walk[start * wide + end];
    const back = walk[end * wide + start];
    this.#walks(start, end);
    let fromLeft = Math.min(this.walkedRight, there * this.walkedLeft);
    let fromRight = Math.min(this.walkedLeft, back * this.walkedRight);
    if (end - start === 1 && this.t.renewMin) {
      const renewed = Math.exp(this.t.k * this.t.renewMin[start]) * this.m.gap[start];
      fromLeft = Math.min(fromLeft, renewed);
      fromRight = Math.min(fromRight, renewed);
    }
    const rowS = start * wide;
    const rowE = end * wide;
    for (let at = start + 1; at < end; at += 1) {
      const value = this.split(start, at, end);
      fromLeft = Math.min(fromLeft, value * walk[rowS + at]);
      fromRight = Math.min(fromRight, value * walk[rowE + at]);
    }
    for (let low = start; low < end; low += 1) {
      for (let high = low + 1; high <= end; high += 1) {
        if (high - low === end - start) continue;
        this.#bets(start, low, high, end);
        const { byLow, byHigh } = this;
        fromLeft = least(fromLeft, walk[rowS + low] * byLow, walk[rowS + high] * byHigh);
        fromRight = least(fromRight, walk[rowE + low] * byLow, walk[rowE + high] * byHigh);
      }
    }
    this.fromLeft[start * gaps + end - 1] = fromLeft;
    this.fromRight[start * gaps + end - 1] = fromRight;
  }

  /** The best walk from either end over some gaps, then on with what is left. */
  #walks(start, end) {
    const { gaps, wide, grow, full, back } = this.t;
    const { point } = this.m;
    let rightward = Infinity;
    let leftward = Infinity;
    for (let stop = start + 1; stop <= end; stop += 1) {
      // The point where the stretch ends is not part of it.
      const notOurs = stop === end ? point[stop] * grow[stop] : 0;
      const covered = (this.rightward[stop] - this.rightward[start] - notOurs) / grow[start];
      const rest = stop < end ? this.fromLeft[stop * gaps + end - 1] : 0;
      const price = this.#walk(covered, full[start * wide + stop], rest, back[stop * wide + end]);
      rightward = Math.min(rightward, price);
    }
    for (let begin = end - 1; begin >= start; begin -= 1) {
      const notOurs = begin === start ? point[begin] / grow[begin] : 0;
      const covered = (this.leftward[end] - this.leftward[begin] - notOurs) * grow[end];
      const rest = begin > start ? this.fromRight[start * gaps + begin - 1] : 0;
      const price = this.#walk(covered, full[begin * wide + end], rest, back[start * wide + begin]);
      leftward = Math.min(leftward, price);
    }
    this.walkedRight = rightward;
    this.walkedLeft = leftward;
  }

  /** Walk once or twice over some gaps, then the rest; what was missed comes last. */
  #walk(covered, full, rest, back) {
    const { detects: finds, setup } = this.t;
    const misses = 1 - finds;
    const again = (covered * finds) / (1 - Math.min(misses * full, MOST_REPEATED));
    const last = misses * (back > 1 ? back * setup : 1) * again;
    const once = finds * covered + full * (rest + last);
    const twice = finds * covered * (1 + misses * full) + full * full * (rest + misses * last);
    return setup * Math.min(once, twice);
  }

  /** Price searching low..high of a stretch first, entered at low and at high, without the way. */
  #bets(start, low, high, end) {
    const { gaps, wide, vain, back, walk, detects } = this.t;
    const { point } = this.m;
    const hasLeft = low > start;
    const hasRight = high < end;
    const left = hasLeft ? this.fromRight[start * gaps + low - 1] : 0;
    const right = hasRight ? this.fromLeft[high * gaps + end - 1] : 0;
    const across = walk[high * wide + low];
    // A piece is walked in vain away from where one goes on to.
    const afterLeft = hasLeft ? vain[start * wide + low] * walk[start * wide + high] : across;
    const afterRight = hasRight ? vain[high * wide + end] * walk[end * wide + low] : across;
    const leftFirst = left + afterLeft * right;
    const rightFirst = right + afterRight * left;
    const atLow = Math.min(leftFirst, across * rightFirst);
    const atHigh = Math.min(rightFirst, across * leftFirst);
    const inVain = vain[low * wide + high];
    const edges = (hasLeft ? point[low] : 0) + (hasRight ? point[high] : 0);
    const rest = back[start * wide + low] * back[high * wide + end];
    const missed = (1 - detects) * (inVain * rest - 1);
    const hereLeft = this.fromLeft[low * gaps + high - 1];
    const hereRight = this.fromRight[low * gaps + high - 1];
    this.byLow = hereLeft + missed * hereLeft + inVain * (atHigh + edges);
    this.byHigh = hereRight + missed * hereRight + inVain * (atLow + edges);
  }
}
