// What this phone holds of vehicles, to go on where there is no network: as the server gave it last
// (api/held.py), and what was sent since and is not in that yet. It belongs to the person who looked
// at it: somebody else who signs in does not see it, and signing out lets the phone forget it.
//
// A held vehicle: {logbook, person, etag, held, at, sent}. `held` is the server's answer, `at` when
// it came [ms], `sent` acts that the server took since: {act, said, position}. Whoever shows it
// listens to `held` on the document.

import { ofVehicle, whoAmI } from "./api.js";
import { queued, queuedAct } from "./queue.js";
import { allSeen, keepSeen } from "./seen.js";
import { asked, read, write } from "./store.js";

const LONGEST_WAIT_MS = 15_000;
const TOGETHER_MS = 1_500; // several acts in a row are asked about once
const MOST_VEHICLES = 12; // that were looked at last

const tell = (logbook) => document.dispatchEvent(new CustomEvent("held", { detail: { logbook } }));

/** Gives a held vehicle; nothing if the phone does not hold it. */
export const heldVehicle = (logbook) =>
  read(["held"], (transaction) => asked(transaction.objectStore("held").get(logbook)));

/** Lists the held vehicles of a person, the one looked at last first. */
export async function heldVehicles(person) {
  const all = await read(["held"], (transaction) => asked(transaction.objectStore("held").getAll()));
  return all.filter((each) => each.person === person).sort((a, b) => b.at - a.at);
}

/** Forgets a vehicle, or all; nothing that is queued is touched. */
export async function forget(logbook) {
  await write(["held", "seen"], async (transaction) => {
    const [held, photos] = ["held", "seen"].map((name) => transaction.objectStore(name));
    if (logbook === undefined) for (const store of [held, photos]) store.clear();
    else forgetIn(held, photos, logbook);
  });
  tell(logbook);
}

function forgetIn(held, photos, logbook) {
  held.delete(logbook);
  photos.delete(allSeen(logbook));
}

/** Asks the server for a vehicle anew and holds it; gives whether it answered. */
export async function refresh(logbook, person) {
  const before = await heldVehicle(logbook);
  const known = before?.person === person ? before : undefined;
  let response;
  try {
    response = await fetch(ofVehicle(logbook, "held"), {
      cache: "no-store",
      headers: known ? { "If-None-Match": known.etag } : {},
      signal: AbortSignal.timeout(LONGEST_WAIT_MS),
    });
    if (response.status === 401) await forget(); // this phone was signed out, here or elsewhere
    if (response.status === 404) await forget(logbook); // not ours any more
    if (response.status !== 304 && !response.ok) return false;
    const held = response.status === 304 ? known.held : await response.json();
    const etag = response.headers.get("ETag") ?? known?.etag;
    await hold({ logbook, person, etag, held, at: Date.now() });
    keepSeen(logbook, held); // meanwhile the vehicle itself can be used
  } catch (error) {
    if (error.isFull) await forget(logbook); // what is queued needs the room
    return false;
  }
  tell(logbook);
  return true;
}

async function hold(found) {
  await write(["held", "seen"], async (transaction) => {
    const [store, photos] = ["held", "seen"].map((name) => transaction.objectStore(name));
    const all = await asked(store.getAll());
    const was = all.find(({ logbook }) => logbook === found.logbook);
    const sent = (was?.sent ?? []).filter(({ position }) => position > found.held.position);
    store.put({ ...found, sent }, found.logbook);
    const old = all.filter(({ logbook }) => logbook !== found.logbook).sort((a, b) => b.at - a.at);
    for (const each of old.slice(MOST_VEHICLES - 1)) forgetIn(store, photos, each.logbook);
  });
}

/** What was logged on this phone and is not in what is held: in order, what was struck out left out. */
export async function since(held_vehicle) {
  const { logbook, sent } = held_vehicle;
  const waiting = (await queued(logbook)).filter(({ state }) => state !== "aside");
  const left = sent.filter(({ act }) => waiting.every((each) => each.act !== act));
  const acts = [...left, ...waiting.map(({ act, said }) => ({ act, said }))];
  const struck = new Set(acts.flatMap(({ said }) => said).map((each) => each.kind === "struck" && each.act));
  return acts.filter(({ act }) => !struck.has(act)).flatMap(({ said }) => said);
}

const notes = []; // acts that the server took and that are not written down as sent yet
let noting;

/** Notes an act that the server took, until what is held has it; many in a row are written at once. */
function noteSent(logbook, act, said, position) {
  notes.push({ logbook, act, said, position });
  return (noting ??= Promise.resolve().then(writeNotes));
}

async function writeNotes() {
  try {
    while (notes.length) await writeThese(notes.splice(0));
  } finally {
    noting = undefined;
  }
}

async function writeThese(taken) {
  await write(["held"], async (transaction) => {
    const store = transaction.objectStore("held");
    for (const logbook of new Set(taken.map((each) => each.logbook))) {
      const found = await asked(store.get(logbook));
      if (!found) continue;
      const known = new Set(found.sent.map(({ act }) => act));
      const later = taken.filter((each) => each.logbook === logbook && each.position > found.held.position);
      const fresh = later.filter(({ act }) => !known.has(act));
      if (!fresh.length) continue;
      found.sent.push(...fresh.map(({ act, said, position }) => ({ act, said, position })));
      store.put(found, logbook);
    }
  });
}

const said_of = new Map(); // acts that wait, as they are gone from the queue once they are sent
const timers = new Map();

function refreshSoon(logbook, person) {
  clearTimeout(timers.get(logbook));
  const ask = async () => (await heldVehicle(logbook)) && refresh(logbook, person);
  timers.set(logbook, setTimeout(ask, TOGETHER_MS));
}

/** Asks for each held vehicle anew, so that none is held of which somebody was shut out meanwhile. */
async function refreshAll(person) {
  for (const { logbook } of (await heldVehicles(person)).reverse()) await refresh(logbook, person);
}

/** Whether the server says that nobody is signed in here; a page that says nothing does not know. */
async function isSignedOut() {
  const count = await read(["held"], (transaction) => asked(transaction.objectStore("held").count()));
  return count > 0 && whoAmI().then(() => false, ({ status }) => status === 401);
}

/** Keeps what is held as it should be while this page is open: called once, by install.js. */
export async function keepUp(who) {
  const { logbook, person } = document.body.dataset;
  if (person === "" || (person === undefined && (await isSignedOut()))) await forget();
  if (!who) return;
  for (const { act, said } of await queued()) said_of.set(act, said);
  document.addEventListener("queue", async ({ detail: { act, logbook, state, answer } }) => {
    if (state === "waiting") {
      said_of.set(act, (await queuedAct(act))?.said ?? []);
      navigator.storage?.persist?.(); // now there is something to lose
    } else if (state === "sent") {
      await noteSent(logbook, act, said_of.get(act) ?? [], answer?.position ?? Infinity);
      refreshSoon(logbook, who.person);
      tell(logbook);
    } else if (act) tell(logbook);
  });
  if (logbook && person) await refresh(logbook, who.person); // a page of the server's: it is there
  else if (person) await refreshAll(who.person);
  for (const news of ["logged", "planned", "htmx:afterSettle"]) {
    document.body.addEventListener(news, () => logbook && refreshSoon(logbook, who.person));
  }
}
