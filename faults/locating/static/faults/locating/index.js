// The phone's engine: what is believed of a search, and what to do next, without the server.
// The Python in faults/locating/engines/ is the reference; tests hold the two equal.
import { byLeg, feetOf } from "./belief.js";
import { named, searchOf, standOf } from "./plain.js";
import { believed, planned } from "./searching.js";

export { ENGINE_VERSION } from "./data.js";
export * from "./errors.js";

/**
 * What is believed after all readings that stand.
 *
 * @param {object} plain a search
 * @returns {{legs: number[], splices: number[], outside: Record<string, number>,
 *   feet: {low: number, middle: number, high: number} | null}} `splices` by point
 * @throws {Contradiction} no explanation is left
 * @throws {UnusableLine} the line cannot be searched
 * @throws {UnusablePlain} something in it cannot be read
 */
export function beliefOf(plain) {
  const belief = believed(searchOf(plain));
  return {
    legs: byLeg(belief),
    splices: Array.from(belief.splice),
    outside: belief.outside,
    feet: feetOf(belief),
  };
}

/**
 * Every useful action, the best first.
 *
 * @param {object} plain a search
 * @param {{at: number | string, open_box?: number | string | null,
 *   tone_from?: number | string | null, tone_on?: string}} stand points by id
 * @returns {Option[]} points and legs of actions by id
 * @throws {Error} as `beliefOf`
 */
export function nextActions(plain, stand) {
  const search = searchOf(plain);
  const options = planned(search, standOf(stand, search.ids));
  return options.map((option) => ({ ...option, action: named(option.action, search.ids) }));
}
