// Depth of a wire from the offsets of a receiver tilted 45 degrees, as faults/readings/engines/depth.py.

import { ask, parse } from "./step.js";
import { fill, h } from "./view.js";

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

/** Offsets to both sides, and the depth that they give with its ninety percent. */
export function depthHelper(field, at) {
  const { words } = at;
  const perFoot = field.unit === "cm" ? 30.48 : 12;
  const parts = ["left", "right", "height"].map((name) => ({ name: `depth_${name}`, label: words[name], unit: field.unit }));
  const said = h("p", { role: "status" });
  const feet = (name) => {
    const value = parse(at.draft[name]);
    return value === null || Number.isNaN(value) ? null : value / perFoot;
  };
  const use = h("button", { type: "button", class: "quiet", hidden: true, click: () => { at.draft[field.name] = use.dataset.value; at.keep(); at.again(); } }, words.use_depth);
  const tell = () => {
    if (feet("depth_left") === null && feet("depth_right") === null) return;
    const found = depthOf(feet("depth_left"), feet("depth_right"), feet("depth_height") ?? 0);
    use.hidden = "why" in found;
    if ("why" in found) {
      said.textContent = fill(words[`depth_${found.why}`], `${Math.round((found.asymmetry || 0) * 100)} %`);
      return;
    }
    const round = (value) => `${Math.max(0, Math.round(value * perFoot))} ${field.unit}`;
    said.textContent = fill(words.depth_is, { depth: round(found.depth), low: round(found.low), high: round(found.high) });
    use.dataset.value = String(Math.round(found.depth * perFoot));
  };
  const asks = parts.map((each) => {
    const made = ask({ ...each, type: "number" }, at);
    made.addEventListener("input", tell);
    return made;
  });
  return h("details", { class: "helper" }, h("summary", {}, words.depth_help), asks, said, use);
}
