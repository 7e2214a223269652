// What is queued on this phone, on whatever page has a place for it (data-queued): each act with its
// words, in order; what was not taken with the reason, to be corrected or set aside; and all of it as
// a file. Templates for the lines stand in the page: fragments/queued.html.

import { saveBundle } from "./bundle.js";
import { moment } from "./dom.js";
import { entriesOf, fieldsOf } from "./fields.js";
import { faultWords } from "./form_words.js";
import { signedIn } from "./identity.js";
import { correct, halted, noteSaved, queued, send, setAside, strike, takeOff, whenChanged, withStrikes } from "./queue.js";

const place = document.querySelector("[data-queued]");
const line = place?.querySelector("template[data-line]");
const list = place?.querySelector("[data-acts]");
const only = place?.dataset.queued; // of one vehicle; empty for all
const fault = place?.querySelector("[data-fault]");

const STATES = { waiting: "queued", refused: "not taken", aside: "set aside" };

async function show() {
  if (!place || place.contains(document.activeElement?.closest("form[data-correct]"))) return;
  const [acts, why, who] = await Promise.all([queued(only || undefined), halted(), signedIn()]);
  place.querySelector("[data-none]").hidden = acts.length > 0;
  place.querySelector("[data-some]").hidden = !acts.length;
  const halt = place.querySelector("[data-halt]");
  halt.textContent = why?.message ?? "";
  halt.hidden = !why || !acts.length;
  lay(acts.map((act) => lineOf(act, who)));
}

const laid = new Map(); // by act: what its line shows, and the line

/** The line of an act: the one that is there as long as it says the same, lest a tap on it is lost. */
function lineOf(queued_act, who) {
  const says = JSON.stringify([queued_act, who?.person]);
  if (laid.get(queued_act.act)?.says !== says) laid.set(queued_act.act, { says, item: shown(queued_act, who) });
  return laid.get(queued_act.act).item;
}

function lay(lines) {
  for (const there of [...list.children]) if (!lines.includes(there)) there.remove();
  lines.forEach((item, at) => {
    if (list.children[at] !== item) list.insertBefore(item, list.children[at] ?? null);
  });
}

function shown(queued_act, who) {
  const item = line.content.cloneNode(true).firstElementChild;
  const { act, state, reason, made_at, person, name, vehicle, sentences, photos, rests_on, saved_at } = queued_act;
  const put = (part, words) => (item.querySelector(`[data-${part}]`).textContent = words);
  const said = sentences.join(" ") || queued_act.said.map(({ kind }) => kind).join(", ");
  put("words", said);
  put("state", STATES[state]);
  const about = [
    moment(made_at),
    only ? "" : vehicle,
    photos.length && `${photos.length} ${photos.length === 1 ? "photo or sound" : "photos or sounds"}`,
    person !== who?.person && `logged by ${name}, and sent only as ${name}`,
    state === "waiting" && rests_on.length && "goes after what it strikes out",
    saved_at && `saved as a file ${moment(saved_at)}`,
  ];
  put("about", about.filter(Boolean).join(" · "));
  const why = item.querySelector("[data-reason]");
  why.textContent = reason ? `Not taken. ${faultWords(reason)}` : "";
  why.hidden = !reason;
  item.classList.toggle("refused", state === "refused");
  const does = (button, is_there, work) => {
    const found = item.querySelector(`[data-do=${button}]`);
    found.hidden = !is_there;
    found.addEventListener("click", () => attempt(work));
  };
  const is_own = person === who?.person;
  does("strike", is_own && state === "waiting" && !isStrike(queued_act), () => strike(act));
  does("correct", is_own && state !== "waiting", () => open(item, queued_act));
  const cannot_go = state === "refused" || (state === "waiting" && !rests_on.length && (reason || !is_own));
  does("aside", cannot_go, () => setAside(act));
  does("again", state === "aside", () => setAside(act, false));
  does("save", state === "aside", () => saveApart(act));
  does("off", state === "aside" && saved_at, () => takeOff(act));
  return item;
}

/** Saves an act that is aside as a file, with what goes with it; then it may be taken off the phone. */
async function saveApart(act) {
  await saveBundle(await withStrikes(act));
  await noteSaved(act);
}

const isStrike = ({ said }) => said.every(({ kind }) => kind === "struck");

async function attempt(work) {
  fault.hidden = true;
  try {
    await work();
    send();
  } catch (error) {
    fault.textContent = error.message;
    fault.hidden = false;
  }
}

// -- correcting ----------------------------------------------------------------------------------

const FIXED = new Set(["kind", "photo", "sound", "media_type", "drawn_on", "act", "entry"]);

function open(item, { act, said }) {
  const form = place.querySelector("template[data-form]").content.cloneNode(true).firstElementChild;
  const rows = form.querySelector("[data-fields]");
  said.forEach((entry, at) => {
    const whole = document.createElement("fieldset");
    whole.className = "stack";
    whole.append(Object.assign(document.createElement("legend"), { textContent: entry.kind }));
    whole.append(choice(`${at + 1}.kind`, entry.kind));
    for (const [path, value] of fieldsOf(entry)) {
      if (path !== "kind") whole.append(field(`${at + 1}.${path}`, path, String(value)));
    }
    rows.append(whole);
  });
  const buttons = item.querySelector("[data-buttons]");
  const close = () => {
    form.remove();
    buttons.hidden = false;
  };
  form.addEventListener("submit", (event) => {
    event.preventDefault();
    const entries = entriesOf(new FormData(form));
    close();
    attempt(() => correct(act, entries));
  });
  form.querySelector("[data-leave]").addEventListener("click", () => {
    close();
    show();
  });
  buttons.hidden = true;
  item.append(form);
  form.querySelector("input:not([type=checkbox], [type=hidden])")?.focus();
}

function choice(name, kind) {
  const label = document.createElement("label");
  label.className = "choice";
  const tick = Object.assign(document.createElement("input"), { type: "checkbox", name, value: kind });
  tick.checked = true;
  label.append(tick, " Send this one");
  return label;
}

function field(name, path, value) {
  const input = Object.assign(document.createElement("input"), { name, value });
  if (FIXED.has(path)) return Object.assign(input, { type: "hidden" });
  const label = document.createElement("label");
  label.append(path.replace("[]", "").replaceAll(/[._]/g, " "), input);
  return label;
}

place?.querySelector("[data-do=send]").addEventListener("click", () => attempt(send));
place?.querySelector("[data-do=export]").addEventListener("click", () =>
  attempt(async () => saveBundle(await queued(only || undefined))),
);
whenChanged(show);
await show();
