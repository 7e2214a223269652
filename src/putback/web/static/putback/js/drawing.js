// A drawing that comes closer: two fingers or the buttons zoom, one finger or the mouse moves it once
// it is closer, and the arrow keys walk from part to part. Without this script it is drawn whole, and
// every part in it is a link.

const MOST = 8; // times as large
const A_DRAG = 8; // px: less is a tap

for (const figure of document.querySelectorAll("[data-drawing]")) drawn(figure);

function drawn(figure) {
  const svg = figure.querySelector("svg");
  const whole = svg.viewBox.baseVal;
  const all = { x: whole.x, y: whole.y, width: whole.width, height: whole.height };
  let box = { ...all };
  const fingers = new Map();
  let moved = 0;

  function show() {
    svg.setAttribute("viewBox", `${box.x} ${box.y} ${box.width} ${box.height}`);
    svg.classList.toggle("closer", box.width < all.width * 0.99);
  }

  function place(x, y) {
    const most = (value, from, length, own) => Math.min(Math.max(value, from), from + length - own);
    box.x = most(x, all.x, all.width, box.width);
    box.y = most(y, all.y, all.height, box.height);
    show();
  }

  /** Makes it so many times larger around a point of the drawing. */
  function zoom(times, at) {
    const width = Math.min(all.width, Math.max(all.width / MOST, box.width / times));
    const share = { x: (at.x - box.x) / box.width, y: (at.y - box.y) / box.height };
    box = { ...box, width, height: (width * all.height) / all.width };
    place(at.x - share.x * box.width, at.y - share.y * box.height);
  }

  const middle = () => ({ x: box.x + box.width / 2, y: box.y + box.height / 2 });

  function point({ clientX, clientY }) {
    const on = svg.getBoundingClientRect();
    return {
      x: box.x + ((clientX - on.left) / on.width) * box.width,
      y: box.y + ((clientY - on.top) / on.height) * box.height,
    };
  }

  svg.addEventListener("pointerdown", (event) => {
    fingers.set(event.pointerId, event);
    if (fingers.size === 1) moved = 0;
  });

  svg.addEventListener("pointermove", (event) => {
    const before = fingers.get(event.pointerId);
    if (!before) return;
    const others = [...fingers.values()].filter((each) => each.pointerId !== event.pointerId);
    const [from, to] = [point(before), point(event)];
    moved += Math.hypot(event.clientX - before.clientX, event.clientY - before.clientY);
    if (others.length === 1) {
      const [other] = others;
      const far = (one) => Math.hypot(one.clientX - other.clientX, one.clientY - other.clientY);
      if (far(before) > 1) zoom(far(event) / far(before), point(other));
    } else if (!others.length && svg.classList.contains("closer") && moved > A_DRAG) {
      place(box.x + from.x - to.x, box.y + from.y - to.y);
    }
    fingers.set(event.pointerId, event);
  });

  for (const end of ["pointerup", "pointercancel", "pointerleave"]) {
    svg.addEventListener(end, (event) => fingers.delete(event.pointerId));
  }

  // A drag is no tap on the part that it ends on; a key is no drag.
  svg.addEventListener("click", (event) => {
    if (event.detail && moved > A_DRAG) event.preventDefault();
  }, true);
  svg.addEventListener("dragstart", (event) => event.preventDefault());

  svg.addEventListener("wheel", (event) => {
    if (!event.ctrlKey) return; // the page is scrolled by it
    event.preventDefault();
    zoom(event.deltaY < 0 ? 1.25 : 0.8, point(event));
  }, { passive: false });

  const buttons = figure.querySelector("[data-zoom]");
  buttons.hidden = false;
  buttons.addEventListener("click", (event) => {
    const by = event.target.closest("[data-by]")?.dataset.by;
    if (by === undefined) return;
    if (by === "0") {
      box = { ...all };
      show();
    } else zoom(Number(by), middle());
  });

  // One stop for the tabulator, and from there part by part, from the front to the rear.
  const parts = [...svg.querySelectorAll("a")];
  const at = (part) => part.getBBox().x + part.getBBox().width / 2;
  parts.sort((one, other) => at(one) - at(other));
  const only = (part) => parts.forEach((each) => each.setAttribute("tabindex", each === part ? 0 : -1));
  if (parts.length) only(parts[0]);
  // Heard on the figure: a browser makes an svg that listens for the focus a stop of its own.
  figure.addEventListener("focusin", ({ target }) => {
    if (parts.includes(target)) only(target);
  });
  svg.addEventListener("keydown", (event) => {
    const step = { ArrowRight: 1, ArrowDown: 1, ArrowLeft: -1, ArrowUp: -1 }[event.key];
    const here = parts.indexOf(document.activeElement);
    if (!step || here < 0) return;
    event.preventDefault();
    const next = parts[(here + step + parts.length) % parts.length];
    next.focus();
    const on = next.getBBox();
    if (box.width < all.width) {
      place(on.x + on.width / 2 - box.width / 2, on.y + on.height / 2 - box.height / 2);
    }
  });
}
