// Two tags scanned one after the other: what was put into what.

/**
 * Says which goes into which, {what, into}; null where it is there already. The first goes into the
 * second, but a box scanned before a bag holds the bag: nobody puts a box into a bag.
 */
export function moveOf(first, second, tags) {
  if (first === second) return null;
  const holds = (tag) => Boolean(tags[tag]?.holds_bags);
  const [what, into] = holds(first) && !holds(second) ? [second, first] : [first, second];
  const is_there = tags[what]?.inside[0] === into;
  const would_hold_itself = tags[into]?.inside.includes(what);
  return is_there || would_hold_itself ? null : { what, into };
}
