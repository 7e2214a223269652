// What is typed in one form stays when another is logged and the piece of the page around both is
// shown anew: it is put into the form that asks the same of the same thing. What was logged is not.

import { isChanged } from "./changed.js";

const FIELDS = "input:not([type=hidden], [type=file], [data-tick]), select, textarea";
const OF_ALL = new Set(["csrfmiddlewaretoken", "next", "once"]); // hidden in many forms, and says nothing of what is asked

const logged = new WeakSet();
let left = [];

/** What a form asks, and of what. */
function asks(form) {
  const hidden = [...form.querySelectorAll("input[type=hidden]")].filter(({ name }) => !OF_ALL.has(name));
  return [form.getAttribute("action"), ...hidden.map(({ name, value }) => `${name}=${value}`)].join(" ");
}

function typedIn(form) {
  const changed = [...form.querySelectorAll(FIELDS)].filter(isChanged);
  return changed.map(({ name, type, value, checked }) => ({ name, type, value, checked }));
}

function put(form, { name, type, value, checked }) {
  const is_mark = type === "checkbox" || type === "radio";
  const field = [...form.querySelectorAll(FIELDS)].find((each) => each.name === name && (!is_mark || each.value === value));
  if (!field) return;
  if (is_mark) field.checked = checked;
  else field.value = value;
  for (let at = field.closest("details"); at; at = at.parentElement.closest("details")) at.open = true;
}

document.addEventListener("kept", ({ target }) => logged.add(target));

document.addEventListener("htmx:beforeSwap", ({ detail: { target, shouldSwap } }) => {
  const forms = shouldSwap ? [...target.querySelectorAll("form")].filter((form) => !logged.has(form)) : [];
  left = forms.map((form) => ({ what: asks(form), fields: typedIn(form) })).filter(({ fields }) => fields.length);
});

document.addEventListener("htmx:afterSwap", () => {
  for (const { what, fields } of left) {
    const form = [...document.forms].find((each) => asks(each) === what);
    if (form) for (const each of fields) put(form, each);
  }
  left = [];
});
