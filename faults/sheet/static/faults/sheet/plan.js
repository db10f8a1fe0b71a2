// The engine of the search on this phone, loaded only when the step is opened.

let engine = null;
let teller = null;
let failed = false;

/**
 * Load the engine once, then what tells of tests and findings, which no advice waits for. `then` is
 * called when either is there, or when the engine cannot be had.
 */
export function load(then) {
  if (engine || failed) return;
  import("../locating/index.js")
    .then((made) => { engine = made; }, () => { failed = true; })
    .then(then)
    .then(() => import("../locating/telling.js"))
    .then((made) => { teller = made; then(); }, () => {});
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

const told = new Map();

/**
 * What there is to tell, worked out once for the same tests and place.
 *
 * @param {any} search as for `planFor` @param {any} stand @param {any[]} options of the plan
 * @param {{minutes: number, budget_min: number | null}} about minutes of search so far and allowed
 * @returns {{effects: any[], findings: any[], reasons: any[]} | null} null = not loaded, or no line
 */
export function toldFor(search, stand, options, about) {
  if (!teller) return null;
  const key = JSON.stringify([search, stand]);
  if (!told.has(key)) {
    told.clear();
    told.set(key, tell(search, stand, options));
  }
  const found = told.get(key);
  return found && { ...found, findings: [...found.findings, ...teller.pastBudget(about)] };
}

function tell(search, stand, options) {
  try {
    return { ...teller.tell(search, stand), reasons: teller.reasons(search, stand, options) };
  } catch (problem) {
    console.warn(problem); // as in `work`
    return null;
  }
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
