"""What gloves press on the page of the next job, and what a hand holding the phone sees of it."""

from itertools import combinations

import pytest

WIDE = 64
APART = 16
SEEN = 300
"""Of the card, at least so much stands above the bar [px]."""


TOLD_ABOVE = """() => {
  const card = document.querySelector("section.next, article.next");
  while (card.previousElementSibling) card.previousElementSibling.remove();
  const columns = card.closest(".columns");
  while (columns?.previousElementSibling) columns.previousElementSibling.remove();
  document.querySelector("[data-queue]").hidden = true;
}"""
"""Leaves the card alone with the actions: what is told above it at times scrolls away with it."""


def boxes(page, selector: str) -> list[dict[str, float]]:
    """Where things stand on the screen."""
    return [each.bounding_box() for each in page.locator(selector).all() if each.is_visible()]


def apart(one: dict[str, float], two: dict[str, float]) -> float:
    """The gap between two boxes, along whichever side parts them further."""
    across = max(one["x"], two["x"]) - min(one["x"] + one["width"], two["x"] + two["width"])
    down = max(one["y"], two["y"]) - min(one["y"] + one["height"], two["y"] + two["height"])
    return max(across, down)


@pytest.mark.parametrize(("which", "query"), [("demo", "?job=joint:J053"), ("empty", "")])
def test_the_actions_are_wide_and_apart_and_leave_the_card_to_see(phone, served, which, query):
    """64 px high, 16 px from each other, with a job and without; Log it asks for a name."""
    phone.goto(f"/v/{getattr(served, which)}/{query}")
    pressed = boxes(phone, "#thumb > .button, #thumb > details > summary")
    assert len(pressed) >= 5
    assert min(each["height"] for each in pressed) >= WIDE
    assert min(apart(*pair) for pair in combinations(pressed, 2)) >= APART - 0.5
    phone.evaluate(TOLD_ABOVE)  # a plan that is being made, what another test left queued
    top = phone.locator("section.next, article.next").bounding_box()["y"]
    assert phone.locator("#thumb").bounding_box()["y"] - top >= SEEN
    for word in ("Stuck", "Say it", "Photo", "Pack up"):
        assert phone.locator("#thumb").get_by_role("link", name=word).is_visible(), word
    if which == "empty":
        phone.get_by_role("button", name="Log it").tap()
        assert phone.evaluate("document.activeElement.id") == "off-1"
        phone.evaluate("scrollTo(0, 0)")
        phone.evaluate("document.getElementById('off-place').focus()")
        field = phone.locator("#off-place").bounding_box()
        assert field["y"] + field["height"] <= phone.locator("#thumb").bounding_box()["y"]


def test_the_open_form_says_whose_it_is(phone, served):
    """The card is out of sight behind it, and its title stands in the form."""
    phone.goto(f"/v/{served.demo}/?job=joint:J053")
    title = phone.locator("#job").inner_text()
    phone.locator("summary.go").tap()
    whose = phone.locator("#thumb .whose")
    assert whose.inner_text() == title
    box = whose.bounding_box()
    assert 0 <= box["y"] <= 844 - box["height"]


def test_moments_are_written_on_the_phone_as_on_the_pages(phone):
    """28 Nov 2026, 23:09; with a nought where the hour or minute has one figure."""
    phone.goto("/phone")
    written = phone.evaluate(
        """async (moments) => {
          const beside = document.querySelector('script[src$="/phone.js"]').src;
          const { moment } = await import(beside.replace("phone.js", "dom.js"));
          return moments.map((each) => moment(new Date(...each).getTime()));
        }""",
        [[2026, 10, 28, 23, 9], [2031, 4, 2, 7, 30]],
    )
    assert written == ["28 Nov 2026, 23:09", "2 May 2031, 07:30"]
