// A page that lay in a pocket, or behind another, tells what was so then. Seen again it is asked for
// anew, with what others logged and held meanwhile, unless somebody is at work in it, or no server
// answers: then it stays as it is.

import { isChanged } from "./changed.js";

const LEFT_MS = 60_000; // whoever looked away for less knows what stood there

const fields = "input:not([type=hidden], [data-tick]), select, textarea";

function isInUse() {
  if (document.querySelector("details[data-deed][open]")) return true;
  return [...document.querySelectorAll(fields)].some(isChanged);
}

async function askAnew() {
  if (isInUse()) return;
  try {
    const { ok } = await fetch(location.href, { method: "HEAD" });
    if (ok && !document.hidden && !isInUse()) location.reload();
  } catch {
    // no network: what is shown is all there is
  }
}

let left_at = Date.now();

document.addEventListener("visibilitychange", () => {
  if (document.hidden) left_at = Date.now();
  else if (Date.now() - left_at >= LEFT_MS) askAnew();
});
addEventListener("pageshow", ({ persisted }) => persisted && askAnew());
