// A list whose lines are put in order: by dragging, or by the buttons marked data-move. Without this
// script the buttons send the form, and the server moves the line.

function move(line, by) {
  const beside = by < 0 ? line.previousElementSibling : line.nextElementSibling;
  if (!beside) return;
  if (by < 0) beside.before(line);
  else beside.after(line);
}

for (const list of document.querySelectorAll("[data-order]")) {
  let dragged = null;
  list.addEventListener("click", (event) => {
    const button = event.target.closest("[data-move]");
    if (!button) return;
    event.preventDefault();
    move(button.closest("li"), Number(button.dataset.move));
    button.focus();
  });
  list.addEventListener("dragstart", (event) => {
    dragged = event.target.closest("li");
    event.dataTransfer.effectAllowed = "move";
  });
  list.addEventListener("dragover", (event) => {
    const over = event.target.closest("li");
    if (!dragged || !over || over === dragged) return;
    event.preventDefault();
    const { top, height } = over.getBoundingClientRect();
    if (event.clientY < top + height / 2) over.before(dragged);
    else over.after(dragged);
  });
  list.addEventListener("dragend", () => (dragged = null));
}
