"""The main things done by the keyboard alone, at a desk."""

import pytest
from playwright.sync_api import Locator, Page, expect

from tests.browser.conftest import AT_THE_DESK

pytestmark = pytest.mark.looks(*AT_THE_DESK)


def go_to(page: Page, there: Locator) -> None:
    """Press the tabulator until it is there, from wherever the focus is."""
    expect(there).to_be_visible()
    for _ in range(150):
        if there.evaluate("each => each === document.activeElement"):
            return
        page.keyboard.press("Tab")
    raise AssertionError(f"the tabulator never comes to {there}")


def test_a_job_is_logged_and_struck_out(phone, served):
    """Done is opened by Enter, the tick set by the space bar, and the strike is in reach."""
    phone.goto(f"/v/{served.demo}/")
    before = phone.locator("#job").inner_text()
    go_to(phone, phone.locator("summary.go"))
    phone.keyboard.press("Enter")
    if (tick := phone.get_by_label("Rocked it")).count():
        go_to(phone, tick)
        phone.keyboard.press("Space")
        expect(tick).to_be_checked()
    go_to(phone, phone.get_by_role("button", name="Log it"))
    phone.keyboard.press("Enter")
    expect(phone.locator("#said [data-words]")).to_be_visible()
    expect(phone.locator("#job")).not_to_have_text(before)
    strike = phone.get_by_role("button", name="Strike out")
    strike.focus()  # within its ten seconds, whatever else there is to pass
    phone.keyboard.press("Enter")
    expect(phone.locator("#said")).to_contain_text("truck")


def test_lists_menus_and_order_are_worked(phone, served):
    """A choice from a list filters parts; a menu opens; a line of the days caught up moves."""
    phone.goto(f"/v/{served.demo}/parts")
    everything = phone.locator("#found > p").inner_text()
    go_to(phone, phone.get_by_label("State"))
    phone.keyboard.type("off")
    expect(phone.locator("#found > p")).not_to_have_text(everything)
    phone.wait_for_url("**condition=off*")  # each letter chose, and asked
    expect(phone.locator(".htmx-request")).to_have_count(0)
    go_to(phone, phone.locator("#found a").first)
    phone.keyboard.press("Enter")
    phone.wait_for_url("**/part/**")
    menu = phone.locator("summary:visible").first
    go_to(phone, menu)
    phone.keyboard.press("Enter")
    expect(menu.locator("xpath=..")).to_have_attribute("open", "")

    phone.goto(f"/v/{served.demo}/catch-up")
    lines = phone.locator("[data-order] li .what")
    first = lines.nth(0).inner_text()
    go_to(phone, phone.get_by_role("button", name="Later:").first)
    phone.keyboard.press("Enter")
    expect(lines.nth(1)).to_have_text(first)
    phone.keyboard.press("Enter")  # the focus went along
    expect(lines.nth(2)).to_have_text(first)


def test_the_drawing_is_worked(phone, served):
    """Larger by its button; one stop for all parts, arrows from one to the next, Enter opens."""
    phone.goto(f"/v/{served.demo}/vehicle")
    drawing = phone.locator("svg.drawing").first
    whole = drawing.get_attribute("viewBox")
    go_to(phone, phone.get_by_role("button", name="Larger").first)
    phone.keyboard.press("Enter")
    expect(drawing).not_to_have_attribute("viewBox", whole)
    go_to(phone, drawing.locator("a[tabindex='0']"))
    first = phone.evaluate("document.activeElement.getAttribute('href')")
    phone.keyboard.press("ArrowRight")
    second = phone.evaluate("document.activeElement.getAttribute('href')")
    assert first != second
    phone.keyboard.press("Tab")
    assert phone.evaluate("document.activeElement.closest('svg') === null")
    phone.keyboard.press("Shift+Tab")
    phone.keyboard.press("Enter")
    phone.wait_for_url(f"**{second}")
