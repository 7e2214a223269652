// The main action: its words follow what is typed below it, and typing a tag means the bag.

function follow(form) {
  const summary = form.closest("[data-deed]").querySelector("summary");
  const out = form.querySelector("[data-out]");
  const bag = form.querySelector("[data-bag]");
  const tag = summary.querySelector("[data-tag]");
  const pieces = summary.querySelector("[data-pieces]");
  if (pieces && out) {
    const most = out.dataset.most;
    pieces.dataset.all ??= pieces.textContent;
    pieces.textContent = out.value === most ? pieces.dataset.all : `${out.value} of ${most}`;
  }
  if (tag && bag && bag.value) tag.textContent = bag.value.toUpperCase();
}

document.addEventListener("input", (event) => {
  const form = event.target.closest?.("[data-deed] form");
  if (!form) return;
  if (event.target.matches("[data-bag]")) {
    form.querySelector('[name="1.all_went"][value="tag"]').checked = true;
  }
  follow(form);
});
