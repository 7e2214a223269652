// On every page: the service worker, by which the app opens without a network. Only a page that came
// by https, or from this machine itself, may have one; the page "This phone" says so where it may not.
// And how far the clock here is ahead of UTC: what somebody calls today is the day where they are.

import { signedIn } from "./identity.js";
import { keepUp } from "./held.js";
import { NotKept } from "./store.js";

const A_YEAR_S = 365 * 24 * 3600;
const ahead = -new Date().getTimezoneOffset(); // [minutes]
const secure = location.protocol === "https:" ? "; secure" : "";
document.cookie = `putback_ahead=${ahead}; path=/; max-age=${A_YEAR_S}; samesite=lax${secure}`;

const has_manifest = document.querySelector('link[rel="manifest"]');

if (has_manifest && navigator.serviceWorker) {
  navigator.serviceWorker.register("/worker.js", { scope: "/", updateViaCache: "none" }).catch(() => {
    // the server is away, or this browser keeps nothing for us: the page works all the same
  });
}

try {
  if (has_manifest) await keepUp(await signedIn());
} catch (error) {
  if (!(error instanceof NotKept)) throw error;
}
