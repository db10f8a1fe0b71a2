// Why an action ranks where it does, in one line: what it settles, where it lies, what stays for
// good. Follows `why_words` in services/shown.py of faults/locating.
import { MOST_WALKED, WORTH_SAYING } from "../locating/telling_data.js";
import { rounded, share } from "./shown.js";
import { fill } from "./view.js";

/**
 * @param {any} option of the plan @param {any} facts of the engine's `reasons`
 * @param {{names: string[], feet: number[], at: number, words: any,
 *   length: (feet: number) => string}} of points along the line, and where one stands
 */
export function whyOf(option, facts, of) {
  const { words } = of;
  const said = [settles(option, facts, words), lies(facts, of)];
  if (option.action.action === "cut box") said.push(words.why_splice);
  if (["open ground", "renew leg"].includes(option.action.action)) said.push(words.why_marked);
  const line = said.filter(Boolean).join("; ");
  return line && line[0].toUpperCase() + line.slice(1);
}

function settles({ action: { action }, before, beyond, finds, own_min: own, minutes }, facts, words) {
  if (facts.halves) return words.why_halves;
  if (Math.max(before, beyond) > 0) return fill(words.why_sides, { a: side(before), b: side(beyond) });
  const likely = share(Math.min(finds, 1), words);
  if (action === "renew leg") return fill(words.why_renew, likely);
  if (action === "move to spare") return words.why_spare;
  if (facts.walked_in_vain >= MOST_WALKED) {
    return fill(words.why_again, { times: facts.walked_in_vain, share: likely, own: rounded(own), all: rounded(minutes) });
  }
  if (action === "prove wire") return fill(words.why_prove, likely);
  if (finds >= WORTH_SAYING) return fill(words.why_finds, likely);
  if (action === "read ohms") return words.why_ohms;
  return action === "read distance" ? words.why_distance : "";
}

/** Sides of one test, rounded so that they still add up: a half to the even number. */
function side(part) {
  const near = Math.round(part * 20);
  return `${(near - part * 20 === 0.5 && near % 2 ? near - 1 : near) * 5} %`;
}

function lies({ point, is_open: isOpen, is_here: isHere, is_on_the_way: isOnTheWay, is_nearest: isNearest }, { names, feet, at, words, length }) {
  if (point === null) return "";
  if (isOpen) return words.why_open;
  if (isHere) return words.why_here;
  if (isOnTheWay) return fill(words.why_on_way, names[point]);
  if (isNearest) return fill(words.why_nearest, names[point]);
  return fill(words.why_away, length(Math.abs(feet[point] - feet[at])));
}
