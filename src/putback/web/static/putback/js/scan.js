// Scanning: a tag comes by camera or keypad, and what it stands for is shown from what the page knows,
// without asking anybody. Two tags one after the other are a move, offered by one tap.

import { openCamera, watch } from "./camera.js";
import { withKeys } from "./keypad.js";
import { moveOf } from "./moved.js";

const TOGETHER_MS = 120_000; // so long after the first the second still goes with it

const found = document.getElementById("found");
const form = document.querySelector("[data-keypad]");
const field = form.querySelector("input");
let known = JSON.parse(document.getElementById("known").textContent);
let last = { tag: "", at: 0 };

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
  const deeds = at("deeds");
  if (deeds) {
    deeds.hidden = Boolean(other);
    card.querySelector('[data-deed="new"]').hidden = Boolean(told || other);
    const empty = card.querySelector('[data-deed="empty"]');
    for (const [subject, name] of told?.parts ?? []) {
      empty?.querySelector("[data-inside]").append(new Option(name, subject));
    }
    if (empty) empty.hidden = !told?.parts.length;
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
    const inside = [move.into, ...(known.tags[move.into]?.inside ?? [])];
    const told = known.tags[move.what];
    if (told) Object.assign(told, { inside, where: inside.join(", in ") });
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
form.addEventListener("submit", (event) => {
  event.preventDefault(); // the tag is shown when it is whole
  field.dispatchEvent(new Event("input", { bubbles: true }));
});
form.querySelector("button:not([type])").hidden = true;

// What was logged changes what is known; without a network the page goes on with what it knew.
document.body.addEventListener("logged", async () => {
  try {
    const text = await (await fetch(location.pathname)).text();
    const page = new DOMParser().parseFromString(text, "text/html");
    known = JSON.parse(page.getElementById("known").textContent);
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
