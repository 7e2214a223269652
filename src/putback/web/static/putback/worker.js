// The service worker: opens the app where there is no network. The server puts three constants before
// this text (pages/views/offline.py): VERSION, which changes with every file of the app, SHELL, the
// addresses of what the app itself is made of, and LANGUAGE, in which this device reads.
//
// It keeps nothing that belongs to anybody: what is held of vehicles, and what is queued, is in the
// phone's database, which no update of the app touches. Pages come from the network if it answers
// soon, else the page that shows what is held stands in their place, under their address.

const PREFIX = "putback app ";
const headers = { "Accept-Language": LANGUAGE };
const OURS = PREFIX + VERSION;
const KEPT_APPS = 2; // a page of the last version may still be open, and ask for its files
const AT_ONCE = 4; // files that are asked for at once
const TRIES = 4; // in poor reception a file may fail to come
const BETWEEN_TRIES_MS = 2_000;
const PATIENCE_MS = 8_000; // where there is some network, Now and the vehicles are waited for so long
const OF_VEHICLE = /^\/v\/[^/]+(\/scan|\/slate)$/; // pages of a vehicle that have one of the app's for them
const BENCH = /^\/bench(\/|$)/; // worked out on the server; a page of the app says so
const INSTEAD = /^\/(v\/[^/]+\/)?$/; // what the phone can show as well by what it holds

self.addEventListener("install", (event) => {
  event.waitUntil(install());
  // Files of the app need no asking here, where the browser can be told so: that is quicker.
  event.addRoutes?.([{ condition: { urlPattern: "/static/*" }, source: "cache" }]);
});

async function install() {
  const cache = await own;
  const left = [...SHELL.needed];
  const fetchAll = async () => {
    for (let address = left.pop(); address; address = left.pop()) await put(cache, address, TRIES);
  };
  await Promise.all(Array.from({ length: AT_ONCE }, fetchAll));
  await Promise.allSettled(SHELL.large.map((address) => put(cache, address)));
  await self.skipWaiting(); // what is queued is not held by any page
}

/** Pages of the app are asked for as nobody, in the language of this device: they say nothing of anybody. */
async function put(cache, address, tries = 1) {
  try {
    const response = await fetch(address, { cache: "reload", credentials: "omit", headers });
    if (!response.ok || response.redirected) throw new Error(`${address}: ${response.status}`);
    await cache.put(address, response);
  } catch (error) {
    if (tries <= 1) throw error;
    await new Promise((done) => setTimeout(done, BETWEEN_TRIES_MS));
    await put(cache, address, tries - 1);
  }
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
    const patience = INSTEAD.test(pathname) ? { signal: AbortSignal.timeout(PATIENCE_MS) } : {};
    response = await fetch(request, patience);
    if (![502, 504].includes(response.status)) return response; // else what stands before it answers
  } catch {
    // no network, or none that is of use
  }
  const own_page = pathname === "/phone" ? pathname
    : BENCH.test(pathname) ? "/bench/away"
    : (OF_VEHICLE.exec(pathname)?.[1] ?? "/offline");
  const held = await (await own).match(own_page);
  return held ?? response ?? Response.error();
}
