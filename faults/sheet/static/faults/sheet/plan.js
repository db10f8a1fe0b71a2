// The engine of the search on this phone, loaded only when the step is opened.

let engine = null;
let failed = false;

/** Load the engine once; `then` is called when it is there, or when it cannot be had. */
export function load(then) {
  if (engine || failed) return;
  import("../locating/index.js").then((made) => { engine = made; }, () => { failed = true; }).then(then);
}

export const isLoading = () => !engine && !failed;

/** What is believed and what to do next, worked out once for the same tests and place. */
const known = new Map();

/**
 * @param {any} search the plain form, with the tests that wait on this phone
 * @param {any} stand where the technician stands, points by id
 * @returns {{before: any, belief: any, options: any[]} | {contradiction: true}
 *   | {isUnusable: true} | null} null = no engine
 */
export function planFor(search, stand) {
  if (!engine) return null;
  // All of it: a leg that was split in the office changes the line and nothing else.
  const key = JSON.stringify([search, stand]);
  if (!known.has(key)) {
    known.clear();
    known.set(key, work(search, stand));
  }
  return known.get(key);
}

function work(search, stand) {
  try {
    return {
      before: engine.beliefOf({ ...search, readings: [] }),
      belief: engine.beliefOf(search),
      options: engine.nextActions(search, stand),
    };
  } catch (problem) {
    if (problem instanceof engine.Contradiction) return { contradiction: true };
    // A test of a place that the wire no longer has, say: the sheet goes on without a plan.
    console.warn(problem);
    return { isUnusable: true };
  }
}
