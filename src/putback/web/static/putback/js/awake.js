// The screen stays lit on a page that gloved hands read from: by the browser's lock on the screen, asked
// for again whenever the page comes back to sight. Where there is none, or it is refused (as by a
// phone that saves its battery), the screen goes dark as always, and nothing is said of it.

let lock;

async function keepAwake() {
  const is_kept = lock && !lock.released;
  if (is_kept || document.visibilityState !== "visible") return;
  try {
    lock = await navigator.wakeLock?.request("screen");
  } catch {
    lock = undefined;
  }
}

document.addEventListener("visibilitychange", keepAwake);
keepAwake();
