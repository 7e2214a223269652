// The service worker: opens the app where there is no network. The server puts two constants before
// this text (pages/views/offline.py): VERSION, which changes with every file of the app, and SHELL,
// the addresses of what the app itself is made of.
//
// It keeps nothing that belongs to anybody: what is held of vehicles, and what is queued, is in the
// phone's database, which no update of the app touches. Pages come from the network if it answers
// soon, else the page that shows what is held stands in their place, under their address.

const PREFIX = "putback app ";
const OURS = PREFIX + VERSION;
const KEPT_APPS = 2; // a page of the last version may still be open, and ask for its files
const PATIENCE_MS = 4_000; // a page is waited for so long where there is some network

self.addEventListener("install", (event) => {
  event.waitUntil(install());
  // Files of the app need no asking here, where the browser can be told so: that is quicker.
  event.addRoutes?.([{ condition: { urlPattern: "/static/*" }, source: "cache" }]);
});

async function install() {
  const cache = await own;
  await Promise.all(SHELL.needed.map((address) => put(cache, address)));
  await Promise.allSettled(SHELL.large.map((address) => put(cache, address)));
  await self.skipWaiting(); // what is queued is not held by any page
}

/** Pages of the app are asked for as nobody, so that they say nothing of anybody. */
async function put(cache, address) {
  const response = await fetch(address, { cache: "reload", credentials: "omit" });
  if (!response.ok || response.redirected) throw new Error(`${address}: ${response.status}`);
  await cache.put(address, response);
}

self.addEventListener("activate", (event) => {
  event.waitUntil(activate());
});

async function activate() {
  const apps = (await caches.keys()).filter((name) => name.startsWith(PREFIX) && name !== OURS);
  const old = apps.slice(0, Math.max(0, apps.length - (KEPT_APPS - 1)));
  await Promise.all(old.map((name) => caches.delete(name)));
  await self.clients.claim();
}

self.addEventListener("fetch", (event) => {
  const { request } = event;
  const { origin, pathname } = new URL(request.url);
  if (request.method !== "GET" || origin !== location.origin) return;
  if (request.mode === "navigate") {
    if (!pathname.startsWith("/api/")) event.respondWith(page(request, pathname));
  } else if (pathname.startsWith("/static/")) event.respondWith(file(request));
});

const own = caches.open(OURS);

/** A file of the app, named by its digest: it never changes. */
async function file(request) {
  return (await (await own).match(request)) ?? (await caches.match(request)) ?? fetch(request);
}

async function page(request, pathname) {
  let response;
  try {
    response = await fetch(request, { signal: AbortSignal.timeout(PATIENCE_MS) });
    if (![502, 504].includes(response.status)) return response; // else what stands before it answers
  } catch {
    // no network, or none that is of use
  }
  const scans = /^\/v\/[^/]+\/scan$/.test(pathname);
  const held = await (await own).match(pathname === "/phone" ? "/phone" : scans ? "/scan" : "/offline");
  return held ?? response ?? Response.error();
}
