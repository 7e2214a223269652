// A field marked data-names that names things: what goes on from it is offered in its own list, as
// the address in data-names knows them. Without this script the name is typed whole.

const WAIT_MS = 120;

for (const field of document.querySelectorAll("[data-names]")) {
  const list = document.createElement("datalist");
  list.id = `${field.id}-names`;
  field.after(list);
  field.setAttribute("list", list.id);
  let timer;
  let asked = 0;

  const ask = async () => {
    const now = (asked += 1);
    try {
      const answer = await fetch(`${field.dataset.names}?${new URLSearchParams({ name: field.value })}`);
      const { lines } = await answer.json();
      if (now !== asked) return;
      list.replaceChildren(...(lines ?? []).map((line) => new Option("", line)));
    } catch {
      list.replaceChildren(); // without a connection nothing is offered
    }
  };

  field.addEventListener("input", () => {
    clearTimeout(timer);
    if (field.value.trim()) timer = setTimeout(ask, WAIT_MS);
  });
}
