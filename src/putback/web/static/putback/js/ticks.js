// Ticks of a list that nobody logs: kept in this browser for the day, and counted.

function keep(list) {
  const key = `ticks ${list.dataset.ticks}`;
  const boxes = [...list.querySelectorAll("[data-tick]")];
  const ticked = new Set(JSON.parse(sessionStorage.getItem(key) ?? "[]"));
  for (const box of boxes) box.checked ||= ticked.has(box.dataset.tick);
  const count = () => {
    const done = boxes.filter((box) => box.checked);
    sessionStorage.setItem(key, JSON.stringify(done.map((box) => box.dataset.tick)));
    list.querySelector("[data-ticked]").textContent = `${done.length} of ${boxes.length} ticked.`;
  };
  if (!boxes.length) return;
  list.addEventListener("change", count);
  count();
}

const all = () => document.querySelectorAll("[data-ticks]").forEach(keep);
document.body.addEventListener("htmx:afterSettle", all);
all();
