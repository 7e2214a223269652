// A list whose lines are put in order: by dragging a line at its grip with finger or mouse, or by the
// buttons marked data-move. Without this script the buttons send the form, and the server moves the line.

const EDGE = 90; // so near to the edge of the screen the page goes along [px]
const PACE = 9; // so far with each frame [px]

function move(line, by) {
  const beside = by < 0 ? line.previousElementSibling : line.nextElementSibling;
  if (!beside) return;
  if (by < 0) beside.before(line);
  else beside.after(line);
}

function middle(line) {
  const { top, height } = line.getBoundingClientRect();
  return top + height / 2;
}

/** Lets the other lines make way. The line itself stays in the page: taken out, it would lose the finger. */
function makeWay(line, y) {
  let beside;
  while ((beside = line.previousElementSibling) && y < middle(beside)) line.after(beside);
  while ((beside = line.nextElementSibling) && y > middle(beside)) line.before(beside);
}

function drag(grip, begun) {
  const line = grip.closest("li");
  let y = begun.clientY;
  let frame = 0;
  const along = () => {
    if (y < EDGE) scrollBy(0, -PACE);
    if (y > innerHeight - EDGE) scrollBy(0, PACE);
    makeWay(line, y);
    frame = requestAnimationFrame(along);
  };
  const follow = (event) => (y = event.clientY);
  const end = () => {
    cancelAnimationFrame(frame);
    makeWay(line, y);
    line.classList.remove("dragged");
    grip.removeEventListener("pointermove", follow);
  };
  grip.setPointerCapture(begun.pointerId);
  line.classList.add("dragged");
  grip.addEventListener("pointermove", follow);
  grip.addEventListener("lostpointercapture", end, { once: true });
  frame = requestAnimationFrame(along);
}

for (const list of document.querySelectorAll("[data-order]")) {
  for (const grip of list.querySelectorAll("[data-grip]")) grip.hidden = false;
  list.addEventListener("click", (event) => {
    const button = event.target.closest("[data-move]");
    if (!button) return;
    event.preventDefault();
    move(button.closest("li"), Number(button.dataset.move));
    button.focus();
  });
  list.addEventListener("pointerdown", (event) => {
    const grip = event.target.closest("[data-grip]");
    if (!grip || event.button) return;
    event.preventDefault();
    drag(grip, event);
  });
}
