// The queue: whatever is logged on this phone goes through it, with a network or without. An act is
// kept in the phone's database with the photos and sounds it names, and sent from there in order:
// bytes before the entries that name them, the same bytes again if an answer was lost, by one tab at
// a time. It is bound to the person under whom it was logged and never sent as another's. What the
// server could not take stays, with its reason.
//
// A queued act: {act, ids, logbook, vehicle, person, name, device, made_at, happened_at, said, bytes,
// photos, at_server, sentences, state, reason, rests_on, saved_at}. `said` are the bodies as they were
// said, `bytes` the entries as they are sent, `at_server` those of its photos that were sent already,
// `saved_at` when it was saved as a file while it was aside. States: "waiting"; "refused" by the
// server; set "aside" by a person.
//
// Whoever shows the queue listens to `queue` on the document. Its detail is {act, logbook, state}
// with a state of the above or "sent" (and then `answer`, what the server said), "withdrawn", or
// "halted" (and then `halt`, why nothing goes on).

import { Refusal, sendEntries, sendMedia, whoAmI } from "./api.js";
import { canonical } from "./canonical.js";
import { learn, signedIn, signIn, stamps } from "./identity.js";
import { atServer, held } from "./media.js";
import { bodyOf } from "./plain.js";
import { makeRoom } from "./seen.js";
import { asked, note, read, write } from "./store.js";

const ALL = ["queued", "blobs", "me"];
const MALFORMED = new Set([400, 409, 413, 422]);
const JUDGED = new Set([...MALFORMED, 403, 404, 500]); // of one act; what comes after it may go
const SHUT_OUT = {
  403: "you may only look at this vehicle now",
  404: "you were shut out of this vehicle, or it is not on this server any more",
};
const LET_IN = "it is sent once you may log there again";
const FIRST_WAIT_MS = 1_000;
const LONGEST_WAIT_MS = 60_000;
const SOON_MS = 60;
const PAUSES_MS = [250, 500, 1_000, 2_000, 4_000, 8_000];
const MOST_AT_ONCE = 20; // acts of one request

const others = globalThis.BroadcastChannel && new BroadcastChannel("putback queue");
const say = (detail) => document.dispatchEvent(new CustomEvent("queue", { detail }));
others?.addEventListener("message", ({ data }) => say(data));

function tell(detail) {
  say(detail);
  others?.postMessage(detail);
}

/** Somebody must sign in before anything is logged on this phone. */
class NobodyHere extends Error {
  constructor() {
    super("Nobody is signed in on this phone: sign in once, with a network, and log it then.");
  }
}

/** The page is of somebody who is not signed in here any more: whose act would it be? */
class PageOfAnother extends Error {
  constructor(name) {
    super(`This page is another person's: ${name} is signed in now. Load it again, and log it then.`);
  }
}

/** Calls `show` when the queue changed, once for all that changes in the same moment. */
export function whenChanged(show) {
  let soon;
  document.addEventListener("queue", () => {
    soon ??= setTimeout(() => {
      soon = undefined;
      show();
    }, SOON_MS);
  });
}

// -- what is logged ------------------------------------------------------------------------------

/**
 * Keeps an act until the server has it; when this resolves it has reached the phone's disk.
 *
 * `entries` are bodies, each with its kind beside its fields. `media` are Blobs; a body names the
 * first as "media:0", the second as "media:1". `sentences` say it for a person, and `vehicle` is what
 * the vehicle is called. Throws what is wrong with a body, NobodyHere, PageOfAnother, or NotKept: then
 * the error's `act` can still be saved as a file, and nothing of it was kept.
 */
export async function enqueue({ logbook, entries, media = [], sentences = [], vehicle = "", rests_on = [] }) {
  const files = await Promise.all(media.map(held));
  const said = entries.map((entry) => named(entry, files));
  const bodies = said.map(bodyOf);
  const who = await signedIn();
  if (!who) throw new NobodyHere();
  const { person } = document.body.dataset;
  if (person && person !== who.person) throw new PageOfAnother(who.name ?? who.person);
  const queued = {
    logbook,
    vehicle,
    person: who.person,
    name: who.name ?? who.person,
    device: who.device,
    said,
    photos: files.map(({ photo }) => photo),
    at_server: files.map(({ photo }) => photo).filter((photo) => atServer.has(photo)),
    sentences,
    state: "waiting",
    reason: null,
    rests_on,
  };
  const keep = () =>
    write(ALL, async (transaction) => {
      stampInto(queued, bodies, await stamps(transaction, bodies.length, logbook));
      for (const file of files) {
        transaction.objectStore("blobs").put(file);
      }
      transaction.objectStore("queued").add(queued);
    });
  try {
    await keep().catch(async (error) => {
      if (!error.isFull || !(await makeRoom())) throw error;
      await keepInRoom(keep);
    });
  } catch (error) {
    throw Object.assign(error, { act: queued, files });
  }
  tell({ act: queued.act, logbook, state: "waiting" });
  return queued;
}

/** Tries until there is room: browsers give back what was let go only some seconds later. */
async function keepInRoom(keep) {
  for (const wait_ms of PAUSES_MS) {
    try {
      return await keep();
    } catch (error) {
      if (!error.isFull) throw error;
    }
    await new Promise((on) => setTimeout(on, wait_ms));
  }
  return keep();
}

/** Puts the digest and the sort of a file where an entry names it by its number. */
function named(entry, files) {
  const found = { ...entry };
  for (const field of ["photo", "sound"]) {
    const number = /^media:(\d+)$/.exec(found[field] ?? "")?.[1];
    if (number === undefined) continue;
    found[field] = files[number].photo;
    found.media_type ??= files[number].media_type;
  }
  return found;
}

/** Writes the entries of an act; said anew, they keep the moment at which it happened. */
function stampInto(queued, bodies, stamped) {
  queued.act = stamped.act;
  queued.made_at = stamped.logged_at;
  queued.happened_at ??= stamped.logged_at;
  if (queued.after === undefined) queued.after = stamped.after;
  queued.ids = stamped.entries.map(({ id }) => id);
  const lines = bodies.map(({ kind, version, body }, at) =>
    canonical({
      id: stamped.entries[at].id,
      act: stamped.act,
      logbook: queued.logbook,
      happened_at: queued.happened_at,
      after: queued.after,
      logged_at: stamped.logged_at,
      clock: stamped.entries[at].clock,
      device: queued.device,
      who: queued.person,
      kind,
      version,
      body,
    }),
  );
  queued.bytes = lines.join("\n");
}

/**
 * Strikes an act out, sent or not: by an entry of its own, as in a paper logbook, so that it does not
 * matter whether the server has the act already.
 */
export async function strike(act, { logbook, vehicle, why = "", sentences } = {}) {
  const own = await queuedAct(act);
  return enqueue({
    logbook: own?.logbook ?? logbook,
    vehicle: own?.vehicle ?? vehicle,
    entries: [{ kind: "struck", act, ...(why && { why }) }],
    sentences: sentences ?? [`Struck out: ${(own?.sentences ?? []).join(" ") || "an act"}`],
    rests_on: own ? [act] : [],
  });
}

// -- what waits ----------------------------------------------------------------------------------

/** Lists queued acts in the order in which they were logged, of one vehicle or all. */
export async function queued(logbook) {
  const all = await read(["queued"], (transaction) => asked(transaction.objectStore("queued").getAll()));
  return logbook ? all.filter((each) => each.logbook === logbook) : all;
}

/** Gives one queued act; nothing if there is none such. */
export async function queuedAct(act) {
  return read(["queued"], (transaction) => asked(transaction.objectStore("queued").get(act)));
}

/** Gives the photos and sounds that queued acts name, as far as they are here. */
export async function blobsOf(acts) {
  const wanted = [...new Set(acts.flatMap(({ photos }) => photos))];
  const found = await read(["blobs"], (transaction) =>
    Promise.all(wanted.map((photo) => asked(transaction.objectStore("blobs").get(photo)))),
  );
  return found.filter(Boolean);
}

/** Why nothing goes on at present: {why, message, at}; nothing if it does. */
export async function halted() {
  return read(["me"], (transaction) => asked(transaction.objectStore("me").get("halted")));
}

/** Says a refused act anew: it keeps its place and its act, and waits again. Gives the act. */
export async function correct(act, entries) {
  const bodies = entries.map(bodyOf);
  const corrected = await write(ALL, async (transaction) => {
    const store = transaction.objectStore("queued");
    const found = await asked(store.get(act));
    if (!found || found.state === "waiting") throw new Error("It is on its way already.");
    stampInto(found, bodies, await stamps(transaction, bodies.length, found.logbook, act));
    const photos = entries.map((entry) => entry.photo ?? entry.sound).filter(Boolean);
    const left = found.photos.filter((photo) => !photos.includes(photo));
    Object.assign(found, { said: entries, photos, state: "waiting", reason: null, saved_at: null });
    store.put(found);
    await forget(transaction, left);
    return found;
  });
  tell({ act, logbook: corrected.logbook, state: "waiting" });
  return corrected;
}

/** Sets an act aside that cannot be sent, or takes it up again; it stays on this phone. */
export function setAside(act, is_aside = true) {
  return change(act, is_aside ? { state: "aside" } : { state: "waiting", reason: null, saved_at: null });
}

/** Gives an act and what cannot be sent without it: the strikes that wait for it. */
export async function withStrikes(act) {
  return (await queued()).filter((each) => each.act === act || each.rests_on.includes(act));
}

/** Notes that an act that is aside was saved as a file. */
export function noteSaved(act) {
  return change(act, { saved_at: Date.now() });
}

/**
 * Takes an act off this phone, with the strikes that wait for it. Only what a person set aside and
 * saved as a file goes so; what was struck since then must be saved again.
 */
export async function takeOff(act) {
  const gone = await write(["queued", "blobs"], async (transaction) => {
    const store = transaction.objectStore("queued");
    const all = await asked(store.getAll());
    const found = all.find((each) => each.act === act);
    const strikes = all.filter(({ rests_on }) => rests_on.includes(act));
    const is_whole = strikes.every(({ made_at }) => Date.parse(made_at) <= found?.saved_at);
    if (found?.state !== "aside" || !found.saved_at || !is_whole) throw new Error("Save it as a file first.");
    for (const each of [found, ...strikes]) store.delete(each.act);
    await forget(transaction, found.photos);
    return [found, ...strikes];
  });
  for (const each of gone) tell({ act: each.act, logbook: each.logbook, state: "withdrawn" });
}

/** Takes an act that the server refused out of the queue: it was never logged, and its form has it. */
export async function withdraw(act) {
  const gone = await write(["queued", "blobs"], async (transaction) => {
    const store = transaction.objectStore("queued");
    const found = await asked(store.get(act));
    if (found?.state !== "refused") return undefined;
    store.delete(act);
    await forget(transaction, found.photos);
    return found;
  });
  if (gone) tell({ act, logbook: gone.logbook, state: "withdrawn" });
}

/** Changes an act; one that is in another state by now than the one given, if any, is left as it is. */
async function change(act, changes, state) {
  const found = await write(["queued"], async (transaction) => {
    const store = transaction.objectStore("queued");
    const was = await asked(store.get(act));
    if (!was || (state && was.state !== state)) return undefined;
    store.put(Object.assign(was, changes));
    return was;
  });
  if (found) tell({ act, logbook: found.logbook, state: found.state });
  return found;
}

// -- sending -------------------------------------------------------------------------------------

let running;
let isAskedAgain = false;
let timer;
let tries = 0;

/** Sends what waits, in order; one tab at a time. Resolves when nothing more can be done now: asked while it sends, after it was tried once more. */
export function send() {
  if (running) isAskedAgain = true;
  else {
    running = alone(run).finally(() => {
      running = undefined;
      if (!isAskedAgain) return undefined;
      isAskedAgain = false;
      return send();
    });
  }
  return running;
}

/** One sender of all tabs; where there are no locks two may send, and the server takes it once. */
function alone(work) {
  return navigator.locks ? navigator.locks.request("putback queue", work) : work();
}

async function run() {
  clearTimeout(timer);
  if (!(await queued()).some(({ state }) => state === "waiting")) return halt(null);
  try {
    const who = await whoAmI();
    await learn(who.clock);
    await remember(who);
    const held_up = await sendAll(who);
    await halt(held_up);
    if (held_up?.why === "server") again();
    else tries = 0;
  } catch (error) {
    if (!(error instanceof Refusal)) throw error;
    await halt({ why: whyOf(error), message: error.message });
    if (error.status !== 401) again();
  }
}

const whyOf = ({ status }) =>
  ({ 0: "no network", 401: "signed out", 403: "not allowed", 404: "not allowed", 507: "server full" })[status] ??
  "server";

/** The name by which a person is shown; who is signed in is said by the pages alone. */
async function remember(who) {
  if ((await signedIn())?.person === who.person) await signIn(who);
}

function again() {
  const wait_ms = Math.min(LONGEST_WAIT_MS, FIRST_WAIT_MS * 2 ** tries);
  tries += 1;
  timer = setTimeout(send, wait_ms * (0.75 + Math.random() / 2)); // not all phones at once
}

async function halt(why) {
  const was = await halted();
  if (!why && !was) return;
  await write(["me"], async (transaction) => {
    const me = transaction.objectStore("me");
    if (why) me.put({ ...why, at: Date.now() }, "halted");
    else me.delete("halted");
  });
  tell({ state: "halted", halt: why });
}

/** Goes through all that waits, until nothing new came meanwhile; gives what holds the rest up. */
async function sendAll(who) {
  const passed = new Set();
  for (;;) {
    const all = await queued();
    const next = all.filter(({ act, state }) => state === "waiting" && !passed.has(act));
    if (!next.length) return waitsFor(all, who);
    const there = new Set(all.map(({ act }) => act));
    const may_go = ({ person, rests_on }) =>
      person === who.person && !rests_on.some((act) => there.has(act));
    const batch = may_go(next[0]) ? batchOf(next, may_go) : [next[0]];
    for (const { act } of batch) passed.add(act);
    if (may_go(batch[0])) await sendBatch(batch, who);
  }
}

/** Acts that go in one request: those next in order, of one vehicle; one with photos goes alone. */
function batchOf(next, may_go) {
  const [{ logbook }] = next;
  const end = next.findIndex((each) => each.logbook !== logbook || each.photos.length || !may_go(each));
  return next.slice(0, Math.max(1, Math.min(end < 0 ? next.length : end, MOST_AT_ONCE)));
}

/** Sends a batch; if the server does not take it as a whole, each act by itself. */
async function sendBatch(batch, who) {
  try {
    await sendTogether(batch, who);
  } catch (error) {
    if (!(error instanceof Refusal) || !JUDGED.has(error.status)) throw error;
    if (batch.length === 1) await judged(batch[0], error);
    else for (const each of batch) await sendBatch([each], who);
  }
}

function waitsFor(all, who) {
  const other = all.find(({ state, person }) => state === "waiting" && person !== who.person);
  if (!other) {
    const not = all.find(({ state, reason }) => state === "waiting" && reason);
    return not ? { why: not.reason.why, message: not.reason.message } : null;
  }
  const message = `${other.name} logged this; ${who.name} is signed in now. It is sent when ${other.name} signs in again.`;
  return { why: "other person", message };
}

async function sendTogether(batch, who) {
  const [{ logbook }] = batch;
  for (const photo of batch[0].photos) {
    if (batch[0].at_server.includes(photo)) continue;
    const [blob] = await blobsOf([{ photos: [photo] }]); // one at a time: a phone has little room
    if (blob) await sendMedia(logbook, blob.name, blob.bytes, who.csrf);
    await isAtServer(batch[0].act, photo);
  }
  const lines = batch.map(({ bytes }) => bytes).join("\n");
  const answer = await sendEntries(logbook, lines, who.csrf);
  await settle(batch);
  await learn(answer.clock);
  let from = 0;
  for (const { act, ids } of batch) {
    const sentences = answer.sentences.slice(from, (from += ids.length)); // one an entry
    tell({ act, logbook, state: "sent", answer: { ...answer, sentences } });
  }
}

/**
 * Notes what the server has against one act, unless a person set it aside meanwhile; whatever else
 * goes wrong holds all up.
 */
async function judged({ act }, { status, message, fault, place, remedy, told }) {
  const reason = { why: whyOf({ status }), status, message, fault, place, remedy, told };
  if (status in SHUT_OUT) {
    const fault = SHUT_OUT[status];
    Object.assign(reason, { message: `Some of it waits: ${fault}; ${LET_IN}.`, fault, remedy: LET_IN, told: undefined });
  }
  await change(act, MALFORMED.has(status) ? { state: "refused", reason } : { reason }, "waiting");
}

/** A photo that is there is not sent again if the act itself must be. */
async function isAtServer(act, photo) {
  await note(["queued"], async (transaction) => {
    const store = transaction.objectStore("queued");
    const found = await asked(store.get(act));
    if (found) store.put({ ...found, at_server: [...found.at_server, photo] });
  });
}

/** The server has them: they leave the queue, and their photos unless others name them. */
async function settle(batch) {
  await note(["queued", "blobs"], async (transaction) => {
    for (const { act } of batch) transaction.objectStore("queued").delete(act);
    await forget(transaction, batch.flatMap(({ photos }) => photos));
  });
}

async function forget(transaction, photos) {
  if (!photos.length) return;
  const left = await asked(transaction.objectStore("queued").getAll());
  const needed = new Set(left.flatMap((each) => each.photos));
  for (const photo of photos) {
    if (!needed.has(photo)) transaction.objectStore("blobs").delete(photo);
  }
}
