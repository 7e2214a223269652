// Building a page from its templates: words of data are set as text, and never read as markup.

/** Gives a copy of what stands in a template of the page, its first element. */
export const copy = (id) => document.getElementById(id).content.cloneNode(true).firstElementChild;

/** Finds within, the thing itself included. */
export const one = (within, selector) => (within.matches(selector) ? within : within.querySelector(selector));

/** Sets words, and hides what has none. */
export function put(within, selector, words) {
  const found = one(within, selector);
  found.textContent = words ?? "";
  found.hidden = !words;
  return found;
}

/** Makes an element with a text, or with others within. */
export function element(name, within = [], facts = {}) {
  const made = Object.assign(document.createElement(name), facts);
  made.append(...[within].flat());
  return made;
}

/** Begins with a capital and ends with a full stop. */
export function sentence(words) {
  const text = words.trim();
  return text && `${text[0].toUpperCase()}${text.slice(1)}${/[.?!:]$/.test(text) ? "" : "."}`;
}

const MONTHS = ["Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"];

/** A moment as the pages write it, by the clock of this phone: "28 Nov 2026, 23:09". */
export function moment(ms) {
  const when = new Date(ms);
  const [hour, minute] = [when.getHours(), when.getMinutes()].map((each) => String(each).padStart(2, "0"));
  return `${when.getDate()} ${MONTHS[when.getMonth()]} ${when.getFullYear()}, ${hour}:${minute}`;
}

let counted = 0;

/** Ties a label to its field. */
export function tie(label, field) {
  field.id ||= `field-${(counted += 1)}`;
  label.htmlFor = field.id;
}
