// A keypad of the legal characters only, large enough for gloves. The fourth character is checked at
// once: a wrong one is said, a tag that checks is heard as a "tag" event on the field. The phone's own
// keyboard stays away; one with real keys works.

import { ALPHABET, readTag } from "./tag.js";

const LENGTH = 4;

/** Checks a field at its fourth character; gives the tag, or null. */
export function check(field, fault) {
  const typed = field.value.replace(/[\s-]/g, "");
  const say = (words) => {
    fault.textContent = words;
    if (words) field.setAttribute("aria-invalid", "true");
    else field.removeAttribute("aria-invalid");
  };
  say("");
  if (typed.length < LENGTH) return null;
  try {
    const tag = readTag(typed);
    field.value = tag;
    return tag;
  } catch (error) {
    say(error.message);
    return null;
  }
}

/** Puts the keys below a field. */
export function withKeys(field, fault) {
  field.inputMode = "none";
  const pad = document.createElement("div");
  pad.className = "keys";
  pad.setAttribute("role", "group");
  pad.setAttribute("aria-label", "Characters of a tag");
  const changed = () => field.dispatchEvent(new Event("input", { bubbles: true }));
  const key = (words, label, press) => {
    const button = document.createElement("button");
    button.type = "button";
    button.className = "button";
    button.textContent = words;
    if (label) button.setAttribute("aria-label", label);
    button.addEventListener("click", () => {
      press();
      changed();
    });
    pad.append(button);
  };
  for (const character of ALPHABET) {
    key(character, "", () => {
      const full = field.value.length >= LENGTH; // the next one begins another tag
      field.value = full ? character : field.value + character;
    });
  }
  key("⌫", "Take the last one back", () => (field.value = field.value.slice(0, -1)));
  key("✕", "Clear", () => (field.value = ""));
  const toEnd = () => field.setSelectionRange(field.value.length, field.value.length);
  field.addEventListener("focus", () => setTimeout(toEnd)); // a keyboard goes on where keys ended
  field.addEventListener("input", () => {
    const tag = check(field, fault);
    if (tag) field.dispatchEvent(new CustomEvent("tag", { bubbles: true, detail: tag }));
  });
  fault.after(pad);
}
