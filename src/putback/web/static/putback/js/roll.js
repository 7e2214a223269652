// A camera roll: each picture is looked at by the server and searched for tags here; the server cuts
// the roll, and the result is put right by taps before one act keeps it.

import { ofThisPage } from "./log.js";
import { look } from "./media.js";
import { openReader } from "./reader.js";
import { readTag } from "./tag.js";

const form = document.querySelector("[data-roll]");
const input = form.querySelector("input[type=file]");
const progress = form.querySelector("[data-progress]");
const fault = form.querySelector("[data-fault]");
const place = document.getElementById("cut");
const known = JSON.parse(document.getElementById("known").textContent);
const pictures = new Map(); // from a picture's digest to where the browser shows it from

input.addEventListener("change", async () => {
  const files = [...input.files];
  fault.textContent = "";
  place.replaceChildren();
  if (!files.length) return;
  if (files.length > Number(form.dataset.most)) {
    fault.textContent = `These are ${files.length}; choose ${form.dataset.most} at once.`;
    return;
  }
  input.disabled = true;
  try {
    await cut(await lookedAt(files));
    progress.textContent = "";
  } catch (error) {
    fault.textContent = error.message;
  } finally {
    input.disabled = false;
    input.value = "";
  }
});

async function lookedAt(files) {
  const reader = await openReader();
  const said = new FormData(form);
  let unseen = 0;
  for (const [at, file] of files.entries()) {
    progress.textContent = `Looking for tags: ${at + 1} of ${files.length}`;
    const { photo, media_type } = await look(ofThisPage().logbook, file);
    pictures.set(photo, URL.createObjectURL(file));
    let tags = [];
    try {
      tags = await reader.read(file);
    } catch {
      unseen += 1; // a format that this browser does not show
    }
    said.append("photo", photo);
    said.append("name", file.name);
    said.append("media_type", media_type);
    said.append("tags", tags.join(" "));
  }
  if (unseen) fault.textContent = `This browser cannot look for tags in ${unseen} of them.`;
  return said;
}

async function cut(said) {
  let answer;
  try {
    answer = await fetch(form.action, { method: "POST", body: said, headers: { "HX-Request": "true" } });
  } catch {
    throw new Error("The server does not answer. A roll is cut with a network; nothing was saved.");
  }
  const text = await answer.text();
  const page = new DOMParser().parseFromString(text, "text/html");
  if (!answer.ok) throw new Error(page.body.textContent.replace(/\s+/g, " ").trim());
  place.replaceChildren(...page.body.childNodes);
  for (const image of place.querySelectorAll("img[data-photo]")) image.src = pictures.get(image.dataset.photo);
  place.querySelector("form").scrollIntoView();
}

// -- put right before it is kept -----------------------------------------------------------------

const groups = () => [...place.querySelectorAll("[data-group]")];

function count() {
  let kept = 0;
  for (const group of groups()) {
    const many = group.querySelectorAll("[data-shot]").length;
    group.querySelector("[data-count]").textContent = many;
    if (group.dataset.group !== "-") kept += many;
  }
  const accept = place.querySelector("[data-accept]");
  accept.textContent = `Keep ${kept}`;
  accept.disabled = !kept;
}

function picked() {
  return [...place.querySelectorAll("[data-pick]:checked")].map((box) => box.closest("[data-shot]"));
}

function offer() {
  const any = picked().length > 0;
  for (const button of place.querySelectorAll("[data-here]")) button.hidden = !any;
}

function move(into) {
  const tag = into.dataset.group;
  for (const shot of picked()) {
    into.querySelector("ul").append(shot);
    shot.querySelector("[data-pick]").checked = false;
    for (const field of shot.querySelectorAll("input[type=hidden]")) field.disabled = tag === "-";
    shot.querySelector("[data-of]").value = tag && tag !== "-" ? `tag:${tag}` : "";
  }
  offer();
  count();
}

function groupOf(tag) {
  const there = groups().find((group) => group.dataset.group === tag);
  if (there) return there;
  const last = groups().at(-1);
  const made = last.cloneNode(true);
  made.dataset.group = tag;
  made.setAttribute("aria-label", tag);
  made.querySelector("ul").replaceChildren();
  const code = document.createElement("span");
  code.className = "tag";
  code.textContent = tag;
  made.querySelector("h4").firstChild.replaceWith(code, ` ${known.tags[tag]?.name ?? "on nothing yet"} `);
  last.before(made);
  return made;
}

place.addEventListener("change", (event) => {
  if (event.target.matches("[data-pick]")) offer();
});
place.addEventListener("click", (event) => {
  const button = event.target.closest("[data-here]");
  if (button) move(button.closest("[data-group]"));
});
place.addEventListener("input", (event) => {
  if (!event.target.matches("[data-other]") || event.target.value.length !== 4) return;
  try {
    groupOf(readTag(event.target.value));
    event.target.value = "";
    offer();
    count();
  } catch {
    // the field itself says what is wrong
  }
});
place.addEventListener("kept", () => place.replaceChildren());
