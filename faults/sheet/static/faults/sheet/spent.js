// What this visit itself has spent of the limit: by people who were entered, else by the crew.

/**
 * Man-minutes of this visit, as faults/cases/services/man_hours.py has them: of the people who are
 * entered, sent or not; while it runs at least each person's time; nobody entered: the whole crew.
 * @param {any} data the sheet @param {any} state of `stateOf` @param {number} now in milliseconds
 */
export function ownManMin(data, state, now) {
  const { entered_man_min: sent, people } = data.authority;
  const unsent = state.waiting.filter((thing) => thing.kind === "people").reduce((sum, { body }) => sum + personMinutes(body), 0);
  const entered = sent + unsent;
  if (state.jobState === "done") return entered || (state.minutes ?? data.job.actual_minutes ?? 0) * people;
  if (state.jobState !== "started" || !state.startedAt) return entered;
  return Math.max(((now - new Date(state.startedAt).getTime()) / 60000) * people, entered);
}

/** Minutes of all people of one entry; past midnight is the next day. */
export function personMinutes({ people = [], others = "", starts, ends }) {
  const [from, to] = [starts, ends].map((clock) => { const [h, m] = String(clock).split(":").map(Number); return h * 60 + m; });
  const count = people.length + others.split(",").filter((name) => name.trim()).length;
  return Number.isFinite(to - from) ? (to > from ? to - from : to - from + 1440) * count : 0;
}
