// A count with a big plus and minus beside it: data-stepper around the field, data-step on the
// buttons, data-most on the field where it has an upper end.

document.addEventListener("click", (event) => {
  const button = event.target.closest?.("[data-stepper] [data-step]");
  if (!button) return;
  const field = button.closest("[data-stepper]").querySelector("input");
  const most = field.dataset.most === undefined ? Infinity : Number(field.dataset.most);
  const now = Number(field.value) || 0;
  field.value = String(Math.min(most, Math.max(0, now + Number(button.dataset.step))));
  field.dispatchEvent(new Event("input", { bubbles: true }));
});
