// What does not change during a search: minutes, errors, and the ways to test at a box.
// Follows faults/engines/locating/ways.py and the terrain of costs.py.
import { SPLICED } from "./line.js";

// The settling of an outer cause takes no set-up; a gap must take some time.
const LEAST_SETTLE_MIN = 0.5;

/**
 * @typedef {object} BoxWay How a box is tested: minutes without the way, chance of the wrong side.
 * @property {string} kind
 * @property {number} minutes
 * @property {number} error
 */

/**
 * The ways to test at a box: by its splice, by cutting, by listening.
 *
 * @param {import("./line.js").Line} line
 * @param {number} box
 * @param {Record<string, number>} assumed
 * @param {boolean} mayCut
 * @returns {BoxWay[]}
 */
export function boxWays(line, box, assumed, mayCut) {
  const here = line.boxes[box - 1];
  const { alike, wrong } = pairErrors(assumed);
  const retest = (assumed.repeat_min * alike) / (1 - alike);
  if (here.joint === SPLICED) {
    return [{ kind: "open box", minutes: here.open_min + retest, error: wrong }];
  }
  const listen = (1 - assumed.listen_sensitivity + 1 - assumed.listen_specificity) / 2;
  const ways = [{ kind: "listen", minutes: here.open_min, error: listen }];
  if (mayCut) {
    const cut = here.open_min + retest + assumed.cut_uncut_min + assumed.lasting_splice_min;
    ways.push({ kind: "cut box", minutes: cut, error: wrong });
  }
  return ways;
}

/** The way that later steps are priced by: minutes plus what an error would cost. */
function boxTest(line, box, assumed, mayCut) {
  const inVain = assumed.tone_setup_min + (line.lengthFt / 100) * assumed.tone_min_per_100_ft;
  const weight = (way) => way.minutes + way.error * inVain;
  return boxWays(line, box, assumed, mayCut).reduce((best, way) =>
    weight(way) < weight(best) ? way : best);
}

/** Chance that both sides read alike, and that an unlike pair names the wrong side. */
function pairErrors(assumed) {
  const { box_sensitivity: se, box_specificity: sp, box_swapped: swapped } = assumed;
  const right = se * sp;
  const crossed = (1 - se) * (1 - sp);
  const alike = se * (1 - sp) + (1 - se) * sp;
  const saidRight = (1 - swapped) * right + swapped * crossed;
  const saidWrong = (1 - swapped) * crossed + swapped * right;
  return { alike, wrong: saidWrong / (saidRight + saidWrong) };
}

/**
 * A terrain of g gaps and g + 1 points: a gap behind the controller, one for each leg, one beyond
 * the valve. Tables by two points lie row by row, g + 1 wide. "Dislike" is exp(k x minutes).
 */
export class Terrain {
  /**
   * @param {import("./line.js").Line} line
   * @param {Record<string, number>} assumed
   * @param {boolean} mayCut
   */
  constructor(line, assumed, mayCut) {
    this.k = assumed.dislike_per_min;
    this.detects = assumed.tone_detects;
    this.setupMin = assumed.tone_setup_min;
    this.setup = Math.exp(this.k * this.setupMin);
    const settle = Math.max(LEAST_SETTLE_MIN, assumed.settle_outside_min - this.setupMin);
    const tone = line.legs.map(
      (leg) => (leg.length_ft / 100) * assumed.tone_min_per_100_ft * leg.tone_factor,
    );
    this.toneMin = Float64Array.of(settle, ...tone, settle);
    this.gaps = this.toneMin.length;
    this.wide = this.gaps + 1;
    const tests = line.boxes.map((_, i) => boxTest(line, i + 1, assumed, mayCut));
    const ends = 1 - assumed.check_specificity;
    this.testMin = Float64Array.of(
      0, assumed.terminals_min, ...tests.map((test) => test.minutes), assumed.coil_min, 0,
    );
    this.testError = Float64Array.of(0, ends, ...tests.map((test) => test.error), ends, 0);
    this.until = new Float64Array(this.wide);
    this.toneMin.forEach((minutes, i) => {
      this.until[i + 1] = this.until[i] + minutes;
    });
    this.grow = this.until.map((minutes) => Math.exp(this.k * minutes));
    this.#tables(Float64Array.of(0, ...line.pointFt, line.lengthFt), assumed.walk_ft_per_min);
  }

  #tables(feet, walkFtPerMin) {
    const { k, wide, until, setupMin } = this;
    const table = () => new Float64Array(wide * wide);
    /** Minutes from point to point without testing, and their dislike. */
    this.walkMin = table();
    this.walk = table();
    /** Dislike of walking a piece with the tone; in vain, with the set-up; and coming back. */
    this.full = table();
    this.vain = table();
    this.back = table();
    for (let i = 0; i < wide; i += 1) {
      for (let j = 0; j < wide; j += 1) {
        const at = i * wide + j;
        const walkMin = Math.abs(feet[i] - feet[j]) / walkFtPerMin;
        this.walkMin[at] = walkMin;
        this.walk[at] = Math.exp(k * walkMin);
        this.full[at] = Math.exp(k * (until[j] - until[i]));
        this.vain[at] = Math.exp(k * (setupMin + until[j] - until[i]));
        // No piece, no way back.
        this.back[at] = j > i ? Math.exp(k * (setupMin + until[j] - until[i] + walkMin)) : 1;
      }
    }
  }
}
