// How things stand on this phone: what the server last said, and on top of it what waits here.

/**
 * @param {any} data the sheet as the server gave it
 * @param {any[]} queue things of all sheets, in their order
 */
export function stateOf(data, queue) {
  const mine = queue.filter((thing) => thing.job === data.job.ref);
  const waiting = mine.filter((thing) => thing.state === "waiting");
  const stages = new Map(data.stations.map((row) => [row.row, row.stage]));
  let jobState = data.job.state;
  let startedAt = data.job.started_at;
  for (const thing of waiting) {
    const to = data.leads_to[thing.kind];
    if (to) for (const row of thing.body.stations || stages.keys()) stages.set(row, to);
    if (thing.kind === "start") [jobState, startedAt] = ["started", thing.at];
    if (thing.kind === "finish") jobState = "done";
  }
  return { stages, jobState, startedAt, mine, waiting, ...breakOf(data, mine) };
}

/** The break that photos and mends are about: the last one, sent or not. */
function breakOf(data, mine) {
  const unsent = mine.filter((thing) => thing.kind === "found" && thing.state === "waiting").at(-1);
  if (unsent) return { ofBreak: { of_break_sent: unsent.id } };
  const known = data.breaks.at(-1);
  return { ofBreak: known ? { of_break: known[0] } : null };
}

/** Everything recorded on this sheet, oldest first: each once, wherever it is now. */
export function recorded(data, queue) {
  const here = new Map(queue.filter((thing) => thing.job === data.job.ref).map((thing) => [thing.id, thing]));
  const known = data.items.filter((item) => !here.has(item.id));
  const voided = new Set([...known, ...here.values()].filter((thing) => thing.kind === "void" || thing.kind === "search void").map((thing) => thing.body.of));
  return [...known, ...here.values()]
    .map((thing) => ({ ...thing, isVoid: voided.has(thing.id) }))
    .sort((a, b) => a.at.localeCompare(b.at));
}

/** The value that a row of buttons shows as chosen: the last one that was tapped. */
export function lastTapped(data, queue, kind, key, row) {
  const things = recorded(data, queue).filter((thing) => thing.kind === kind && thing.body[key] === row[key] && thing.answer !== "refused" && thing.state !== "refused");
  const last = things.at(-1);
  return last && sameDay(last.at) ? last : null;
}

const sameDay = (at) => new Date(at).toDateString() === new Date().toDateString();
