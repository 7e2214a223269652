// Lines to say what was done: what goes on from the last is offered as buttons below. Whatever
// understands more is asked at the same addresses, so nothing here knows how a line is read.

const WAIT_MS = 120;

for (const form of document.querySelectorAll("[data-say]")) {
  const field = form.querySelector("[data-line]");
  const offers = form.querySelector("[data-offers]");
  let timer;
  let asked = 0;
  const last = () => field.value.split("\n").at(-1);

  const offer = (lines) => {
    offers.replaceChildren(
      ...lines.map((line) => {
        const button = document.createElement("button");
        button.type = "button";
        button.className = "button small";
        button.textContent = line;
        button.addEventListener("click", () => {
          field.value = `${field.value.slice(0, field.value.length - last().length)}${line} `;
          field.focus();
          field.dispatchEvent(new Event("input", { bubbles: true }));
        });
        return button;
      }),
    );
  };

  const ask = async () => {
    const now = (asked += 1);
    try {
      const answer = await fetch(`${form.dataset.say}?${new URLSearchParams({ line: last() })}`);
      const { lines } = await answer.json();
      if (now === asked) offer((lines ?? []).filter((line) => line !== last().trim()).slice(0, 6));
    } catch {
      offer([]); // without a connection the line can be typed all the same
    }
  };

  field.addEventListener("input", () => {
    clearTimeout(timer);
    timer = setTimeout(ask, WAIT_MS);
  });
  form.addEventListener("change", (event) => {
    if (event.target.name === "new") field.dispatchEvent(new Event("input", { bubbles: true }));
  });
}
