// The main action: its words follow what is typed below it, and typing a tag means the bag. While
// somebody answers what it asks, nothing takes the form away from under their hands.

function follow(form) {
  const words = form.closest("[data-deed]").querySelector("summary");
  const out = form.querySelector("[data-out]");
  const bag = form.querySelector("[data-bag]");
  const tag = words?.querySelector("[data-tag]");
  const pieces = words?.querySelector("[data-pieces]");
  if (pieces && out) {
    pieces.dataset.all ??= pieces.textContent;
    const all = out.value === out.dataset.most;
    pieces.textContent = all ? pieces.dataset.all : `${out.value} of ${out.dataset.most}`;
  }
  if (tag && bag?.value) tag.textContent = bag.value.toUpperCase();
}

document.addEventListener("input", (event) => {
  const form = event.target.closest?.("[data-deed] form");
  if (!form) return;
  if (event.target.matches("[data-bag]")) {
    form.querySelector('[name="1.all_went"][value="tag"]').checked = true;
  }
  follow(form);
});

document.addEventListener("htmx:beforeRequest", (event) => {
  const isLogged = event.detail.requestConfig.triggeringEvent?.type === "logged";
  if (!isLogged && document.querySelector("details[data-deed][open]")) event.preventDefault();
});
