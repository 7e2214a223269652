// Now, without a network: the vehicles that this phone holds, the next job of the one that the
// address names, and what can be done about it. All of it from what is held (held.js) and what was
// logged since (steps.js); logging goes through the queue (log.js) like everywhere.

import { copy, element, moment, one, put, sentence } from "./dom.js";
import { heldVehicles, since } from "./held.js";
import { signedIn } from "./identity.js";
import { cardOf, deedWords } from "./offline_card.js";
import { fieldsFor, stuckFields } from "./offline_forms.js";
import { gather } from "./pictures.js";
import { seen } from "./seen.js";
import { hear } from "./sound.js";
import { able, bagFor, called, howFar, keyOf, next, openSince, progress, toDo } from "./steps.js";

const SHOWN = 3; // jobs after the next, open items: a list and no wall

const view = document.querySelector("[data-view]");
const logbook = () => decodeURIComponent(/^\/v\/([^/]+)/.exec(location.pathname)?.[1] ?? new URLSearchParams(location.search).get("v") ?? "");
const address = (id) => `/offline?v=${encodeURIComponent(id)}`;

let drawn = 0;

async function show() {
  const turn = (drawn += 1);
  const who = await signedIn();
  const all = who ? await heldVehicles(who.person) : [];
  const is_home = location.pathname === "/" && all.length === 1; // where the app opens
  const found = is_home ? all[0] : all.find((each) => each.logbook === logbook());
  if (found) {
    const now = progress(found.held, await since(found));
    if (turn === drawn) showVehicle(found, now, who);
  } else if (turn === drawn) showVehicles(all);
  document.documentElement.dataset.usable = "yes";
}

// -- which vehicle -------------------------------------------------------------------------------

function showVehicles(all) {
  const shown = copy("t-vehicles");
  one(shown, "[data-none]").hidden = all.length > 0;
  one(shown, "[data-list]").hidden = !all.length;
  one(shown, "[data-list]").append(
    ...all.map(({ logbook: id, held, at }) => {
      const line = copy("t-vehicle");
      one(line, "[data-go]").href = address(id);
      put(line, "[data-name]", held.name);
      put(line, "[data-held]", held.holds.map((words) => sentence(`Hold: ${words}`)).join(" "));
      put(line, "[data-about]", `${held.jobs.length} jobs, as of ${moment(at)}`);
      return line;
    }),
  );
  put(document.querySelector("[data-out]"), "[data-as-of]", "");
  view.replaceChildren(shown);
}

// -- one vehicle ---------------------------------------------------------------------------------

function showVehicle({ held, at }, now, who) {
  Object.assign(document.body.dataset, { logbook: held.logbook, vehicle: held.name });
  document.title = `Now · ${held.name}`;
  const name = document.querySelector("header [data-name]");
  name.textContent = held.name;
  name.href = address(held.logbook);
  const scan = document.querySelector("[data-scan]");
  Object.assign(scan, { href: `/v/${encodeURIComponent(held.logbook)}/scan`, hidden: false });
  put(document.querySelector("header"), "[data-notice]", held.notice.split(/(?<=\.) /)[0]);
  put(document.querySelector("[data-out]"), "[data-as-of]", `As of ${moment(at)}.`);
  showHolds(held.holds);
  const [page, key] = location.hash.slice(1).split("=");
  const chosen = key === undefined ? undefined : called(held, now, decodeURIComponent(key));
  const is_gone = key !== undefined && chosen === undefined; // done, or in no plan any more
  const wanted = chosen === undefined ? next(held, now) : toDo(held, now, chosen);
  const pages = { else: elsePage, "pack-up": packUpPage, stuck: stuckPage, "not-now": notNowPage, photo: photoPage };
  const shown = ((!is_gone && pages[page]) || nowPage)(held, now, wanted, who);
  for (const back of shown.querySelectorAll("[data-back]")) back.href = "#";
  view.replaceChildren(shown);
}

function showHolds(holds) {
  document.querySelectorAll(".hold").forEach((each) => each.remove());
  document.querySelector("header").before(
    ...holds.map((words) => element("p", sentence(`Hold: ${words}`), { className: "hold" })),
  );
}

/** The job or change of standing that a person looks at. */
function atHand(held, { job, standing }) {
  if (standing === undefined) return held.jobs[job];
  return held.standings.find((each) => each.standing === standing) ?? held.jobs[job];
}

function nowPage(held, now, wanted, who) {
  const shown = copy("t-now");
  const hand = wanted.job === undefined ? undefined : atHand(held, wanted);
  const out = now.out.get(wanted.job) ?? hand?.card.out;
  const is_put_off = now.put_off.has(wanted.job);
  const is_all = able(held, now).every((at) => now.put_off.has(at));
  const facts = { out, is_unchecked: true, is_put_off, is_all, stands_so: wanted.standing === undefined };
  one(shown, "[data-card]").append(hand ? cardOf(hand.card, facts) : nothingLeft(held, now));
  if (hand?.photo) showPhoto(one(shown, "[data-card]"), held.logbook, hand.photo);
  const later = held.jobs.flatMap((_, at) => (now.done.has(at) || (at === wanted.job && hand === held.jobs[at]) ? [] : [at]));
  const after = later.slice(0, SHOWN);
  one(shown, "[data-after]").hidden = !after.length;
  one(one(shown, "[data-after]"), "[data-list]").append(...after.map((at) => jobLine(held, at)));
  one(shown, "[data-unchecked]").hidden = !hand;
  showOpen(one(shown, "[data-open]"), held, now);
  put(shown, "[data-far]", farAlong(held, now));
  if (hand && held.may_log) shown.append(bar(held, now, wanted, hand, who));
  return shown;
}

let shown_photo = ""; // the address of the one that is shown

/** Shows the photo from before once it was read; where this phone does not hold it, says so. */
async function showPhoto(place, logbook, { photo, words }) {
  const picture = await seen(logbook, photo);
  const line = copy(picture ? "t-seen" : "t-not-seen");
  put(line, "[data-words]", words);
  if (picture) {
    URL.revokeObjectURL(shown_photo);
    shown_photo = URL.createObjectURL(picture);
    one(line, "img").src = shown_photo;
  }
  one(place, ".next").append(line);
}

function farAlong(held, now) {
  const left = held.jobs.length - now.done.size + held.jobs_left_off;
  const { parts_off, joints_made_again } = howFar(held, now);
  const far =
    held.way === "rebuild"
      ? `${joints_made_again} of ${held.joints} joints made again by what this phone knows`
      : `${parts_off} of ${held.parts} parts off by what this phone knows`;
  const ahead = left === 1 ? `${left} job left` : `${left} jobs left`;
  const since_then = now.done.size ? `, ${now.done.size} done since it was in touch` : "";
  return `${far}; ${ahead}${since_then}.`;
}

function nothingLeft(held, now) {
  const shown = copy("t-none");
  const left = held.jobs.length - now.done.size;
  const words = left ? "Nothing can be done next" : held.jobs_left_off ? "All that this phone holds is done" : held.fault ? "No plan" : "Nothing is left to do";
  const more = left ? "What is left waits for something that is not in the plan this phone holds." : held.jobs_left_off ? `${held.jobs_left_off} more jobs are in the plan; they come with the network.` : held.fault;
  put(shown, "[data-words]", words);
  put(shown, "[data-more]", more && sentence(more));
  return shown;
}

const of = (page, job) => `#${page}=${encodeURIComponent(keyOf(job))}`;

function jobLine(held, at) {
  const { card, standing } = held.jobs[at];
  const line = copy("t-job");
  one(line, "[data-go]").href = of("now", held.jobs[at]);
  put(line, "[data-verb]", card.verb);
  put(line, "[data-title]", card.title);
  put(line, "[data-about]", [card.takes, standing !== held.standing && card.standing].filter(Boolean).map((each) => `· ${each}`).join(" "));
  return line;
}

function showOpen(place, held, now) {
  const lines = [...sinceLines(held, now), ...heldLines(held, now)];
  place.hidden = !lines.length;
  one(place, "[data-list]").append(...lines.slice(0, SHOWN));
  const rest = lines.slice(SHOWN);
  one(place, "[data-more]").hidden = !rest.length;
  put(place, "[data-count]", `${rest.length} more`);
  one(place, "[data-rest]").append(...rest);
}

function openLine(words, clears) {
  const line = copy("t-open");
  put(line, "[data-words]", sentence(words));
  put(line, "[data-clears]", clears && sentence(`To clear it: ${clears}`));
  return line;
}

const closing = ({ closed_with }) => (closed_with ? `close it with ${closed_with}` : "close it");

const sinceLines = (held, now) =>
  openSince(held, now).map(({ end, half, out, of }) =>
    end
      ? openLine(`${end.name}: ${end.ends === 1 ? "1 end is open" : `${end.ends} ends are open`}`, closing(end))
      : openLine(`${half}: ${out} of ${of} are out`, "undo the rest, or say why not"),
  );

const heldLines = (held, now) =>
  held.open
    .filter(({ rule, subject }) => rule !== "end open" || !now.closed.has(subject.split(":")[1]))
    .map(({ danger, words, clears }) => openLine(danger === "danger" ? `Danger: ${words}` : words, clears));

// -- the actions ---------------------------------------------------------------------------------

function bar(held, now, { job, standing }, hand, who) {
  const shown = copy("t-bar");
  const is_standing = standing !== undefined;
  const bag = bagFor(held, now, is_standing ? { card: hand.card } : hand);
  put(shown, "[data-words]", deedWords(hand.card) + (bag ? " into" : ""));
  put(shown, "[data-tag]", bag?.tag);
  one(shown, "[data-fields]").replaceWith(...fieldsFor(held, hand, { bag, person: who.person }));
  one(shown, "[data-stuck]").href = of("stuck", held.jobs[job]);
  one(shown, "[data-stuck]").hidden = !hand.card.is_joint;
  one(shown, "[data-not-now]").href = of("not-now", held.jobs[job]);
  one(shown, "[data-else]").href = "#else";
  one(shown, "[data-photo]").href = of("photo", held.jobs[job]);
  one(shown, "[data-pack-up]").href = "#pack-up";
  return shown;
}

function elsePage(held, now) {
  const shown = copy("t-else");
  const others = able(held, now);
  one(shown, "[data-none]").hidden = others.length > 0;
  one(shown, "[data-list]").hidden = !others.length;
  one(shown, "[data-list]").append(...others.map((at) => jobLine(held, at)));
  return shown;
}

function packUpPage(held, now) {
  const shown = copy("t-pack-up");
  const ends = openSince(held, now).filter(({ end }) => end);
  const lines = [
    ...ends.map(({ end }) => ({ words: `${end.name} is open`, do: closing(end) })),
    ...held.pack_up,
  ];
  one(shown, "[data-none]").hidden = lines.length > 0;
  one(shown, "[data-list]").hidden = !lines.length;
  one(shown, "[data-list]").append(
    ...lines.map((each) => {
      const line = copy("t-tick");
      put(line, "[data-words]", sentence(each.words));
      put(line, "[data-do]", each.do && sentence(each.do));
      return line;
    }),
  );
  one(shown, "form").hidden = !held.may_log;
  return shown;
}

function about(shown, { card }) {
  put(shown, "[data-title]", card.title);
  for (const field of shown.querySelectorAll("[data-what]")) field.value = card.what;
  return shown;
}

function stuckPage(held, now, { job }) {
  if (job === undefined) return nowPage(held, now, {});
  const shown = about(copy("t-stuck"), held.jobs[job]);
  const facts = { bag: bagFor(held, now, held.jobs[job]), out: now.out.get(job) ?? held.jobs[job].card.out };
  one(shown, "[data-fields]").append(...stuckFields(held.jobs[job], facts));
  return shown;
}

function photoPage(held, now, wanted) {
  if (wanted.job === undefined) return nowPage(held, now, {});
  const hand = atHand(held, wanted);
  const shown = about(copy("t-photo"), hand);
  if (wanted.standing !== undefined) one(shown, "[data-what]").remove(); // of the work as a whole
  gather(shown);
  hear(one(shown, "[data-speak]"));
  return shown;
}

function notNowPage(held, now, { job }) {
  return job === undefined ? nowPage(held, now, {}) : about(copy("t-not-now"), held.jobs[job]);
}

// -- keeping up ----------------------------------------------------------------------------------

/** Nothing takes a form away from under anybody's hands. */
const isAtWork = () => view.querySelector("details[data-deed][open], form.fields.sheet") !== null;

document.addEventListener("queue", ({ detail }) => {
  if (!detail.act || (detail.state !== "waiting" && isAtWork())) return;
  if (detail.state === "waiting" && !location.hash.startsWith("#now")) history.replaceState(null, "", "#");
  show();
});
document.addEventListener("held", () => isAtWork() || show());
addEventListener("hashchange", () => {
  scrollTo(0, 0);
  show();
});
document.querySelector("[data-again]").addEventListener("click", () => {
  if (location.pathname.startsWith("/v/")) location.reload();
  else location.assign(logbook() ? `/v/${encodeURIComponent(logbook())}/` : "/");
});
await show();
