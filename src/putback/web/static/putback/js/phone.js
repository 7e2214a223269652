// This phone: what it holds and queues, how much room that takes, whether the browser may clear it,
// and when it was last in touch with the server.

import { whoAmI } from "./api.js";
import { copy, moment, one, put, sentence } from "./dom.js";
import { forget, heldVehicles } from "./held.js";
import { signedIn } from "./identity.js";
import { queued, whenChanged } from "./queue.js";
import { countSeen } from "./seen.js";

const page = document.querySelector("[data-phone]");
const GIGABYTE = 1e9;
const room = (bytes) => {
  const [size, unit] = bytes < GIGABYTE ? [bytes / 1e6, "MB"] : [bytes / GIGABYTE, "GB"];
  return `${size.toLocaleString(undefined, { maximumFractionDigits: 1 })} ${unit}`;
};
const many = (number, word, words = `${word}s`) => `${number} ${number === 1 ? word : words}`;

let answered; // whether the server answers now; not known before it was asked

async function show() {
  const who = await signedIn();
  const [vehicles, acts, seen] = await Promise.all([who ? heldVehicles(who.person) : [], queued(), countSeen()]);
  const jobs = vehicles.reduce((sum, { held }) => sum + held.jobs.length, 0);
  const photos = acts.reduce((sum, each) => sum + each.photos.length, 0);
  put(page, "[data-holds]", `${many(vehicles.length, "vehicle")}, ${many(jobs, "job")}, ${many(seen, "photo")} from before`);
  put(page, "[data-queued-count]", `${many(acts.length, "act")}, ${many(photos, "photo or sound", "photos or sounds")}`);
  const last = Math.max(0, ...vehicles.map(({ at }) => at));
  const before = last ? moment(last) : "not since it was installed";
  put(page, "[data-touch]", answered === undefined ? before : answered ? "now" : `${before}; the server does not answer now`);
  one(page, "[data-none-held]").hidden = vehicles.length > 0;
  const list = one(page, "[data-vehicles]");
  list.hidden = !vehicles.length;
  list.replaceChildren(...vehicles.map(vehicleLine));
}

function vehicleLine({ logbook, held, at }) {
  const line = copy("t-held");
  one(line, "[data-go]").href = `/v/${encodeURIComponent(logbook)}/`;
  put(line, "[data-name]", held.name);
  put(line, "[data-held]", held.holds.map((words) => sentence(`Hold: ${words}`)).join(" "));
  put(line, "[data-about]", `${many(held.jobs.length, "job")}, as of ${moment(at)}`);
  put(line, "[data-which]", ` ${held.name}`);
  one(line, "[data-forget]").addEventListener("click", () => forget(logbook));
  return line;
}

async function showSpace() {
  const { usage = 0, quota = 0 } = (await navigator.storage?.estimate?.()) ?? {};
  put(page, "[data-space]", quota ? `${room(usage)} of ${room(quota)} that the browser allows` : "the browser does not say");
  const share = one(page, "[data-share]");
  share.hidden = !quota;
  share.value = quota ? usage / quota : 0;
}

async function showWhetherKept() {
  const is_kept = await navigator.storage?.persisted?.();
  const words = is_kept === undefined ? "the browser does not say" : is_kept ? "No: the browser keeps it until you clear it yourself." : "Yes, if the phone runs short of room. What is queued would go with it.";
  put(page, "[data-cleared]", words);
  one(page, "[data-ask]").hidden = is_kept !== false;
}

async function showWhetherItOpens() {
  one(page, "[data-insecure]").hidden = window.isSecureContext;
  const worker = window.isSecureContext && navigator.serviceWorker ? await navigator.serviceWorker.getRegistration() : undefined;
  const words = worker?.active ? "yes" : worker ? "soon: it is being made ready" : "no";
  put(page, "[data-opens]", words);
}

one(page, "[data-ask]").addEventListener("click", async () => {
  const is_kept = await navigator.storage.persist();
  await showWhetherKept();
  if (!is_kept) put(page, "[data-cleared]", "Yes: the browser did not agree. Put the app on the home screen, and ask again.");
});
whenChanged(show);
document.addEventListener("held", show);
await Promise.all([show(), showSpace(), showWhetherKept(), showWhetherItOpens()]);
document.documentElement.dataset.usable = "yes";
answered = await whoAmI().then(() => true, ({ status }) => status !== 0);
await show();
