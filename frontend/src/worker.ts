/**
 * The service worker keeps the pages themselves, so that they open without
 * signal. It keeps nothing that the notebook answers about people: requests to
 * /api go to the network untouched. Each build has a worker of its own, with a
 * store of its own, so that a page and its parts always fit together.
 */
/// <reference lib="webworker" />
export {};

declare const self: ServiceWorkerGlobalScope;

/** The files of this build, put in when it is built. */
declare const built: { release: string; files: string[] };

const store = `leat-${built.release}`;
/** How long the network may take before the kept page is shown. */
const patience_ms = 4000;

self.addEventListener("install", (e) => {
  e.waitUntil(caches.open(store).then((c) => c.addAll(["/", ...built.files])));
});

self.addEventListener("activate", (e) => {
  e.waitUntil(
    caches.keys().then((names) => Promise.all(names.filter((n) => n.startsWith("leat-") && n !== store).map((n) => caches.delete(n)))),
  );
});

self.addEventListener("fetch", (e) => {
  const { request } = e;
  const url = new URL(request.url);
  if (request.method !== "GET" || url.origin !== self.location.origin || url.pathname.startsWith("/api/")) {
    return;
  }
  if (request.mode === "navigate") {
    e.respondWith(newestPage(request));
  } else if (built.files.includes(url.pathname)) {
    e.respondWith(caches.match(url.pathname, { cacheName: store }).then((kept) => kept ?? fetch(request)));
  }
});

/** newestPage asks the server first: a kept page is for want of signal only. */
async function newestPage(request: Request): Promise<Response> {
  try {
    return await fetch(request, { signal: AbortSignal.timeout(patience_ms) });
  } catch (e) {
    const kept = await caches.match("/", { cacheName: store });
    if (kept) {
      return kept;
    }
    throw e;
  }
}
