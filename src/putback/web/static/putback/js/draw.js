// Drawing on a copy of a photo: an arrow, a ring, a word. What is drawn is kept as a photo of its own
// that names the one it was drawn on. By finger, by mouse, or by keys: the arrows move, Enter sets the
// beginning and then the end.

import { log, ofThisPage } from "./log.js";

const easel = document.querySelector("[data-easel]");
const image = easel.querySelector("img");
const STEP = 0.04; // of the width, for one press of an arrow key

const button = (words, then, look = "button") => {
  const made = document.createElement("button");
  made.type = "button";
  made.className = look;
  made.textContent = words;
  made.addEventListener("click", then);
  return made;
};

const WARN = "#a83510"; // the same on every screen: a photo has no dark side
const GROUND = "#fffdf7";

const marks = [];
let tool = "arrow";
let from; // where the mark that is being drawn begins
let at = { x: 0.5, y: 0.5 }; // where finger or keys are, as shares of width and height
let canvas;
let pen;

/** Draws the photo and all marks on it; sizes are shares of the width, so that all screens agree. */
function paint() {
  const { width, height } = canvas;
  pen.drawImage(image, 0, 0, width, height);
  const drawn = from ? [...marks, { tool, from, to: at }] : marks;
  for (const [colour, line] of [[GROUND, 0.014], [WARN, 0.008]]) {
    pen.strokeStyle = pen.fillStyle = colour;
    pen.lineWidth = line * width;
    pen.lineCap = pen.lineJoin = "round";
    for (const mark of drawn) draw(mark, width, height);
  }
  if (document.activeElement === canvas) cross(width, height);
}

function draw({ tool: kind, from: a, to: b, text }, width, height) {
  const [x1, y1, x2, y2] = [a.x * width, a.y * height, b.x * width, b.y * height];
  pen.beginPath();
  if (kind === "ring") {
    pen.ellipse((x1 + x2) / 2, (y1 + y2) / 2, Math.abs(x2 - x1) / 2, Math.abs(y2 - y1) / 2, 0, 0, 7);
    pen.stroke();
  } else if (kind === "arrow") {
    const way = Math.atan2(y2 - y1, x2 - x1);
    const head = 0.04 * width;
    pen.moveTo(x1, y1);
    pen.lineTo(x2, y2);
    for (const side of [-0.5, 0.5]) {
      pen.moveTo(x2, y2);
      pen.lineTo(x2 - head * Math.cos(way + side), y2 - head * Math.sin(way + side));
    }
    pen.stroke();
  } else if (text) {
    pen.font = `bold ${Math.round(0.05 * width)}px sans-serif`;
    pen.textBaseline = "middle";
    if (pen.lineWidth > 0.01 * width) pen.strokeText(text, x1, y1);
    else pen.fillText(text, x1, y1);
  }
}

function cross(width, height) {
  pen.strokeStyle = WARN;
  pen.lineWidth = 2;
  pen.beginPath();
  pen.moveTo((at.x - 0.02) * width, at.y * height);
  pen.lineTo((at.x + 0.02) * width, at.y * height);
  pen.moveTo(at.x * width, at.y * height - 0.02 * width);
  pen.lineTo(at.x * width, at.y * height + 0.02 * width);
  pen.stroke();
}

function begin() {
  if (tool === "word") {
    const text = words.value.trim();
    if (text) marks.push({ tool, from: at, to: at, text });
    else words.focus();
  } else from = at;
  paint();
}

function end() {
  if (from && (from.x !== at.x || from.y !== at.y)) marks.push({ tool, from, to: at });
  from = undefined;
  paint();
}

function where(event) {
  const box = canvas.getBoundingClientRect();
  const share = (value, length) => Math.min(1, Math.max(0, value / length));
  return { x: share(event.clientX - box.left, box.width), y: share(event.clientY - box.top, box.height) };
}

function onKey(event) {
  const moves = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] };
  if (event.key in moves) {
    const [x, y] = moves[event.key];
    const clip = (value) => Math.min(1, Math.max(0, value));
    at = { x: clip(at.x + x * STEP), y: clip(at.y + (y * STEP * canvas.width) / canvas.height) };
    paint();
  } else if (event.key === "Enter") {
    if (from) end();
    else begin();
  } else return;
  event.preventDefault();
}

const words = document.createElement("input");
words.setAttribute("aria-label", "The word to write");
words.placeholder = "what to write, then tap where";
words.maxLength = 40;
words.hidden = true;

function choose(kind, chosen) {
  tool = kind;
  words.hidden = kind !== "word";
  for (const each of tools.querySelectorAll("[aria-pressed]")) {
    each.setAttribute("aria-pressed", String(each === chosen));
  }
  if (kind === "word") words.focus();
}

const tools = document.createElement("div");
tools.className = "tools";
const said = document.createElement("p");
said.className = "wrong wide";
said.setAttribute("role", "alert");

async function open() {
  opener.disabled = true; // until the photo is there: of one that is still coming nothing is drawn
  try {
    await image.decode();
  } catch {
    return; // it did not come, and its words stand there instead
  } finally {
    opener.disabled = false;
  }
  canvas = document.createElement("canvas");
  canvas.width = image.naturalWidth;
  canvas.height = image.naturalHeight;
  canvas.tabIndex = 0;
  canvas.setAttribute("role", "application");
  canvas.setAttribute("aria-label", `Draw on: ${image.alt}. Arrows move, Enter begins and ends.`);
  pen = canvas.getContext("2d");
  canvas.addEventListener("pointerdown", (event) => {
    canvas.setPointerCapture(event.pointerId);
    at = where(event);
    begin();
  });
  canvas.addEventListener("pointermove", (event) => {
    if (!from) return;
    at = where(event);
    paint();
  });
  canvas.addEventListener("pointerup", end);
  canvas.addEventListener("keydown", onKey);
  canvas.addEventListener("focus", paint);
  image.hidden = true;
  opener.remove();
  const kinds = [["arrow", "Arrow"], ["ring", "Ring"], ["word", "Word"]].map(([kind, name]) => {
    const made = button(name, () => choose(kind, made));
    made.setAttribute("aria-pressed", String(kind === tool));
    return made;
  });
  const back = () => {
    marks.pop();
    paint();
  };
  words.className = "wide";
  const keeper = button("Keep the drawing", () => keep(keeper), "button go wide");
  tools.append(...kinds, words, said, button("Back one", back), button("Leave it", close), keeper);
  easel.append(canvas, tools);
  paint();
  canvas.focus();
}

function close() {
  marks.length = 0;
  image.hidden = false;
  canvas.remove();
  tools.replaceChildren();
  tools.remove();
  easel.append(opener);
}

async function keep(keeper) {
  keeper.disabled = true;
  canvas.blur();
  try {
    paint();
    const blob = await new Promise((done) => canvas.toBlob(done, "image/jpeg", 0.9));
    const of = Object.keys(easel.dataset).filter((name) => /^of-?\d+$/.test(name));
    const logged = await log({
      ...ofThisPage(),
      media: [new File([blob], "drawing", { type: blob.type })],
      sentences: [`Drew on a copy of: ${image.alt}`],
      entries: [{
        kind: "photo",
        photo: "media:0",
        drawn_on: easel.dataset.photo,
        of: of.map((name) => easel.dataset[name]),
        ...(easel.dataset.looking && { looking: easel.dataset.looking }),
      }],
    });
    if (logged.state === "refused") throw new Error(logged.message);
    if (logged.state === "sent") location.assign(easel.dataset.then.replace("PHOTO", logged.photos[0]));
    else said.textContent = "Queued on this phone: it is sent when the server answers.";
  } catch (error) {
    said.textContent = error.message;
    keeper.disabled = false;
  }
}

const opener = button("Draw on a copy", open);
easel.append(opener);
