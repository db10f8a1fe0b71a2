// The service worker of job sheets. The server puts KEEP = {version, files, list} before this.
// It answers for sheets and their files alone; every other page goes to the network as before.

const STATIC = `sheet-files-${KEEP.version}`;
const PATIENCE_MS = 4000;
const isPicture = (path) => /^\/jobs\/\w+\/sheet\/photos\/\w+\/$/.test(path);
const isSheet = (path) => path === KEEP.list || /^\/jobs\/\w+\/sheet\/$/.test(path);

self.addEventListener("install", (event) => {
  event.waitUntil(caches.open(STATIC).then((cache) => cache.addAll(KEEP.files)).then(() => self.skipWaiting()));
});

self.addEventListener("activate", (event) => {
  event.waitUntil(forgetOlder().then(() => self.clients.claim()));
});

async function forgetOlder() {
  for (const name of await caches.keys()) {
    if (name.startsWith("sheet-files-") && name !== STATIC) await caches.delete(name);
  }
}

self.addEventListener("fetch", (event) => {
  const url = new URL(event.request.url);
  if (event.request.method !== "GET" || url.origin !== self.location.origin) return;
  if (KEEP.files.includes(url.pathname)) event.respondWith(file(event.request, url.pathname));
  else if (isPicture(url.pathname)) event.respondWith(picture(event.request, url.pathname));
  else if (event.request.mode === "navigate" && isSheet(url.pathname)) event.respondWith(page(event.request, url.pathname));
});

async function file(request, path) {
  const cache = await caches.open(STATIC);
  return (await cache.match(path)) || fetch(request);
}

/** A picture never changes: the kept one is as good as any. */
async function picture(request, path) {
  return (await caches.match(path)) || fetch(request);
}

/** The newest page where there is signal; the kept one where there is none, or hardly any. */
async function page(request, path) {
  const kept = await caches.match(path);
  const asked = fetch(request).then((answer) => checked(answer, path));
  if (!kept) return asked;
  const patience = new Promise((resolve) => { setTimeout(resolve, PATIENCE_MS); });
  return Promise.race([asked, patience]).then((answer) => answer || kept, () => kept);
}

/** What this person may no longer see does not stay on the phone. */
async function checked(answer, path) {
  if (answer.status !== 403 && answer.status !== 404) return answer;
  for (const name of await caches.keys()) {
    if (!name.startsWith("sheets-")) continue;
    const cache = await caches.open(name);
    for (const { url } of await cache.keys()) {
      if (new URL(url).pathname.startsWith(path)) await cache.delete(url);
    }
  }
  return answer;
}
