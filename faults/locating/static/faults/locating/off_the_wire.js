// A distance that no place on the wire can give, which the server refuses: said at once.
// Follows faults/locating/engines/off_the_wire.py.
import { DEFAULTS } from "./assumptions.js";
import { LEAST_SD_FT } from "./data.js";

const ERRORS_EXPLAIN = 3;

/**
 * The standard error of a distance that lies off the wire by more than three of them.
 *
 * @param {{line: {legs: Leg[]}, assumed: Record<string, number>}} plain a search
 * @param {{feet: number, from_valve?: boolean, sd_ft?: number | null,
 *   sd_share?: number | null, is_farthest?: boolean}} said
 * @returns {number | null} feet, or null where the distance can be one of this wire
 */
export function errorIfOffTheWire({ line: { legs }, assumed }, said) {
  const numbers = { ...DEFAULTS, ...assumed };
  const sum = (some) => some.reduce((feet, leg) => feet + leg.length_ft, 0);
  const all = sum(legs);
  const isFar = said.feet > all;
  const guessed = isFar ? sum(legs.filter((leg) => leg.is_guessed)) : 0;
  const share = (said.sd_share ?? numbers.distance_sd_share) * (isFar ? all : 0);
  const own = Math.hypot(said.sd_ft ?? numbers.distance_sd_ft, share);
  const error = Math.max(Math.hypot(own, numbers.guessed_sd_share * guessed), LEAST_SD_FT);
  // A farthest place beyond the end rules out nothing, which is no contradiction.
  const over = said.is_farthest ? -Infinity : said.feet - all;
  return Math.max(-said.feet, over) > ERRORS_EXPLAIN * error ? error : null;
}
