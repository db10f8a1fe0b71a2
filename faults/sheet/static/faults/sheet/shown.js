// How figures are shown: nobody reads 23.7 %, and nobody can promise a single minute.
// Follows `band` in engines/summary.py and `rounded` in services/shown.py, both in faults/locating.
import { BANDS, ROUNDED_MIN } from "../locating/data.js";
import { fill } from "./view.js";

/** The rounded share that is shown: 0 for next to nothing, 1 for next to all. @param {number} mass */
export function band(mass) {
  if (mass < BANDS[0] / 2) return 0;
  if (mass > (1 + BANDS.at(-1)) / 2) return 1;
  return BANDS.reduce((best, each) => (Math.abs(each - mass) < Math.abs(best - mass) ? each : best));
}

/** @param {number} minutes */
export function rounded(minutes) {
  return Math.max(ROUNDED_MIN, Math.floor(minutes / ROUNDED_MIN + 0.5) * ROUNDED_MIN);
}

/** A share in words, as `share_words` in services/words.py. @param {number} mass @param {any} words */
export function share(mass, words) {
  const shown = band(mass);
  if (shown === 0) return words.under;
  return shown === 1 ? words.over : fill(words.about, Math.round(shown * 100));
}
