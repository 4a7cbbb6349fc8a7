// Over https, and on the workshop's own computer, pages stay on the device while
// the server is away. Whatever the server says newer goes first.

const PAGES = "pages", FILES = "files";

addEventListener("install", e => e.waitUntil(skipWaiting()));
addEventListener("activate", e => e.waitUntil(clients.claim()));

addEventListener("fetch", e => {
  const u = new URL(e.request.url);
  if (e.request.method !== "GET" || u.origin !== location.origin) return;
  if (u.pathname.startsWith("/static/")) e.respondWith(file(e.request));
  else if (/^\/job\/[^/]+(\/(strip|read|read\/one|note|receive(\/[a-z]+)?|clean|repair|runout|rings|look(\/[^/]+)?))?$/.test(u.pathname) || u.pathname === "/" || u.pathname === "/waiting") e.respondWith(page(e.request));
});

async function file(request) {
  const kept = await caches.match(request, { cacheName: FILES });
  if (kept) return kept;
  const r = await fetch(request);
  if (r.ok) await (await caches.open(FILES)).put(request, r.clone());
  return r;
}

async function page(request) {
  try {
    const r = await fetch(request, { signal: AbortSignal.timeout(6000) });
    if (r.ok && !r.redirected) await (await caches.open(PAGES)).put(request.url, r.clone());
    if (r.status === 401) await caches.delete(PAGES); // struck off: nothing of the workshop stays
    return r;
  } catch (away) {
    const kept = await caches.match(request.url, { cacheName: PAGES });
    if (kept) return kept;
    throw away;
  }
}
