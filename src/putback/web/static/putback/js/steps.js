// How far a held vehicle is by what was logged since on this phone, and what may come next: by the
// same facts as the plan (planning/precede.py), and with no plan made anew. Nothing of a page here.

const text = (value) => String(value ?? "");

function fits(entry, { kind, fields, all_of }) {
  if (entry.kind !== kind) return false;
  if (!Object.entries(fields).every(([name, values]) => values.includes(text(entry[name])))) return false;
  return all_of === null || entry.out === undefined || entry.out === null || Number(entry.out) >= all_of;
}

/**
 * Goes through entries that were logged since: which jobs are done (by their number), how many
 * fixings are out of those begun, what is put off, how it stands, what was closed, which tags are
 * used.
 */
export function progress(held, entries) {
  const done = new Set();
  const out = new Map();
  const put_off = new Set(held.jobs.flatMap(({ is_put_off }, at) => (is_put_off ? [at] : [])));
  const closed = new Set();
  const tags = new Map(); // by zone: the bag that was filled last
  const used = new Set();
  let standing = held.standing;
  for (const entry of entries) {
    if (entry.kind === "standing changed") standing = entry.standing;
    if (entry.kind === "opening closed") closed.add(entry.opening);
    if (entry.tag) used.add(text(entry.tag).toUpperCase());
  }
  held.jobs.forEach((job, at) => {
    const { card } = job;
    if (job.done_by.length && job.done_by.every((by) => entries.some((entry) => fits(entry, by)))) done.add(at);
    for (const entry of entries) {
      if (entry.kind === "joint undone" && card.deed === "undone" && entry.joint === card.identity) {
        out.set(at, Number(entry.out ?? card.of));
        if (entry.tag && !card.is_exact && card.zone) tags.set(card.zone, text(entry.tag).toUpperCase());
      }
      if (entry.kind === "put off" && entry.what === card.what) put_off.add(at);
    }
  });
  return { done, out, put_off, standing, closed, tags, used };
}

/** How an address calls a job: the next plan that comes to be held numbers them otherwise. */
export const keyOf = ({ card }) => [card.what, card.deed, card.tightness].filter(Boolean).join(" ");

/** The number of the job called so that is still to be done; nothing if there is none any more. */
export function called(held, { done }, key) {
  const at = held.jobs.findIndex((job, number) => keyOf(job) === key && !done.has(number));
  return at < 0 ? undefined : at;
}

/** The jobs that may come next, by their number, in the plan's order. */
export function able(held, { done }) {
  const left = held.jobs.flatMap((_, at) => (done.has(at) ? [] : [at]));
  const stint = Math.min(...left.map((at) => held.jobs[at].stint));
  const begun = new Set([...done].map((at) => held.jobs[at].visit).filter((visit) => visit !== null));
  const open = new Set(left.map((at) => held.jobs[at].visit).filter((visit) => begun.has(visit)));
  return left.filter((at) => {
    const { stint: own, visit, needs } = held.jobs[at];
    return own === stint && (!open.size || open.has(visit)) && needs.every((way) => way.some((n) => done.has(n)));
  });
}

/** What comes next: {job}, by its number, {standing} to be changed to first, or nothing. */
export function next(held, now) {
  const ready = able(held, now);
  const job = ready.find((at) => !now.put_off.has(at)) ?? ready[0];
  return job === undefined ? {} : toDo(held, now, job);
}

/** A job, or the standing that must be changed to before it. */
export function toDo(held, now, job) {
  const { standing } = held.jobs[job];
  return standing !== null && standing !== now.standing ? { job, standing } : { job };
}

/**
 * How far it is: {parts_off, joints_made_again}, those of the server and those of the jobs that were
 * done since. A joint that is made further counts once.
 */
export function howFar(held, { done }) {
  const cards = [...done].map((at) => held.jobs[at].card);
  const parts = cards.filter(({ deed }) => deed === "off").flatMap((card) => card.parts);
  const joints = cards.filter(({ deed, out }) => deed === "made" && out > 0).map(({ identity }) => identity);
  return {
    parts_off: held.parts_off + new Set(parts).size,
    joints_made_again: held.joints_made_again + new Set(joints).size,
  };
}

/** Where the pieces of a job are proposed to go: {tag, in_use}; nothing if no tag is left. */
export function bagFor(held, now, { card, bag }) {
  if (!card.has_pieces) return undefined;
  if (bag?.in_use) return bag;
  const filled = !card.is_exact && now.tags.get(card.zone);
  if (filled) return { tag: filled, in_use: true };
  const free = held.tags.find((tag) => !now.used.has(tag));
  return free && { tag: free, in_use: false };
}

/** What is open by what was logged since: ends not closed, joints half undone. */
export function openSince(held, now) {
  const found = [];
  held.jobs.forEach(({ card }, at) => {
    const out = now.out.get(at);
    if (card.deed === "undone" && out > 0 && out < card.of) found.push({ half: card.title, out, of: card.of });
    if (card.deed !== "undone" || !now.done.has(at)) return;
    for (const end of card.close) if (!now.closed.has(end.opening)) found.push({ end });
  });
  return found;
}
