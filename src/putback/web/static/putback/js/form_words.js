// What a form says, in words: the sentence under which its act is queued while no server has said it,
// and what the server has against it, beside the field and by the field's own label.

import { numbersOf } from "./fields.js";

const tidy = (words) => (words ?? "").replace(/\s+/g, " ").trim();
const IT_LOGS = /^((log|keep|save) it(, and )?|keep( \d+)?$)/i; // of a button's words, what tells nothing of the deed
const NUMBERED = /^(\d+)(?:-(\d+))?\./;

/** The words by which a field goes on the page; empty if it has none. */
function labelOf(field) {
  const label = field.labels?.[0]?.textContent || field.getAttribute("aria-label");
  return tidy(label).replace(/[:?…]$/, "");
}

const isTyped = (field) => field.matches("input:not([type]), [type=text], [type=date], [type=number], textarea, select");
const isTicked = (field) => field.matches("[type=checkbox]:checked, [type=radio]:checked");

/** Whether a field belongs to one of these entries. */
function isOf(field, numbers) {
  const [, first, last = first] = NUMBERED.exec(field.name) ?? [];
  return numbers.some((number) => number >= Number(first) && number <= Number(last));
}

/** What an act is called until the server says it: what it is about, what was done, each field. */
export function sentenceOf(form, button, files) {
  const numbers = numbersOf(new FormData(form, button));
  const fields = [...form.elements].filter((each) => isOf(each, numbers) && each.type !== "hidden");
  const typed = fields.filter((each) => isTyped(each) && each.value && each.value !== "0");
  const ticked = fields.filter((each) => {
    const number = each.name.split(".")[0];
    const is_told = each.name.endsWith(".kind") && typed.some(({ name }) => name.startsWith(`${number}.`));
    return isTicked(each) && each.value && !is_told;
  });
  const said = fields.filter((each) => typed.includes(each) || ticked.includes(each)).map(told);
  const photos = files ? [`${files} ${files === 1 ? "photo or sound" : "photos or sounds"}`] : [];
  const summary = form.closest("details")?.querySelector("summary");
  const deed = tidy(summary?.textContent) || tidy(button?.textContent);
  const [about, rest] = [aboutOf(form), deed.replace(IT_LOGS, "")];
  const head = about && rest !== deed ? about : [about, deed].filter(Boolean).join(": ");
  const details = [...photos, ...said, about && rest !== deed && rest].filter(Boolean);
  return `${[head, details.join("; ")].filter(Boolean).join(". ")}.`;
}

/** A field as a person reads it: "Sheared: 2", or the words beside a tick. */
function told(field) {
  const label = labelOf(field);
  if (field.type === "checkbox") return label;
  if (field.type === "radio") {
    const legend = tidy(field.closest("fieldset")?.querySelector("legend")?.textContent);
    return [legend, label].filter(Boolean).join(": ");
  }
  const value = field.matches("select") ? tidy(field.selectedOptions[0]?.textContent) : tidy(field.value);
  return label ? `${label}: ${value}` : value;
}

/** What a form is about: its own title, the line of a list in which it stands (of one with a name that, and not what else it tells), or the page's title. */
function aboutOf(form) {
  const own = tidy(form.querySelector("h2, h3")?.textContent);
  const line = form.closest("li")?.cloneNode(true);
  for (const each of line?.querySelectorAll("form, details, button, script") ?? []) each.remove();
  const name = line?.querySelector("b") ?? line;
  return own || tidy(name?.textContent).slice(0, 160) || tidy(document.querySelector("main h2")?.textContent);
}

// -- what is wrong with it -----------------------------------------------------------------------

const FIELD = /^([a-z_]+)(?=: | is missing| fehlt)/; // how a fault of one field begins

/** A fault in plain words, its field by the name that `label` gives; where it was is not said. */
export function faultWords({ told, ...reason }, label = (name) => name.replaceAll("_", " ")) {
  const { fault, remedy, message } = told ?? reason;
  if (!fault) return message;
  const words = fault.replace(FIELD, label);
  const mend = (remedy ?? "").replace(/(; )?(nothing was saved|nichts wurde gespeichert)$/, "");
  return `${words[0].toUpperCase()}${words.slice(1)}${mend && `; ${mend}`}.`;
}

/** Shows a fault in the form that said it, beside its field where one is meant, and goes there. */
export function showFault(form, button, reason) {
  clearFault(form);
  const field = faultyField(form, button, reason);
  const line = document.createElement("p");
  line.className = "wrong";
  line.id = `fault-${Date.now()}`;
  line.dataset.wrong = "";
  line.setAttribute("role", "alert");
  line.textContent = `Not logged. ${faultWords(reason, (name) => (field && labelOf(field)) || name.replaceAll("_", " "))}`;
  if (!field) return void (button ?? form.lastElementChild).before(line);
  (field.closest(".stepper") ?? field).after(line);
  field.setAttribute("aria-invalid", "true");
  field.dataset.described = field.getAttribute("aria-describedby") ?? "";
  field.setAttribute("aria-describedby", `${line.id} ${field.dataset.described}`.trim());
  field.focus();
}

/** Takes away what was wrong before. */
export function clearFault(form) {
  for (const each of form.querySelectorAll("[data-wrong]")) each.remove();
  for (const field of form.querySelectorAll("[data-described]")) {
    field.removeAttribute("aria-invalid");
    if (field.dataset.described) field.setAttribute("aria-describedby", field.dataset.described);
    else field.removeAttribute("aria-describedby");
    delete field.dataset.described;
  }
}

/** The field that a fault names, or that of its entry, with a value, which it speaks of first. */
function faultyField(form, button, { fault, place }) {
  const at = /entry (\d+)/.exec(place ?? "")?.[1];
  const number = numbersOf(new FormData(form, button))[at - 1];
  if (number === undefined) return undefined;
  const fields = [...form.elements].filter((each) => isOf(each, [number]) && isTyped(each));
  const path = (each) => each.name.split(".").at(-1).replace("[]", "");
  const named = FIELD.exec(fault)?.[1];
  const words = fault.toLowerCase().split(/[^a-z_]+/);
  const meant = fields.filter((each) => words.includes(path(each)) && each.value && each.value !== "0");
  meant.sort((one, other) => words.indexOf(path(one)) - words.indexOf(path(other)));
  return fields.find((each) => path(each) === named) ?? meant[0];
}
