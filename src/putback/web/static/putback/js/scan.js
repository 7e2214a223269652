// Scanning: a tag comes by camera or keypad, and what it stands for is shown from what the page or the
// phone knows, without asking anybody. Two tags one after the other are a move, offered by one tap.

import { openCamera, watch } from "./camera.js";
import { withKeys } from "./keypad.js";
import { heldTags, noteMove, servedTags } from "./known_tags.js";
import { moveOf } from "./moved.js";

const TOGETHER_MS = 120_000; // so long after the first the second still goes with it

const found = document.getElementById("found");
const form = document.querySelector("[data-keypad]");
const field = form.querySelector("input");
const served = servedTags(); // where the server made the page, it left out what may not be logged
const held = served ? undefined : await heldTags();
let known = served ?? held.known;
let last = { tag: "", at: 0 };

if (held && !held.may_log) onlyLooking();

/** Takes away what logs something; what is left says what a tag stands for. */
function onlyLooking() {
  document.getElementById("moved-card")?.remove();
  const card = document.getElementById("found-card").content;
  for (const logs of card.querySelectorAll('[data-deeds], [data-deed="new"]')) logs.remove();
}

function show(tag) {
  const told = known.tags[tag];
  const other = known.others[tag];
  const card = document.getElementById("found-card").content.cloneNode(true).firstElementChild;
  const at = (name) => card.querySelector(`[data-${name}]`);
  at("tag-code").textContent = tag;
  at("name").textContent = told ? told.name || told.container : "";
  at("where").textContent = other
    ? `It is a bag of ${other.vehicle}.`
    : told?.where
      ? `In ${told.where}`
      : told
        ? "Nobody said where it is."
        : "";
  for (const line of told?.lines ?? []) {
    const item = document.createElement("li");
    item.textContent = line;
    at("lines").append(item);
  }
  const address = told?.address ?? other?.address;
  if (address) Object.assign(at("open"), { href: address, hidden: false });
  for (const input of card.querySelectorAll("[data-subject]")) input.value = `tag:${tag}`;
  for (const input of card.querySelectorAll("[data-code]")) input.value = tag;
  for (const select of card.querySelectorAll("[data-places]")) {
    select.append(...known.places.map(([place, name]) => new Option(name, place)));
  }
  at("parts")?.append(...known.parts.map(([part, name]) => new Option(name, part)));
  const deeds = at("deeds");
  if (deeds) {
    card.querySelector('[data-deed="place"]').hidden = !known.places.length;
    card.querySelector('[data-deed="fill"]').hidden = !known.parts.length;
    deeds.hidden = Boolean(other);
    card.querySelector('[data-deed="new"]').hidden = Boolean(told || other);
    const empty = card.querySelector('[data-deed="empty"]');
    for (const [subject, name] of told?.parts ?? []) {
      empty.querySelector("[data-inside]").append(new Option(name, subject));
    }
    empty.hidden = !told?.parts.length || !known.places.length;
  }
  found.replaceChildren(card);
}

function offerMove(first, second) {
  document.querySelector(".bar.move")?.remove();
  const move = moveOf(first, second, known.tags);
  const template = document.getElementById("moved-card");
  if (!move || !template || known.others[first] || known.others[second]) return;
  const bar = template.content.cloneNode(true).firstElementChild;
  bar.querySelector("[data-what]").value = `tag:${move.what}`;
  bar.querySelector("[data-into]").value = move.into;
  bar.querySelector("[data-what-code]").textContent = move.what;
  bar.querySelector("[data-into-code]").textContent = move.into;
  bar.querySelector("[data-not-so]").addEventListener("click", () => bar.remove());
  bar.addEventListener("kept", () => {
    noteMove(known, { kind: "put in", what: `tag:${move.what}`, tag: move.into });
    bar.remove();
    show(move.what);
    last = { tag: "", at: 0 };
  });
  document.querySelector("main").append(bar);
  document.querySelector("main").classList.add("with-bar");
}

/** A tag came, by camera or by hand. */
function hear(tag) {
  const now = Date.now();
  show(tag);
  if (last.tag && last.tag !== tag && now - last.at < TOGETHER_MS) offerMove(last.tag, tag);
  else document.querySelector(".bar.move")?.remove();
  last = { tag, at: now };
}

withKeys(field, document.getElementById("typed-fault"));
field.addEventListener("tag", (event) => {
  hear(event.detail);
  found.scrollIntoView({ block: "nearest" });
});
const look = () => field.dispatchEvent(new Event("input", { bubbles: true }));
form.addEventListener("submit", (event) => {
  event.preventDefault(); // the tag is shown when it is whole
  look();
});
if (field.value) look(); // typed while the page was still finding out what this phone holds
form.querySelector("button:not([type])").hidden = true;

// What was logged changes what is known; without a network the page goes on with what it knew.
document.body.addEventListener("logged", async () => {
  if (!served) return;
  try {
    const text = await (await fetch(location.pathname)).text();
    const page = new DOMParser().parseFromString(text, "text/html");
    known = servedTags(page);
    if (last.tag) show(last.tag);
  } catch {
    // nothing new is known
  }
});

const camera = await openCamera(document.querySelector("[data-camera]"));
const hint = (words) => (document.querySelector("[data-camera-said]").textContent = words);
if (camera) {
  const heard = (tag) => {
    hint("");
    hear(tag);
  };
  watch(camera, heard, () => hint("Two tags are in the picture: show one."));
}
