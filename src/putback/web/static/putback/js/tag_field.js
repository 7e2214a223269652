// Every field in which a tag is asked, marked data-tag: beside it a button that opens keypad and
// camera. What is typed is checked at the fourth character.

import { check, withKeys } from "./keypad.js";

let number = 0;

function enhance(field) {
  field.dataset.keyed = "yes";
  number += 1;
  const row = document.createElement("span");
  row.className = "tag-field";
  field.replaceWith(row);
  const button = document.createElement("button");
  button.type = "button";
  button.className = "button small";
  button.textContent = "Keys";
  button.setAttribute("aria-label", "Keys for the tag");
  const fault = document.createElement("span");
  fault.className = "wrong";
  fault.id = `tag-fault-${number}`;
  fault.setAttribute("role", "alert");
  row.append(field, button, fault);
  const described = [field.getAttribute("aria-describedby"), fault.id].filter(Boolean);
  field.setAttribute("aria-describedby", described.join(" "));
  field.addEventListener("input", () => check(field, fault));
  button.addEventListener("click", () => ask(field));
}

function ask(field) {
  const dialog = document.createElement("dialog");
  dialog.className = "ask-tag";
  dialog.setAttribute("aria-label", "Which tag");
  dialog.innerHTML = `
    <div class="camera" data-camera hidden>
      <video muted playsinline aria-label="What the camera sees" hidden></video>
      <p class="camera-said" role="status" data-camera-said>Opening the camera …</p>
      <button class="button small" type="button" aria-pressed="false" data-torch hidden>Torch</button>
    </div>
    <input class="mono keyed" aria-label="The four characters of a tag" autocomplete="off" maxlength="12">
    <p class="wrong" role="alert"></p>
    <div class="pair">
      <button class="button" type="button" data-scan>Camera</button>
      <button class="button" type="button" data-leave>Leave it</button>
    </div>`;
  document.body.append(dialog);
  const typed = dialog.querySelector("input");
  withKeys(typed, dialog.querySelector(".wrong"));
  let camera;
  const take = (tag) => {
    field.value = tag;
    field.dispatchEvent(new Event("input", { bubbles: true }));
    field.dispatchEvent(new Event("change", { bubbles: true }));
    dialog.close();
  };
  typed.addEventListener("tag", (event) => {
    event.stopPropagation();
    take(event.detail);
  });
  dialog.querySelector("[data-leave]").addEventListener("click", () => dialog.close());
  dialog.querySelector("[data-scan]").addEventListener("click", async ({ currentTarget }) => {
    currentTarget.disabled = true;
    const { openCamera, watch } = await import("./camera.js");
    const place = dialog.querySelector("[data-camera]");
    place.hidden = false;
    camera = await openCamera(place);
    if (camera && dialog.open) watch(camera, take);
    else camera?.stop();
  });
  dialog.addEventListener("close", () => {
    camera?.stop();
    dialog.remove();
    field.focus();
  });
  dialog.showModal();
}

const enhanceAll = () => document.querySelectorAll("input[data-tag]:not([data-keyed])").forEach(enhance);
enhanceAll();
new MutationObserver(enhanceAll).observe(document.body, { childList: true, subtree: true });
