// Photos and sounds in a form marked data-media: each file goes to the API as soon as it is chosen,
// is looked at there, and waits in the form until it is kept. Then one act names them all. Without
// this script the form sends the files itself, to its own address.

import { send } from "./media.js";

const form = document.querySelector("form[data-media]");
const list = form.querySelector("[data-sent]");
const fault = form.querySelector("[data-fault]");
const keep = form.querySelector("[data-keep]");
const waiting = new Map(); // from the line in the list to what the API said of the file
let sending = 0;

function complain(words) {
  fault.textContent = words && !words.endsWith(".") ? `${words}.` : words;
  fault.hidden = !words;
  for (const input of form.querySelectorAll("input[type=file]")) {
    if (words) input.setAttribute("aria-invalid", "true");
    else input.removeAttribute("aria-invalid");
    input.setAttribute("aria-describedby", fault.id);
  }
}

function show() {
  const count = waiting.size;
  keep.textContent = sending ? "Sending …" : count > 1 ? `Keep ${count}` : "Keep";
  keep.disabled = sending > 0;
  form.classList.toggle("waiting", count + sending > 0);
  if (count) form.setAttribute("data-log", form.dataset.acts);
  else form.removeAttribute("data-log");
}

function line(file) {
  const item = document.createElement("li");
  const picture = document.createElement(file.type.startsWith("audio/") ? "span" : "img");
  if (picture instanceof HTMLImageElement) {
    picture.alt = "";
    picture.src = URL.createObjectURL(file);
  }
  const words = document.createElement("span");
  words.textContent = `${file.name || "note"}: sending …`;
  const leave = document.createElement("button");
  leave.type = "button";
  leave.className = "button small";
  leave.textContent = "Leave out";
  leave.addEventListener("click", () => {
    waiting.delete(item);
    item.remove();
    show();
  });
  item.append(picture, words, leave);
  list.append(item);
  return [item, words];
}

async function take(file) {
  const [item, words] = line(file);
  sending += 1;
  show();
  try {
    const kept = await send(form.dataset.media, file);
    words.textContent = kept.warning ? `${file.name || "It"} ${kept.warning}` : file.name || "note";
    words.classList.toggle("look-again", Boolean(kept.warning));
    if (item.isConnected) waiting.set(item, kept);
  } catch (error) {
    item.remove();
    complain(error.message);
  } finally {
    sending -= 1;
    show();
  }
}

form.classList.add("scripted"); // what is chosen goes at once: the fields beside it come with it
document.querySelector("label[for=files]").textContent = "Choose photos or a sound";

form.addEventListener("change", (event) => {
  const input = event.target;
  if (!(input instanceof HTMLInputElement) || input.type !== "file") return;
  complain("");
  const files = [...input.files];
  input.value = ""; // they are sent already, and are not sent again with the form
  files.forEach(take);
});

form.addEventListener("media", (event) => take(event.detail));

form.addEventListener("submit", (event) => {
  if (waiting.size) return;
  event.preventDefault();
  complain("Choose a photo first, or take one.");
});

form.addEventListener("formdata", ({ formData }) => {
  let number = 0;
  for (const kept of waiting.values()) {
    number += 1;
    const is_sound = kept.media_type.startsWith("audio/");
    const say = (name, value) => value && formData.append(`${number}.${name}`, value);
    say("kind", is_sound ? "sound" : "photo");
    say(is_sound ? "sound" : "photo", kept.photo);
    say("media_type", kept.media_type);
    say("of[]", formData.get("of"));
    say(is_sound ? "words" : "caption", formData.get("words"));
    if (!is_sound) say("looking", formData.get("looking"));
  }
});

document.body.addEventListener("logged", () => {
  waiting.clear();
  list.replaceChildren();
  form.querySelector("[name=words]").value = "";
  show();
});
