// What is said in a form, as the body of an entry: the phone's reading of workshop/saying/plain.py.

/** Reads {kind, ...fields} as {kind, version, body}; throws what is wrong with it. */
export function bodyOf(said) {
  const { kind, its_kind, all_went, ...body } = said;
  if (!kind) throw new Error("An entry needs its kind.");
  if (its_kind !== undefined) body.kind = its_kind;
  if (kind === "joint undone" && all_went !== undefined && all_went !== "tag") {
    delete body.tag;
    body.went = [{ to: all_went, fixings: body.out ?? 1 }];
  }
  return { kind, version: 1, body };
}
