// Keeps the app usable without a network: everything is stored when it is first loaded.
// The version is a hash of the content, so a new build replaces the old one as a whole.
const cacheName = "lampwright-@VERSION@";
const files = @FILES@;

addEventListener("install", (event) => {
  event.waitUntil((async () => {
    const cache = await caches.open(cacheName);
    await cache.addAll(files.map((file) => new Request(file, { cache: "reload" })));
    await skipWaiting();
  })());
});

addEventListener("activate", (event) => {
  event.waitUntil((async () => {
    for (const name of await caches.keys()) {
      if (name.startsWith("lampwright-") && name !== cacheName) await caches.delete(name);
    }
    await clients.claim();
  })());
});

addEventListener("fetch", (event) => {
  if (event.request.method !== "GET") return;
  event.respondWith((async () => {
    const cache = await caches.open(cacheName);
    const stored = await cache.match(event.request, { ignoreSearch: true });
    return stored ?? fetch(event.request);
  })());
});
