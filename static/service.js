// Keeps the whole page on the device, so that it starts without a connection.
// The build writes BUILD (a hash of every file) and FILES in front of this; without FILES nothing is kept.
//
// All files of a build lie in one cache and are served from it alone: the module and its glue never come from two
// builds. A newer build is fetched whole, waits, and takes over only when the page asks for it.

// Copies below other paths of the same host have caches of their own; the player's recordings are not ours to touch.
const OURS = `leadbar-page ${self.registration.scope} `;
const CACHE = OURS + BUILD;

self.addEventListener("install", (event) => {
  if (FILES.length === 0) return self.skipWaiting();
  // Asked of the host again, so that no file is an older build's; what has not changed is not sent again.
  const fresh = FILES.map((file) => new Request(file, { cache: "no-cache" }));
  event.waitUntil(caches.open(CACHE).then((cache) => cache.addAll(fresh)));
});

self.addEventListener("activate", (event) => {
  event.waitUntil(tidy().then(() => self.clients.claim()));
});

async function tidy() {
  const old = (await caches.keys()).filter((name) => name.startsWith(OURS) && name !== CACHE);
  await Promise.all(old.map((name) => caches.delete(name)));
}

self.addEventListener("fetch", (event) => {
  const { request } = event;
  if (FILES.length === 0 || request.method !== "GET" || !request.url.startsWith(self.registration.scope)) return;
  event.respondWith(answer(request));
});

async function answer(request) {
  const cache = await caches.open(CACHE);
  const kept = await cache.match(request.mode === "navigate" ? "./" : request, { ignoreSearch: true });
  return kept ?? fetch(request);
}

// The page asks to be taken over. Another tab still runs the older build, so it is to be closed first.
self.addEventListener("message", async ({ data, source }) => {
  if (data !== "take over") return;
  const windows = await self.clients.matchAll({ type: "window", includeUncontrolled: true });
  const ours = windows.filter((client) => client.url.startsWith(self.registration.scope));
  if (ours.length > 1) source.postMessage("others are open");
  else self.skipWaiting();
});
