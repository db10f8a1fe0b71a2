// What this phone keeps: things that were recorded and wait to be sent, in their order, each once by
// a key made here; what was half typed; and how things stand with all that on top of what the server
// last said. Each person has a database of its own, so that nobody sends or sees another's.

const VERSION = 1;

/** @param {string} user @returns {Promise<IDBDatabase>} */
export function openFor(user) {
  return new Promise((resolve, reject) => {
    const asked = indexedDB.open(nameFor(user), VERSION);
    asked.onupgradeneeded = () => {
      asked.result.createObjectStore("queue", { keyPath: "n", autoIncrement: true });
      asked.result.createObjectStore("kept");
    };
    asked.onsuccess = () => resolve(asked.result);
    asked.onerror = () => reject(asked.error);
  });
}

export const PREFIX = "sheet-";
export const nameFor = (user) => PREFIX + user;

/** Run one request in a transaction that is on the disk before the page says "kept". */
function run(db, store, mode, ask) {
  return new Promise((resolve, reject) => {
    const change = db.transaction(store, mode, { durability: mode === "readwrite" ? "strict" : "default" });
    const asked = ask(change.objectStore(store));
    change.oncomplete = () => resolve(asked.result);
    change.onabort = change.onerror = () => reject(change.error || asked.error);
  });
}

export const allOf = (db, store) => run(db, store, "readonly", (rows) => rows.getAll());
export const getFrom = (db, store, key) => run(db, store, "readonly", (rows) => rows.get(key));
export const addTo = (db, store, value) => run(db, store, "readwrite", (rows) => rows.add(value));
export const putInto = (db, store, value, key) =>
  run(db, store, "readwrite", (rows) => (key === undefined ? rows.put(value) : rows.put(value, key)));
export const removeFrom = (db, store, key) => run(db, store, "readwrite", (rows) => rows.delete(key));
export const clearAll = (db, store) => run(db, store, "readwrite", (rows) => rows.clear());

const AT_ONCE = 20;
const AGAIN_MS = 15000;
// On a line that swallows what is sent, nobody says that it failed: then it is tried again. A photo
// takes its time.
const PATIENCE_MS = 60000;
const PHOTO_PATIENCE_MS = 300000;
const LONGEST_MS = 14 * 24 * 3600000;
// A thing over which the server stumbles so often is set aside, so that the rest goes on.
const TRIES = 3;
// Clocks that differ by less are as good as each other.
const CLOCKS_DIFFER_MS = 120000;
// Under this name stands what this phone's clock showed when the server last answered.
const CLOCK = "clock";

/** Recorded here and not yet in the data that is shown: it counts as done on this phone. */
export const isPending = (thing) => thing.state === "waiting" || thing.state === "accepted";

/** It came back and needs the eyes of the user. */
export const isBack = (thing) => ["refused", "conflict", "unsure"].includes(thing.state);

/**
 * "waiting" goes up; "accepted" is with the server, and stays until newer data holds it; "refused"
 * and "conflict" came back and stay in view until they are settled; "unsure" waits for its day.
 */
export class Queue {
  /**
   * @param {IDBDatabase} base
   * @param {{user: string, send: string, list: string}} told
   * @param {(state: string, answers: object[]) => void} changed
   */
  constructor(base, told, changed) {
    this.base = base;
    this.told = told;
    this.changed = changed;
    this.state = navigator.onLine ? "online" : "offline";
    this.timer = 0;
  }

  list() {
    return allOf(this.base, "queue");
  }

  /** Keep one thing on this phone; it is on the disk when this returns. */
  async add(kind, job, body, more = {}) {
    const at = new Date();
    // Earlier than the last word with the server: the clock was reset since, its day is a guess.
    // A clock that is always wrong by as much is no trouble: the server sees by how much.
    const isUnsure = at.getTime() < ((await getFrom(this.base, "kept", CLOCK)) || 0) - CLOCKS_DIFFER_MS;
    const thing = { id: crypto.randomUUID(), kind, job, at: at.toISOString(), body, state: isUnsure ? "unsure" : "waiting", seen: this.told.stamp, ...more };
    thing.n = await addTo(this.base, "queue", thing);
    this.changed(this.state, []);
    this.soon(50);
    return thing;
  }

  /** Forget accepted things that newer data of their sheet holds, and those of long ago. */
  async forget(job, stamp) {
    for (const thing of await this.list()) {
      if (thing.state !== "accepted") continue;
      const isOld = Date.now() - new Date(thing.acceptedAt).getTime() > LONGEST_MS;
      if (isOld || (thing.job === job && thing.acceptedAt <= stamp)) await removeFrom(this.base, "queue", thing.n);
    }
  }

  /** Take a thing out of view that came back: what was typed stands in the office too. */
  async settle(thing) {
    await removeFrom(this.base, "queue", thing.n);
    this.changed(this.state, []);
  }

  /** Send a thing once more, having seen both values: the sender's own holds. */
  async insist(thing) {
    await this.add(thing.kind, thing.job, thing.body, { over: true });
    await this.settle(thing);
  }

  /** Say on which day a thing happened that was recorded under a wrong clock; then it goes up. */
  async happenedOn(thing, day) {
    await putInto(this.base, "queue", { ...thing, at: new Date(`${day}T12:00`).toISOString(), is_day_sure: true, state: "waiting" });
    this.changed(this.state, []);
    this.soon(50);
  }

  /** A clock that ran ahead when they were recorded and was set since: their day is a guess too. */
  async #setAside() {
    const latest = Date.now() + CLOCKS_DIFFER_MS;
    for (const thing of await this.list()) {
      if (thing.state === "waiting" && !thing.is_day_sure && new Date(thing.at).getTime() > latest) {
        await putInto(this.base, "queue", { ...thing, state: "unsure" });
      }
    }
  }

  soon(ms) {
    clearTimeout(this.timer);
    this.timer = setTimeout(() => this.send(), ms);
  }

  /** Send what waits. Two open pages never send at once; if they did, the keys would tell. */
  async send() {
    if (!navigator.locks) return this.#sendAll();
    return navigator.locks.request(`send-${this.told.user}`, { ifAvailable: true }, (lock) => {
      if (lock) return this.#sendAll();
      this.soon(AGAIN_MS);
      return undefined;
    });
  }

  async #sendAll() {
    await this.#setAside();
    for (;;) {
      const waiting = (await this.list()).filter((thing) => thing.state === "waiting");
      if (!waiting.length) {
        if (this.state !== "offline" || navigator.onLine) this.#say("online");
        return;
      }
      this.#say("sending");
      const went = await this.#sendSome(batchOf(waiting));
      if (!went) {
        this.soon(this.againMs);
        return;
      }
    }
  }

  async #sendSome(batch) {
    this.againMs = AGAIN_MS;
    let answer;
    try {
      answer = await this.#post(batch);
      // The key of forms is of an earlier session, or was lost with the phone's battery.
      if (answer.status === 403) {
        await fetch(this.told.list, { redirect: "manual", cache: "no-store" });
        answer = await this.#post(batch);
      }
    } catch {
      this.#say("offline");
      return false;
    }
    if (answer.status === 200) {
      await putInto(this.base, "kept", Date.now(), CLOCK);
      const { answers, stamp } = await answer.json();
      await this.#keep(batch, answers, stamp);
      this.#say("online", answers);
      return true;
    }
    if (answer.status === 400 || answer.status === 413) return this.#refused(batch, answer);
    if (answer.status === 500) return this.#stumbled(batch);
    // Many phones send at once: each comes again a little apart from the others.
    const busy_s = Number(answer.status === 503 && answer.headers.get("Retry-After"));
    if (busy_s > 0) {
      this.againMs = busy_s * 1000 * (1 + Math.random());
      return false;
    }
    // 0 = redirected to sign-in; 403 = CSRF token of an earlier session; 409 = another user.
    this.#say([0, 403, 409].includes(answer.status) ? "signed_out" : "offline");
    return false;
  }

  #post(batch) {
    const items = batch.map(({ id, kind, job, at, body, over, is_day_sure, seen }) => ({ id, kind, job, at, body, over, is_day_sure, seen }));
    return fetch(this.told.send, {
      method: "POST",
      redirect: "manual",
      signal: AbortSignal.timeout(batch[0].body.picture ? PHOTO_PATIENCE_MS : PATIENCE_MS),
      headers: { "Content-Type": "application/json", "X-CSRFToken": formKey() },
      body: JSON.stringify({ user: this.told.user, now: new Date().toISOString(), items }),
    });
  }

  /** Accepted things wait for data that is as new as the answer: a refresh may fail. */
  async #keep(batch, answers, stamp) {
    const known = new Map(answers.map((each) => [each.id, each]));
    for (const thing of batch) {
      const answer = known.get(thing.id);
      if (!answer) continue;
      if (answer.answer === "accepted") await putInto(this.base, "queue", { ...thing, state: "accepted", acceptedAt: stamp });
      else await putInto(this.base, "queue", { ...thing, ...pick(answer), state: answer.answer });
    }
  }

  /** One thing that cannot be read must not hold up the others: then each goes by itself. */
  async #refused(batch, answer) {
    if (batch.length > 1) {
      for (const thing of batch) if (!(await this.#sendSome([thing]))) return false;
      return true;
    }
    const why = await answer.json().then((told) => told.why, () => String(answer.status));
    await putInto(this.base, "queue", { ...batch[0], state: "refused", why });
    this.#say("online");
    return true;
  }

  /** The server stumbled: each goes by itself, and the one at fault is set aside after some tries. */
  async #stumbled(batch) {
    if (batch.length > 1) {
      let went = false;
      for (const thing of batch) went = (await this.#sendSome([thing])) || went;
      return went;
    }
    const tries = (batch[0].tries || 0) + 1;
    const isGivenUp = tries >= TRIES;
    await putInto(this.base, "queue", { ...batch[0], tries, ...(isGivenUp ? { state: "refused", why: this.told.words.stumbled } : {}) });
    this.#say("online");
    return isGivenUp;
  }

  #say(state, answers = []) {
    this.state = state;
    this.changed(state, answers);
  }
}

const pick = ({ why, mine, theirs, may_insist }) => ({ why, mine, theirs, may_insist });

/** A photo goes by itself: a weak signal then loses little. */
function batchOf(waiting) {
  const photo = waiting.findIndex((thing) => thing.body.picture);
  if (photo === 0) return waiting.slice(0, 1);
  return waiting.slice(0, photo > 0 ? Math.min(photo, AT_ONCE) : AT_ONCE);
}

function formKey() {
  // Over TLS its name says that it is of this host alone.
  const found = document.cookie.split("; ").map((each) => each.split("=")).find(([name]) => /^(__Host-)?csrftoken$/.test(name));
  return found ? found[1] : "";
}

/**
 * @param {any} data the sheet as the server gave it
 * @param {any[]} queue things of all sheets, in their order
 */
export function stateOf(data, queue) {
  const mine = queue.filter((thing) => thing.job === data.job.ref);
  const back = new Set(mine.filter((thing) => thing.kind === "found back").map((thing) => thing.body.of));
  // A break that is taken back before it went out lets nothing be found.
  const waiting = mine.filter((thing) => isPending(thing) && !back.has(thing.id));
  const stages = new Map(data.stations.map((row) => [row.row, row.stage]));
  let jobState = data.job.state;
  let startedAt = data.job.started_at;
  let minutes = null;
  for (const thing of waiting) {
    const to = data.leads_to[thing.kind];
    if (to) for (const row of thing.body.stations || stages.keys()) stages.set(row, to);
    // The one that was sent, and there is no other: the server says where its stations were.
    if (thing.kind === "found back" && data.breaks.length === 1 && !mine.some((each) => each.id === thing.body.of && isPending(each))) {
      for (const [row, stage] of stages) if (stage === "found") stages.set(row, "scheduled");
    }
    if (thing.kind === "start") [jobState, startedAt] = ["started", thing.at];
    if (thing.kind === "finish") [jobState, minutes] = ["done", thing.body.minutes];
  }
  return { stages, jobState, startedAt, minutes, mine, waiting, ...breakOf(data, waiting), groundOpened: groundOpened(data, waiting) };
}

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

/** The break that photos and mends are about: the last one, sent or not. */
function breakOf(data, waiting) {
  const unsent = waiting.filter((thing) => thing.kind === "found").at(-1);
  if (unsent) return { ofBreak: { of_break_sent: unsent.id } };
  const known = data.breaks.at(-1);
  return { ofBreak: known ? { of_break: known[0] } : null };
}

// As in faults/cases/engines/opened.py.
const ROUNDING_FT = 1e-3;

/** Whether a break of this fault, sent or not, lies along a leg or under ground. */
function groundOpened(data, waiting) {
  const mended = waiting.findLastIndex((thing) => thing.kind === "mended");
  const unsent = waiting.slice(mended + 1).filter((thing) => thing.kind === "found");
  return (mended < 0 && data.breaks.some((each) => each[3])) || unsent.some((thing) => opensGround(data, thing.body));
}

function opensGround(data, { leg, feet_along: feet, depth_in: depth }) {
  if (depth > 0) return true;
  const lies = data.steps.flatMap((step) => step.legs || []).find((each) => each.id === leg);
  return Boolean(lies) && feet > ROUNDING_FT && feet < lies.length_ft - ROUNDING_FT;
}

/** Everything recorded on this sheet, oldest first: each once, wherever it is now. */
export function recorded(data, queue) {
  const here = new Map(queue.filter((thing) => thing.job === data.job.ref).map((thing) => [thing.id, thing]));
  const known = data.items.filter((item) => !here.has(item.id));
  const voided = new Set([...known, ...here.values()].filter((thing) => ["void", "search void", "left back", "found back"].includes(thing.kind)).map((thing) => thing.body.of));
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
