// Things that were recorded and wait to be sent: in their order, each once, by a key made here.

import * as db from "./db.js";

const AT_ONCE = 20;
const AGAIN_MS = 15000;

/** "waiting" goes up; "refused" and "conflict" came back and stay in view until they are settled. */
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
    return db.all(this.base, "queue");
  }

  /** Keep one thing on this phone; it is on the disk when this returns. */
  async add(kind, job, body, more = {}) {
    const thing = { id: crypto.randomUUID(), kind, job, at: new Date().toISOString(), body, state: "waiting", ...more };
    thing.n = await db.add(this.base, "queue", thing);
    this.changed(this.state, []);
    this.soon(50);
    return thing;
  }

  /** Take a thing out of view that came back: what was typed stands in the office too. */
  async settle(thing) {
    await db.remove(this.base, "queue", thing.n);
    this.changed(this.state, []);
  }

  /** Send a thing once more, having seen both values: the sender's own holds. */
  async insist(thing) {
    await this.add(thing.kind, thing.job, thing.body, { over: true });
    await this.settle(thing);
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
    for (;;) {
      const waiting = (await this.list()).filter((thing) => thing.state === "waiting");
      if (!waiting.length) {
        if (this.state !== "offline" || navigator.onLine) this.#say("online");
        return;
      }
      this.#say("sending");
      const went = await this.#sendSome(batchOf(waiting));
      if (!went) {
        this.soon(AGAIN_MS);
        return;
      }
    }
  }

  async #sendSome(batch) {
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
      const { answers } = await answer.json();
      await this.#keep(batch, answers);
      this.#say("online", answers);
      return true;
    }
    if (answer.status === 400 || answer.status === 413) return this.#refused(batch, answer);
    // 0 = led to the sign-in page; 403 = a form key of an earlier session; 409 = somebody else.
    this.#say([0, 403, 409].includes(answer.status) ? "signed_out" : "offline");
    return false;
  }

  #post(batch) {
    const items = batch.map(({ id, kind, job, at, body, over }) => ({ id, kind, job, at, body, over }));
    return fetch(this.told.send, {
      method: "POST",
      redirect: "manual",
      headers: { "Content-Type": "application/json", "X-CSRFToken": formKey() },
      body: JSON.stringify({ user: this.told.user, now: new Date().toISOString(), items }),
    });
  }

  async #keep(batch, answers) {
    const known = new Map(answers.map((each) => [each.id, each]));
    for (const thing of batch) {
      const answer = known.get(thing.id);
      if (!answer) continue;
      if (answer.answer === "accepted") await db.remove(this.base, "queue", thing.n);
      else await db.put(this.base, "queue", { ...thing, ...pick(answer), state: answer.answer });
    }
  }

  /** One thing that cannot be read must not hold up the others: then each goes by itself. */
  async #refused(batch, answer) {
    if (batch.length > 1) {
      for (const thing of batch) if (!(await this.#sendSome([thing]))) return false;
      return true;
    }
    const why = await answer.json().then((told) => told.why, () => String(answer.status));
    await db.put(this.base, "queue", { ...batch[0], state: "refused", why });
    this.#say("online");
    return true;
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
  const found = document.cookie.split("; ").find((each) => each.startsWith("csrftoken="));
  return found ? found.slice("csrftoken=".length) : "";
}
