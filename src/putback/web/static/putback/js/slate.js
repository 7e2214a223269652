// The slate, live: a tag is shown to the camera, and each picture taken after it belongs to it. Each is
// logged as it is taken: what is on the phone when a battery dies is in the queue. Without a network
// tags are named by what the phone holds.

import { openCamera, watch } from "./camera.js";
import { heldTags, servedTags } from "./known_tags.js";
import { log, ofThisPage, say } from "./log.js";
import "./tag_field.js";

const JPEG_QUALITY = 0.9;
const under = document.querySelector("[data-under]");
const shutter = document.querySelector("[data-shutter]");
const shots = document.querySelector("[data-shots]");
const served = servedTags(); // the server gives its page to those alone who may log
const { known, may_log } = served ? { known: served, may_log: true } : await heldTags();
let tag = "";
let camera = null;

function take(code) {
  tag = code;
  const name = known.tags[tag]?.name;
  under.textContent = `Now under ${tag}${name ? `, ${name}` : ""}.`;
  show();
}

function show() {
  shutter.disabled = !tag || !camera || !may_log;
  shutter.textContent = !may_log ? "Nothing is logged here" : !camera ? "No camera" : tag ? `Photograph for ${tag}` : "Show a tag first";
}

async function picture() {
  const { video } = camera;
  const canvas = document.createElement("canvas");
  Object.assign(canvas, { width: video.videoWidth, height: video.videoHeight });
  canvas.getContext("2d").drawImage(video, 0, 0);
  return new Promise((done) => canvas.toBlob(done, "image/jpeg", JPEG_QUALITY));
}

function thumb(blob, of) {
  const item = document.createElement("li");
  const image = document.createElement("img");
  image.src = URL.createObjectURL(blob);
  image.alt = `Photograph of ${of}`;
  const words = document.createElement("span");
  words.className = "under";
  words.textContent = of;
  item.append(image, words);
  shots.prepend(item);
}

shutter.addEventListener("click", async () => {
  const of = tag;
  shutter.disabled = true; // a glove presses twice
  try {
    const blob = await picture();
    const entry = { kind: "photo", photo: "media:0", media_type: "image/jpeg", of: [`tag:${of}`] };
    const sentences = [`Photographed ${of}.`];
    const logged = await log({ ...ofThisPage(), entries: [entry], media: [blob], sentences });
    if (logged.state === "refused") throw new Error(logged.message);
    thumb(blob, of);
    say(logged);
  } catch (error) {
    under.textContent = error.message;
  } finally {
    show();
  }
});

const typed = document.getElementById("slate-tag");
const hear = () => typed.value.length === 4 && !typed.hasAttribute("aria-invalid") && take(typed.value);
typed.addEventListener("input", hear);
if (typed.value) hear(); // typed while the page was still finding out what this phone holds

camera = await openCamera(document.querySelector("[data-camera]"));
show();
if (camera) {
  const several = () => (under.textContent = "Two tags are in the picture: show one.");
  watch(camera, take, several);
}
