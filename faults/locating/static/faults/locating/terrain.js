// What does not change during a search: minutes, errors, and the ways to test at a box.
// Follows faults/locating/engines/ways.py and the terrain of costs.py.
import { JOINT, LEAST_SETTLE_MIN } from "./data.js";

/**
 * The ways to test at a box: by its splice, by cutting, by listening, by a clamp.
 *
 * @param {Line} line
 * @param {number} box
 * @param {Record<string, number>} assumed
 * @param {object} tools
 * @param {boolean} isFed a tone is on the wire from the controller, ready to be listened for
 * @returns {BoxWay[]}
 */
export function boxWays(line, box, assumed, tools, isFed) {
  const { joint, open_min: open } = line.boxes[box - 1];
  const isSpliced = joint === JOINT.SPLICED;
  const lasting = isSpliced ? 0 : assumed.cut_uncut_min + assumed.lasting_splice_min;
  const rates = (test) => [assumed[`${test}_sensitivity`], assumed[`${test}_specificity`]];
  const uncut = (kind, [se, sp], setup) =>
    ({ kind, minutes: open + setup, error: (1 - se + 1 - sp) / 2, lasting: 0, setup });
  const cut = (kind, [se, sp]) => {
    const { alike, wrong } = pairErrors(se, sp, assumed.box_swapped);
    const opened = open + (assumed.repeat_min * alike) / (1 - alike);
    return { kind, minutes: opened + lasting, error: wrong, lasting, setup: 0 };
  };
  const ways = [];
  if (!isSpliced) ways.push(uncut("listen", rates("listen"), isFed ? 0 : assumed.tone_setup_min));
  if (tools.clamp) ways.push(uncut("clamp", rates("clamp"), 0));
  if (tools.volts && isSpliced) {
    const { alike, wrong } = voltsErrors(...rates("volts"));
    const opened = Math.max(assumed.repeat_min, open - assumed.volts_saves_min);
    const minutes = opened + (assumed.repeat_min * alike) / (1 - alike);
    ways.push({ kind: "read volts", minutes, error: wrong, lasting: 0, setup: 0 });
  }
  if (!isSpliced && !tools.may_cut) return ways;
  ways.push(cut(isSpliced ? "open box" : "cut box", rates("box")));
  if (tools.insulation) ways.push(cut("measure insulation", rates("insulation")));
  return ways;
}

/** The way that later steps are priced by: minutes plus what an error would cost. */
function boxTest(line, box, assumed, tools, isFed) {
  const inVain = assumed.tone_setup_min + (line.lengthFt / 100) * assumed.tone_min_per_100_ft;
  const weight = (way) => way.minutes + way.error * inVain;
  return boxWays(line, box, assumed, tools, isFed).reduce((best, way) =>
    weight(way) < weight(best) ? way : best);
}

/** Chance that both sides read alike, and that an unlike pair names the wrong side. */
export function pairErrors(se, sp, swapped) {
  const right = se * sp;
  const crossed = (1 - se) * (1 - sp);
  const alike = se * (1 - sp) + (1 - se) * sp;
  const saidRight = (1 - swapped) * right + swapped * crossed;
  const saidWrong = (1 - swapped) * crossed + swapped * right;
  return { alike, wrong: saidWrong / (saidRight + saidWrong) };
}

/** The same for volts, of which both sides are low beyond the place, and right before it. */
function voltsErrors(se, sp) {
  const right = (se ** 2 + sp ** 2) / 2;
  const wrong = ((1 - se) ** 2 + (1 - sp) ** 2) / 2;
  return { alike: 1 - right - wrong, wrong: wrong / (right + wrong) };
}

/**
 * A terrain of g gaps and g + 1 points: a gap behind the controller, one for each leg, one beyond
 * the valve. Tables by two points lie row by row, g + 1 wide. "Dislike" is exp(k x minutes).
 */
export class Terrain {
  /**
   * @param {Line} line
   * @param {Record<string, number>} assumed
   * @param {object} tools
   * @param {boolean} isFed
   */
  constructor(line, assumed, tools, isFed) {
    this.k = assumed.dislike_per_min;
    this.detects = assumed.tone_detects;
    this.setupMin = assumed.tone_setup_min;
    this.setup = Math.exp(this.k * this.setupMin);
    // The settling of an outer cause takes no set-up; a gap must take some time.
    const settle = Math.max(LEAST_SETTLE_MIN, assumed.settle_outside_min - this.setupMin);
    const tone = line.legs.map(
      (leg) => (leg.length_ft / 100) * assumed.tone_min_per_100_ft * leg.tone_factor,
    );
    this.toneMin = Float64Array.of(settle, ...tone, settle);
    this.gaps = this.toneMin.length;
    this.wide = this.gaps + 1;
    const tests = line.boxes.map((_, i) => boxTest(line, i + 1, assumed, tools, isFed));
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
    const anew = line.legs.map(
      (leg) => assumed.renew_setup_min + (leg.length_ft / 100) * assumed.renew_min_per_100_ft,
    );
    const { settle_outside_min: outside } = assumed;
    /** Minutes to lay each gap's wire again; null where nobody would. */
    this.renewMin = tools.renew ? Float64Array.of(outside, ...anew, outside) : null;
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
