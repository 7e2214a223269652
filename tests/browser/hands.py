"""What hands do on a page besides pressing: fingers on a drawing, and a note that is spoken."""

import re

from playwright.sync_api import Locator, Page

SPOKEN = re.compile("Stop and keep what you said, 0:0[1-9]")
"""The button once a second has been spoken, however late a busy machine looks."""


def fingers(svg: Locator, *moves: list) -> None:
    """Fingers on a drawing, each move as what it does, whose it is and how far right [px]."""
    svg.evaluate(
        """(svg, moves) => {
          const on = svg.getBoundingClientRect();
          for (const [what, id, x] of moves) svg.dispatchEvent(new PointerEvent(`pointer${what}`, {
            pointerId: id, clientX: on.left + x, clientY: on.top + 60, bubbles: true,
          }));
        }""",
        moves,
    )


def speak(page: Page, words: str) -> None:
    """Speak a note for a second, where the microphone is allowed, and keep it with words."""
    page.context.grant_permissions(["microphone"])
    page.get_by_role("button", name="Speak a note").click()
    page.get_by_role("button", name=SPOKEN).click()
    page.locator("[data-sent] li", has_text="spoken note of 0:0").wait_for()
    page.context.clear_permissions()
    page.get_by_label("In words").fill(words)
    page.get_by_role("button", name="Keep", exact=True).click()
    page.locator("#album audio").first.wait_for()
