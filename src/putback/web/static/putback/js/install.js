// On every page: the service worker, by which the app opens without a network. Only a page that came
// by https, or from this machine itself, may have one; the page "This phone" says so where it may not.

import { signedIn } from "./identity.js";
import { keepUp } from "./held.js";
import { NotKept } from "./store.js";

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
