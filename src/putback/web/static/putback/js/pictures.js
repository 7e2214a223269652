// Photos and sounds in a form marked data-media: each file is looked at by the server as soon as it
// is chosen, if one answers, and waits in the form until it is kept. Then one act names them all, and
// goes through the queue with their bytes. Without this script the form sends the files itself, to
// its own address. A page that builds such a form by itself asks for the same by `gather`.

import { ofThisPage } from "./log.js";
import { look } from "./media.js";

/** Lets a form gather photos and sounds. */
export function gather(form) {
  const list = form.querySelector("[data-sent]");
  const fault = form.querySelector("[data-fault]");
  const keep = form.querySelector("[data-keep]");
  const waiting = new Map(); // from the line in the list to its file and what sort it is
  let looking = 0;

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
    keep.textContent = looking ? "Looking …" : count > 1 ? `Keep ${count}` : "Keep";
    keep.disabled = looking > 0;
    form.classList.toggle("waiting", count + looking > 0);
    if (count) form.setAttribute("data-log", "");
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
    words.textContent = `${file.name || "note"}: looking …`;
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
    looking += 1;
    show();
    try {
      const { media_type, warning, note } = await look(ofThisPage().logbook, file);
      const said = warning || note;
      words.textContent = said ? `${file.name || "It"} ${said}` : file.name || "note";
      words.classList.toggle("look-again", Boolean(warning));
      if (item.isConnected) waiting.set(item, { file, media_type });
    } catch (error) {
      item.remove();
      complain(error.message);
    } finally {
      looking -= 1;
      show();
    }
  }

  form.classList.add("scripted"); // what is chosen goes at once: the fields beside it come with it
  form.querySelector("[data-choose]").textContent = "Choose photos or a sound";

  form.addEventListener("change", (event) => {
    const input = event.target;
    if (!(input instanceof HTMLInputElement) || input.type !== "file") return;
    complain("");
    const files = [...input.files];
    input.value = ""; // they go through the queue, and not with the form as well
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
    for (const { file, media_type } of waiting.values()) {
      const is_sound = media_type.startsWith("audio/");
      const say = (name, value) => value && formData.append(`${number + 1}.${name}`, value);
      say("kind", is_sound ? "sound" : "photo");
      say(is_sound ? "sound" : "photo", `media:${number}`);
      say("of[]", formData.get("of"));
      say(is_sound ? "words" : "caption", formData.get("words"));
      if (!is_sound) say("looking", formData.get("looking"));
      formData.append("media", file);
      number += 1;
    }
  });

  form.addEventListener("kept", () => {
    waiting.clear();
    list.replaceChildren();
    form.querySelector("[name=words]").value = "";
    show();
  });
}

const written = document.querySelector("form[data-media]"); // by the server
if (written) gather(written);
