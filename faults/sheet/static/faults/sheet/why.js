// Why an action ranks where it does, in one line: what it settles, where it lies, what stays for
// good. Follows `why_words` in services/shown.py of faults/locating; that a way was walked for
// nothing, or lies on the way, the page alone says.
import { HALF, WORTH_SAYING } from "../locating/data.js";
import { share } from "./shown.js";
import { fill } from "./view.js";

const OF_A_BOX = ["open box", "cut box", "listen", "clamp", "read volts", "measure insulation"];

/**
 * @param {any} option of the plan @param {any} stand {at, open_box} by the keys of points
 * @param {{key: number, feet: number}[]} points of the line, from the controller
 * @param {any} words of the step @param {(feet: number) => string} length
 */
export function whyOf(option, stand, points, words, length) {
  const said = [settles(option, words), lies(option, stand, points, words, length)];
  if (option.action.action === "cut box") said.push(words.why_splice);
  const line = said.filter(Boolean).join("; ");
  return line && line[0].toUpperCase() + line.slice(1);
}

function settles({ action, before, beyond, finds }, words) {
  const likely = share(Math.min(finds, 1), words);
  if (Math.min(before, beyond) >= HALF) return words.why_halves;
  if (Math.max(before, beyond) > 0) return fill(words.why_sides, { a: side(before), b: side(beyond) });
  if (action.action === "renew leg") return fill(words.why_renew, likely);
  if (action.action === "move to spare") return words.why_spare;
  if (action.action === "prove wire") return fill(words.why_prove, likely);
  if (finds >= WORTH_SAYING) return fill(words.why_finds, likely);
  if (action.action === "read ohms") return words.why_ohms;
  return action.action === "read distance" ? words.why_distance : "";
}

const side = (part) => `${Math.round(part * 20) * 5} %`;

function lies({ action }, stand, points, words, length) {
  const place = startOf(action, points);
  if (place === undefined) return "";
  if (OF_A_BOX.includes(action.action) && place === stand.open_box && place === stand.at) return words.why_open;
  if (place === stand.at) return words.why_here;
  const feet = (key) => points.find((point) => point.key === key)?.feet ?? 0;
  return fill(words.why_away, length(Math.abs(feet(place) - feet(stand.at))));
}

function startOf({ action, point, from_valve }, points) {
  if (["check controller", "read ohms"].includes(action)) return points[0].key;
  if (["check valve", "prove wire"].includes(action)) return points.at(-1).key;
  if (action === "read distance") return points.at(from_valve ? -1 : 0).key;
  return point;
}
