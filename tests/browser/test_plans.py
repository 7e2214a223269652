"""Plans as a person taps through them, on a phone, with a real planner behind the pages."""

import pytest
from playwright.sync_api import expect

pytestmark = pytest.mark.looks

SENTENCE = """async (label) => {
  const here = document.querySelector("script[src$='/mark.js']").src;
  const { sentenceOf } = await import(here.replace("mark.js", "form_words.js"));
  const button = document.querySelector(`button[aria-label="${label}"]`);
  return sentenceOf(button.form, button, 0);
}"""
"""What a form that this button sends is called while it is queued."""

LONG_MS = 60_000
"""What a planner may take on a machine that is busy with other tests [ms]."""


def test_the_strip_comes_by_itself_and_opens_by_taps(phone, served):
    """Planned by the planner without a reload; a sitting opens, a job says why it is there."""
    phone.goto(f"/v/{served.demo}/strip")
    sittings = phone.locator("details.sitting")
    expect(sittings.first).to_be_visible(timeout=LONG_MS)
    expect(phone.locator(".figures")).to_contain_text("No order can be shorter than")
    second = sittings.nth(1)
    expect(second.locator(".job")).to_have_count(0)
    second.locator("summary").first.tap()
    expect(second.locator(".job").first).to_be_visible()
    second.get_by_text("Why here").first.tap()
    expect(second.get_by_role("link", name="What would free it?").first).to_be_visible()
    second.get_by_role("link", name="What would free it?").first.tap()
    expect(phone.get_by_role("heading", name="It is done for")).to_be_visible(timeout=LONG_MS)


def test_what_is_in_the_way_is_asked_by_name(phone, served):
    """A name that is not there offers those like it; one tap, and the answer comes."""
    phone.goto(f"/v/{served.demo}/strip")
    phone.get_by_label("What is in the way of").fill("engine and gearbox")
    phone.get_by_role("button", name="Show", exact=True).first.tap()
    phone.get_by_role("link", name="engine and gearbox as one unit").tap()
    expect(phone.locator("#answer")).to_contain_text("To get at", timeout=LONG_MS)
    expect(phone.locator("#answer .job").first).to_be_visible()


def test_a_walk_round_is_ticked(phone, served):
    """Each tick is logged at once, can be struck out, and the line says what is next.

    Without a network its words are the joint and the tick, not all that the line tells.
    """
    phone.goto(f"/v/{served.demo}/ties?what=assembly:ENGINE")
    line = phone.locator(".ticks li").filter(has=phone.get_by_text("Undone", exact=True)).first
    name = line.locator("b").first.inner_text()
    assert phone.evaluate(SENTENCE, f"Undone: {name}") == f"{name}: Undone."
    line.get_by_role("button").tap()
    same = phone.locator(".ticks li").filter(has_text=name).first
    expect(same.get_by_role("button", name="Seen free")).to_be_visible()
    phone.get_by_role("button", name="Strike out").tap()
    expect(same.get_by_role("button", name="Undone")).to_be_visible()


def test_what_if_is_only_supposed(phone, served):
    """The plan that would follow is shown; what would be open, too."""
    phone.goto(f"/v/{served.demo}/what-if")
    phone.get_by_label("Suppose this were done").fill("note 'tea'")
    phone.get_by_role("button", name="See what would follow").tap()
    expect(phone.get_by_role("heading", name="Only supposed")).to_be_visible(timeout=LONG_MS)
    expect(phone.get_by_text("As much would be left to do as now.")).to_be_visible()
