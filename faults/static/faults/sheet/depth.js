// Depth of a wire from the offsets of a receiver tilted 45 degrees, as faults/engines/depth.py.

const MOST_ASYMMETRY = 0.15;
const NINETY_PERCENT = 1.645;
const READING_FT = 0.08;
const TILT_RADIANS = (2 * Math.PI) / 180;
const HEIGHT_FT = 0.05;

/**
 * @param {number|null} left feet from the line to the null on the left
 * @param {number|null} right and on the right
 * @param {number} height feet from the ground to the antenna
 * @returns {{why: string, asymmetry?: number} | {depth: number, low: number, high: number}}
 */
export function depthOf(left, right, height) {
  if (left === null || right === null) return { why: "one_side" };
  if (Math.min(left, right) <= 0 || height < 0) return { why: "not_above_0" };
  const reach = (left + right) / 2;
  const asymmetry = Math.abs(left - right) / reach;
  if (asymmetry > MOST_ASYMMETRY) return { why: "unlike", asymmetry };
  const depth = reach - height;
  if (depth <= 0) return { why: "too_high" };
  const one = Math.hypot(READING_FT, 2 * reach * TILT_RADIANS);
  const half = NINETY_PERCENT * Math.hypot((one * Math.SQRT2) / 2, height > 0 ? HEIGHT_FT : 0);
  return { depth, low: depth - half, high: depth + half };
}
