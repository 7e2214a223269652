// The main action: its words follow what is typed below it, and typing a tag means the bag. While
// somebody answers what it asks, or types what came off, no plan that comes takes the form away from
// under their hands: neither is it asked for, nor is it shown where it was asked for before.

import { isChanged } from "./changed.js";

function follow(form) {
  const words = form.closest("[data-deed]").querySelector("summary");
  const out = form.querySelector("[data-out]");
  const bag = form.querySelector("[data-bag]");
  const tag = words?.querySelector("[data-tag]");
  const pieces = words?.querySelector("[data-pieces]");
  if (pieces && out) {
    pieces.dataset.all ??= pieces.textContent;
    const all = out.value === out.dataset.most;
    pieces.textContent = all ? pieces.dataset.all : `${out.value} of ${out.dataset.most}`;
  }
  if (tag && bag?.value) tag.textContent = bag.value.toUpperCase();
}

document.addEventListener("input", (event) => {
  const form = event.target.closest?.("[data-deed] form");
  if (!form) return;
  if (event.target.matches("[data-bag]")) {
    form.querySelector('[name="1.all_went"][value="tag"]').checked = true;
  }
  follow(form);
});

/** What somebody is answering or typing in; nothing where hands are off it. */
function inWork() {
  const answered = document.querySelector("details[data-deed][open]");
  const typed = [...document.querySelectorAll("#off input:not([type=hidden]), #off select")];
  return answered ?? typed.find(isChanged);
}

/** Whether a piece of the page would go from under hands; what was logged was answered. */
function takesAway({ target, requestConfig }) {
  if (requestConfig?.triggeringEvent?.type === "logged") return false;
  const held = inWork();
  return Boolean(held && target?.contains(held));
}

document.addEventListener("htmx:beforeRequest", (event) => {
  if (takesAway(event.detail)) event.preventDefault();
});

document.addEventListener("htmx:beforeSwap", (event) => {
  if (takesAway(event.detail)) event.detail.shouldSwap = false;
});
