"""Going through a page by the keyboard alone, and noting what is reached and how it shows it."""

from dataclasses import dataclass

from playwright.sync_api import Page

_WATCH = """async () => {
  for (const each of document.querySelectorAll("details")) each.open = true;
  // Of a long list the first lines speak for the others.
  for (const list of document.querySelectorAll("ul, ol, tbody")) {
    for (const more of [...list.children].slice(6)) more.style.display = "none";
  }
  // What has just been opened is there with the next picture.
  for (const _ of [1, 2]) await new Promise(requestAnimationFrame);
  const wanted = "a[href], button, input, select, textarea, summary, audio[controls]," +
    " [tabindex], [contenteditable]";
  const isThere = (each) => each.checkVisibility({visibilityProperty: true}) && !each.disabled &&
    each.type !== "hidden" && !each.closest("[inert]") && each.getClientRects().length > 0;
  const all = [...document.querySelectorAll(wanted)].filter(isThere);
  // What stands in a drawing is one stop, and arrows go from there.
  const stops = all.filter((each) => each.tabIndex >= 0 || !each.closest("[data-drawing] svg"));
  const looks = (each) => [each, each.parentElement, ...each.children].map((one) => {
    const style = getComputedStyle(one);
    return [style.outlineStyle, style.outlineWidth, style.outlineColor, style.boxShadow,
      style.borderColor, style.backgroundColor, style.textDecorationLine, style.stroke,
      style.strokeWidth].join(" ");
  }).join("; ");
  const said = (each) => each.outerHTML.slice(0, 140).replace(/\\s+/g, " ");
  const plain = new Map(stops.map((each) => [each, looks(each)]));
  window.walked = {seen: new Set(), unseen: [], strays: []};
  document.addEventListener("focusin", ({target}) => {
    if (!walked.seen.has(target) && plain.has(target) && looks(target) === plain.get(target)) {
      walked.unseen.push(said(target));
    }
    if (!target.matches(wanted)) walked.strays.push(said(target));
    walked.seen.add(target);
  });
  walked.missed = () => stops.filter((each) => !walked.seen.has(each) && isThere(each) &&
    !(each.type === "radio" && [...walked.seen].some((one) => one.name === each.name &&
      one.form === each.form))).map(said);
  document.activeElement.blur();
  const within = {date: 4, month: 3, time: 4, "datetime-local": 7}; // stops of their own
  return stops.reduce((sum, each) => sum + 1 + (within[each.type] ??
    (each.matches("audio") ? 6 : 0)), 0);
}"""


@dataclass(frozen=True, slots=True)
class Walked:
    """What a walk through a page by the tabulator found."""

    stops: int
    missed: tuple[str, ...]
    """What can be clicked and was never reached."""
    unseen: tuple[str, ...]
    """What looks the same with the focus as without."""
    strays: tuple[str, ...]
    """Stops at which there is nothing to do."""

    @property
    def faults(self) -> tuple[str, ...]:
        """All that is wrong with it."""
        return (*self.missed, *self.unseen, *self.strays)


def walk(page: Page) -> Walked:
    """Press the tabulator until it has been everywhere it goes, or goes nowhere new."""
    stops = page.evaluate(_WATCH)
    reached, before, missed = 0, -1, ["everything"]
    while missed and reached > before:
        for _ in range(stops + 2):
            page.keyboard.press("Tab")
        before = reached
        reached, missed = page.evaluate("[walked.seen.size, walked.missed()]")
    unseen, strays = page.evaluate("[walked.unseen, walked.strays]")
    return Walked(stops, tuple(missed), tuple(unseen), tuple(strays))
