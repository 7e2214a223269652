// Fields of forms and the entries of an act. A field is named by the entry's number and the path in
// its body: "1.kind", "1.joint", "1.went.0.count"; "[]" at the end gathers values in a list;
// "2-7.place" is said of all these entries. Empty fields are left out, and so is an entry without a
// kind: a tick or a button that bears the kind chooses whether it is made. The same is read on the
// server by pages/act_form.py.

const NUMBER = /^[0-9]+$/;

/** Reads named values as the entries of one act. */
export function entriesOf(fields) {
  return placed(fields).filter((entry) => entry?.kind);
}

/** The numbers that a form gives to the entries it makes, in their order. */
export function numbersOf(fields) {
  return placed(fields).flatMap((entry, at) => (entry?.kind ? [at + 1] : []));
}

function placed(fields) {
  const entries = [];
  for (const [name, value] of fields) {
    const [numbers, ...path] = name.split(".");
    if (!/^[1-9][0-9]?(-[1-9][0-9]?)?$/.test(numbers) || !path.length || value === "") continue;
    const [first, last = first] = numbers.split("-").map(Number);
    for (let at = first; at <= last; at++) place((entries[at - 1] ??= {}), path, value);
  }
  return entries;
}

function place(into, path, value) {
  let at = into;
  path.slice(0, -1).forEach((step, depth) => {
    at = at[step] ??= NUMBER.test(path[depth + 1]) ? [] : {};
  });
  const last = path.at(-1);
  if (last.endsWith("[]")) (at[last.slice(0, -2)] ??= []).push(value);
  else at[last] = value;
}

/** Gives each plain value of an entry with the path that a form has for it: "out", "went.0.count". */
export function* fieldsOf(value, path = []) {
  if (Array.isArray(value) && value.every((each) => typeof each !== "object")) {
    const [last, ...before] = [...path].reverse();
    for (const each of value) yield [[...before.reverse(), `${last}[]`].join("."), each];
  } else if (value && typeof value === "object") {
    for (const [key, each] of Object.entries(value)) yield* fieldsOf(each, [...path, key]);
  } else if (value !== null && value !== undefined) yield [path.join("."), value];
}
