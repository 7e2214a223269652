// A count with a big plus and minus beside it: data-stepper around the field, data-step on the
// buttons, data-most on the field where it has an upper end. Two fields that bear data-share share
// that many: what one takes, the other gives. What bears data-among is among what the first of them
// counts: it takes that along.

document.addEventListener("click", (event) => {
  const button = event.target.closest?.("[data-stepper] [data-step]");
  if (!button) return;
  const field = button.closest("[data-stepper]").querySelector("input");
  const most = field.dataset.most === undefined ? Infinity : Number(field.dataset.most);
  const now = Number(field.value) || 0;
  field.value = String(Math.min(most, Math.max(0, now + Number(button.dataset.step))));
  field.dispatchEvent(new Event("input", { bubbles: true }));
});

const count = (field) => Number(field.value) || 0;

function agree(form, said) {
  const [first, second] = form.querySelectorAll("[data-share]");
  if (!second) return;
  const among = [...form.querySelectorAll("[data-among]")];
  const broken = () => among.reduce((sum, each) => sum + count(each), 0);
  const most = Number(first.dataset.most);
  if (among.includes(said)) {
    said.value = String(Math.max(0, Math.min(count(said), most - (broken() - count(said)))));
    first.value = String(Math.max(count(first), broken()));
  }
  const [kept, gives] = said === second ? [second, first] : [first, second];
  gives.value = String(Math.max(0, Math.min(count(gives), most - count(kept))));
  for (const each of among) {
    const over = broken() - count(first);
    if (over > 0) each.value = String(Math.max(0, count(each) - over));
  }
}

document.addEventListener("input", ({ target }) => {
  const is_ours = target.matches?.("[data-share], [data-among]");
  if (is_ours && target.value.trim()) agree(target.form, target); // an empty one is being typed
});
