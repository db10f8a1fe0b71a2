// Keep the sheets of today and of the next days on this phone, and nothing of anybody else.

import { PREFIX, clearAll, nameFor, openFor } from "./keep.js";

const CACHE = "sheets-";
// A line that swallows what is asked says nothing: what was kept does then.
const PATIENCE_MS = 30000;
// Of pictures no more than these, those of the next sheets first: under 5 MB, as none has over 24 kB.
const MOST_PICTURES = 200;
const cacheFor = (user) => CACHE + user;

/** @param {{user: string, worker: string, list: string, sheets: string[][]}} told */
export async function keepSheets(told) {
  if (!("caches" in window)) return;
  await forgetOthers(told.user);
  if ("serviceWorker" in navigator) navigator.serviceWorker.register(told.worker, { scope: "/" });
  if (!navigator.onLine) return;
  const cache = await caches.open(cacheFor(told.user));
  const wanted = [told.list, ...told.sheets.flat()];
  for (const url of wanted) await renew(cache, url);
  const pictures = await picturesOf(cache, told);
  for (const url of pictures) if (!(await cache.match(url))) await renew(cache, url);
  wanted.push(...pictures);
  for (const request of await cache.keys()) {
    if (!wanted.includes(new URL(request.url).pathname)) await cache.delete(request);
  }
}

/** The pictures that the kept sheets name. One never changes: what is kept is not asked for again. */
async function picturesOf(cache, told) {
  const found = new Set();
  for (const [, url] of told.sheets) {
    const kept = await cache.match(url);
    const steps = kept ? (await kept.json()).steps : [];
    for (const { boxes = [], photos = [] } of steps) {
      for (const { src } of [...boxes.flatMap((box) => box.photos || []), ...photos]) found.add(src);
    }
  }
  return [...found].slice(0, MOST_PICTURES);
}

async function renew(cache, url) {
  try {
    const answer = await fetch(url, { redirect: "manual", signal: AbortSignal.timeout(PATIENCE_MS) });
    if (answer.ok) await cache.put(url, answer);
    // Withdrawn, or no longer this person's: it does not stay on the phone.
    else if (answer.status === 403 || answer.status === 404) await cache.delete(url);
  } catch {
    // No signal: what was kept before stays.
  }
}

/** Return the newest data of a sheet: from the server, else what was kept, else null. */
export async function newest(told, { fromServer }) {
  const cache = "caches" in window ? await caches.open(cacheFor(told.user)) : null;
  if (fromServer) {
    try {
      const answer = await fetch(told.data, { redirect: "manual", signal: AbortSignal.timeout(PATIENCE_MS) });
      if (answer.ok) {
        if (cache && told.sheets.some((each) => each[1] === told.data)) await cache.put(told.data, answer.clone());
        return await answer.json();
      }
    } catch {
      // No signal.
    }
  }
  const kept = cache && (await cache.match(told.data));
  return kept ? kept.json() : null;
}

/** Of others only what they typed and could not send stays, out of sight, until they sign in. */
async function forgetOthers(user) {
  for (const name of await caches.keys()) {
    if (name.startsWith(CACHE) && name !== cacheFor(user)) await caches.delete(name);
  }
  const bases = indexedDB.databases ? await indexedDB.databases() : [];
  for (const { name } of bases) {
    if (!name.startsWith(PREFIX) || name === nameFor(user)) continue;
    const base = await openFor(name.slice(PREFIX.length));
    await clearAll(base, "kept");
    base.close();
  }
}
