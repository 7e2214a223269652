// A field marked data-things, in which a thing is typed by its name: what is sent is the thing that the
// list of the page offers under that name. Without this script the server finds it by what was typed.

const folded = (text) => text.trim().toLowerCase();

for (const field of document.querySelectorAll("input[data-things]")) {
  const options = [...field.list.options];
  const begun = { name: folded(field.value), subject: field.dataset.subject };
  const meant = () => {
    const typed = folded(field.value);
    if (typed === begun.name && begun.subject) return begun.subject;
    const is_it = ({ value, dataset: { subject } }) =>
      folded(value) === typed || folded(subject.split(":")[1]) === typed;
    return options.find(is_it)?.dataset.subject;
  };
  field.addEventListener("input", () => {
    const is_unknown = folded(field.value) && !meant();
    field.setCustomValidity(is_unknown ? "Nothing here is called so: choose from the list, or leave it empty." : "");
  });
  field.form.addEventListener("formdata", ({ formData }) => {
    formData.set(field.name, meant() ?? field.value.trim());
  });
}
