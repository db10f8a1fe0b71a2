// The strip: one wire as a straight line to scale, likelihood in rounded bands above its legs.

import { HEIGHTS, LEFT_OF_IT } from "../locating/data.js";
import { h } from "./view.js";

const WIDTH = 340;
const LEFT = 10;
const LINE_Y = 62;
const STEP_UP = 9;

/**
 * Legs with their ends along the drawing, height 0..5 by their likelihood as a share of the
 * likeliest leg's, times the chance that it lies in the wire at all, and whether they are all but
 * ruled out.
 */
export function bandsOf(line, before, belief) {
  const lengths = line.legs.map((leg) => leg.length_ft);
  const all = lengths.reduce((sum, each) => sum + each, 0) || 1;
  const highest = Math.max(...belief.legs, 1e-300);
  const sum = (masses) => Array.from(masses).reduce((a, b) => a + b, 0);
  const scale = (sum(belief.legs) + sum(belief.splices)) / highest;
  let at = 0;
  return line.legs.map((leg, i) => {
    const from = at;
    at += leg.length_ft;
    return {
      leg,
      x: LEFT + (from / all) * (WIDTH - 2 * LEFT),
      width: (leg.length_ft / all) * (WIDTH - 2 * LEFT),
      height: HEIGHTS.filter((least) => belief.legs[i] * scale >= least).length,
      isUnlikely: belief.legs[i] < LEFT_OF_IT * before.legs[i],
    };
  });
}

// Names of boxes stand in two rows, each where it does not run into the one before it.
const LETTER = 6.2;
const ROWS_Y = [LINE_Y + 34, LINE_Y + 47];

function namesOf(xs, names) {
  const ends = ROWS_Y.map(() => -Infinity);
  return names.map((name, i) => {
    const half = (name.length * LETTER) / 2;
    const x = Math.min(Math.max(xs[i], half), WIDTH - half);
    const row = ends.findIndex((end) => x - half > end + 3);
    if (row < 0) return null;
    ends[row] = x + half;
    return h("text", { class: "name", x, y: ROWS_Y[row], "text-anchor": "middle" }, name);
  });
}

/** @param {string[]} names of the points, from the controller on; a number stands below each tick */
export function drawStrip(line, before, belief, title, names) {
  const bands = bandsOf(line, before, belief);
  const xs = [LEFT, ...bands.map((band) => band.x + band.width)];
  const inside = bands.map((band) => [
    band.isUnlikely ? h("rect", { class: "hatch", x: band.x, y: LINE_Y - 12, width: band.width, height: 9, fill: "url(#hatch)" }) : null,
    !band.isUnlikely && band.height ? h("rect", { class: "band", x: band.x + 0.5, y: LINE_Y - 4 - band.height * STEP_UP, width: Math.max(band.width - 1, 1), height: band.height * STEP_UP, rx: 4 }) : null,
  ]);
  const ticks = xs.map((x, i) => h("line", { class: `tick ${jointOf(line, i)}`, x1: x, x2: x, y1: LINE_Y - 5, y2: LINE_Y + 5 }));
  const numbers = xs.map((x, i) => h("text", { x, y: LINE_Y + 20, "text-anchor": "middle" }, i === 0 ? "◉" : i === xs.length - 1 ? "▽" : String(i)));
  return h("svg", { class: "drawing belief", viewBox: `0 0 ${WIDTH} ${ROWS_Y[1] + 6}`, role: "img", "aria-label": title },
    h("defs", {}, h("pattern", { id: "hatch", width: 6, height: 6, patternUnits: "userSpaceOnUse", patternTransform: "rotate(45)" }, h("line", { class: "hatch-line", x1: 0, y1: 0, x2: 0, y2: 6 }))),
    inside, h("line", { class: "way", x1: LEFT, x2: WIDTH - LEFT, y1: LINE_Y, y2: LINE_Y }), ticks, numbers, namesOf(xs, names));
}

function jointOf(line, i) {
  const box = line.boxes[i - 1];
  return !box || box.joint === "spliced" ? "spliced" : box.joint === "passes uncut" ? "" : "unknown";
}
