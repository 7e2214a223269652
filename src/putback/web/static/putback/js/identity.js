// Identities and clocks of entries that this phone makes, as the server makes its own
// (workshop/logbooks/identity.py): UUIDv7 with a counter of 42 bits (RFC 9562, 6.2, method 1) and a
// hybrid logical clock. What was made last is kept in the phone's database and read and written in
// one transaction there, so that tabs and reloads never make the same or go back.

import { asked, note, read, write } from "./store.js";

const COUNTER_BITS = 42n;
const TAIL_BITS = 32n;
const SKEW_MS = 10 * 60_000; // a clock further ahead than this is plainly wrong

/** Random bits as a BigInt, 64 at the most. */
function random(bits) {
  const [value] = crypto.getRandomValues(new BigUint64Array(1));
  return value & ((1n << bits) - 1n);
}

/** Makes the next identity; `made` ({ms, counter} of the last) is moved on. */
function nextId(made, now_ms) {
  const start = (ms) => {
    made.ms = ms;
    made.counter = random(COUNTER_BITS - 1n); // its lower half, so that it has room to count
  };
  if (now_ms > made.ms) start(now_ms);
  else {
    made.counter += 1n;
    if (made.counter >> COUNTER_BITS) start(made.ms + 1);
  }
  const rest = (made.counter << TAIL_BITS) | random(TAIL_BITS);
  const bits =
    (BigInt(made.ms) << 80n) |
    (7n << 76n) |
    ((rest >> 62n) << 64n) |
    (2n << 62n) |
    (rest & ((1n << 62n) - 1n));
  const hex = bits.toString(16).padStart(32, "0");
  return hex.replace(/^(.{8})(.{4})(.{4})(.{4})(.{12})$/, "$1-$2-$3-$4-$5");
}

/** Gives the clock of a new entry; `made.clock` is moved on. */
export function tick(made, now_ms) {
  const [ms, counter] = made.clock;
  made.clock = now_ms > ms ? [now_ms, 0] : [ms, counter + 1];
  return made.clock;
}

/** An instant as ISO 8601 with the offset of this place. */
export function instant(ms) {
  const away = -new Date(ms).getTimezoneOffset(); // [minutes]
  const two = (value) => String(Math.trunc(Math.abs(value))).padStart(2, "0");
  const local = new Date(ms + away * 60_000).toISOString().slice(0, -1);
  return `${local}${away < 0 ? "-" : "+"}${two(away / 60)}:${two(away % 60)}`;
}

const FIRST = { ms: -1, counter: 0n, clock: [0, 0] };

/**
 * Makes identities and clocks for the entries of one act, within a transaction that has "me".
 * `act` names an act that has its identity already. Where this phone's clock was set back since it
 * last logged in this logbook, `after` names what it logged then: what was said last stands last.
 */
export async function stamps(transaction, count, logbook, act) {
  const me = transaction.objectStore("me");
  const made = (await asked(me.get("made"))) ?? structuredClone(FIRST);
  const now_ms = Date.now();
  const stamped = { act: act ?? nextId(made, now_ms), logged_at: instant(now_ms), entries: [] };
  for (let at = 0; at < count; at += 1) {
    stamped.entries.push({ id: nextId(made, now_ms), clock: tick(made, now_ms) });
  }
  const last = (made.last ??= {})[logbook];
  stamped.after = last?.ms > now_ms ? last.id : null;
  if (!act) {
    const ms = Math.max(now_ms, last?.ms ?? 0); // the place it takes in the order
    made.last[logbook] = { id: stamped.entries.at(-1).id, ms };
  }
  me.put(made, "made");
  return stamped;
}

/** Lets no later entry stand before what was seen, unless that clock is plainly wrong. */
export async function learn(clock) {
  if (!clock || clock[0] > Date.now() + SKEW_MS) return;
  await note(["me"], async (transaction) => {
    const me = transaction.objectStore("me");
    const made = (await asked(me.get("made"))) ?? structuredClone(FIRST);
    const [ms, counter] = made.clock;
    if (clock[0] < ms || (clock[0] === ms && clock[1] <= counter)) return;
    made.clock = [clock[0], clock[1]];
    me.put(made, "made");
  });
}

let heard;

/**
 * Takes over who is signed in from a page that the server made, as it says so; one that the phone
 * holds does not.
 */
function hearPage() {
  const { person, device } = document.body.dataset;
  heard ??= person === undefined ? Promise.resolve() : signIn(person ? { person, device } : null);
  return heard;
}

const known = () =>
  read(["me"], (transaction) => asked(transaction.objectStore("me").get("signed in")));

/**
 * Who is signed in on this phone: {person, device, name}, the name once the server has said it;
 * nothing if nobody is.
 */
export async function signedIn() {
  await hearPage();
  return known();
}

/** Remembers who is signed in on this phone; nobody, if nothing is given. */
export async function signIn(who) {
  const was = await known();
  const { person, device, name = was?.person === who?.person ? was?.name : undefined } = who ?? {};
  if (was?.person === person && was?.device === device && was?.name === name) return;
  await write(["me"], async (transaction) => {
    const me = transaction.objectStore("me");
    if (who) me.put({ person, device, name }, "signed in");
    else me.delete("signed in");
  });
}
