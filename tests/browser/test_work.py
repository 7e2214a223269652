"""The work at hand as a person taps through it, on a phone."""

from datetime import UTC, datetime, timedelta

import pytest
from playwright.sync_api import Page, expect

from tests.browser.test_offline import all_sent

pytestmark = pytest.mark.looks


def job(page: Page) -> str:
    """The heading of the next job."""
    return page.locator("#job").inner_text()


def log_it(page: Page) -> None:
    """Two taps: the main action, and that it is so."""
    page.locator("summary.go").tap()
    page.get_by_role("button", name="Log it").tap()
    expect(page.locator("#said [data-words]")).to_be_visible()


def stand_it(page: Page) -> None:
    """Log how it stands where that is what is next: what tests before did decides on it."""
    if "Stand it" in job(page):
        page.locator("summary.go").tap()
        page.get_by_label("Rocked it").check()
        page.get_by_role("button", name="Log it").tap()
    expect(page.locator("#job")).not_to_contain_text("Stand it")


@pytest.mark.timeout(300)  # a planner makes way for all else that the machine does
def test_jobs_are_logged_in_two_taps_and_struck_out(phone, served):
    """The card of the next job is there at once; what was struck out is left to do again."""
    phone.goto(f"/v/{served.demo}/")
    stand_it(phone)
    first = job(phone)
    log_it(phone)
    expect(phone.locator("#job")).not_to_have_text(first)
    phone.get_by_role("button", name="Strike out").tap()
    expect(phone.locator("#said")).to_contain_text("truck")
    phone.get_by_role("link", name="Other…").tap()
    left_again = phone.locator(".lines").get_by_text(first.partition(" ")[2])
    for _ in range(240):  # the plan of the moment before may have come meanwhile: until it is anew
        if left_again.count():
            break
        phone.wait_for_timeout(500)
        phone.reload()
    expect(left_again.first).to_be_visible()

    phone.goto(f"/v/{served.demo}/stuck?joint=J053")
    phone.get_by_label("Soaked in penetrating oil").check()
    phone.get_by_role("button", name="leave it till then").tap()
    expect(phone.locator("#said")).to_contain_text("stuck")
    stand_it(phone)

    phone.get_by_role("link", name="Not now").tap()
    phone.get_by_label("No helper").check()
    phone.get_by_role("button", name="Put it off").tap()
    expect(phone.locator("#said")).to_contain_text("no helper")

    phone.get_by_role("link", name="Other…").tap()
    phone.locator(".lines a").last.tap()
    expect(phone.locator("#job")).to_be_visible()
    expect(phone.get_by_text("You picked")).to_be_visible()


def test_a_line_is_typed_with_what_is_offered_and_the_other_side_follows(phone, served):
    """A tap puts a name into the line; the page says what it would log before it does."""
    phone.goto(f"/v/{served.demo}/say")
    phone.get_by_label("A line").press_sequentially("undone rear hub shaft left")
    phone.get_by_role("button", name="rear hub on half shaft, left").tap()
    expect(phone.locator("#understood")).to_contain_text("Undid rear hub on half shaft, left")
    phone.get_by_role("button", name="Log it").tap()
    expect(phone.locator("#said")).to_contain_text("Undid rear hub on half shaft, left")
    phone.get_by_role("link", name="Same on the other side").tap()
    phone.get_by_role("button", name="One less").tap()
    phone.get_by_role("button", name="Log it for this side").tap()
    expect(phone.locator("#said")).to_contain_text("rear hub on half shaft, right")
    phone.get_by_role("button", name="Strike out").tap()
    expect(phone.locator("#said")).to_contain_text("truck")


def dragged(page, frm: tuple[float, float], to: tuple[float, float]) -> None:
    """A finger put down, drawn along and lifted, as the screen itself tells it."""
    finger = page.context.new_cdp_session(page)
    for at in range(11):
        x, y = (a + (b - a) * at / 10 for a, b in zip(frm, to, strict=True))
        kind = "touchMove" if at else "touchStart"
        finger.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": [{"x": x, "y": y}]})
    finger.send("Input.dispatchTouchEvent", {"type": "touchEnd", "touchPoints": []})


def middle(locator) -> tuple[float, float]:
    """Where a finger meets it."""
    box = locator.bounding_box()
    return box["x"] + box["width"] / 2, box["y"] + box["height"] / 2


def test_days_are_caught_up_in_the_order_that_a_finger_drags_and_the_bench_packed_up(
    phone, served
):
    """By finger, mouse and button; one not recorded, the rest as usual; ticks are counted."""
    phone.goto(f"/v/{served.demo}/catch-up")
    keys = "[data-order] li [name=order]"

    def order() -> list[str]:
        return phone.locator(keys).evaluate_all("all => all.map(each => each.value)")

    def stand(*wanted: str) -> None:
        expect(phone.locator(".dragged")).to_have_count(0)
        for at, key in enumerate(wanted):
            expect(phone.locator(keys).nth(at)).to_have_value(key)

    first, second, third, *rest = order()
    grips = phone.locator("[data-grip]")
    phone.locator("[data-order]").evaluate("list => scrollTo(0, list.offsetTop - 150)")
    below = phone.locator("[data-order] li").nth(2).bounding_box()
    dragged(phone, middle(grips.nth(0)), (40, below["y"] + 0.7 * below["height"]))
    stand(second, third, first, *rest)
    phone.mouse.move(*middle(grips.nth(1)))
    phone.mouse.down()
    phone.mouse.move(*middle(phone.locator("[data-order] li .what").nth(0)), steps=5)
    phone.mouse.up()
    stand(third, second, first, *rest)
    phone.get_by_role("button", name="Later:").first.click()
    stand(second, third, first, *rest)

    yesterday = (datetime.now(UTC) - timedelta(days=1)).date()
    phone.get_by_label("Day", exact=True).fill(yesterday.isoformat())
    said = phone.locator("[data-order] select")
    bolted = "undo|joint:J"  # the demo's joints that have fastenings; ends of runs have none
    unsure = next(at for at, key in enumerate(order()) if key.startswith(bolted))
    said.nth(unsure).select_option("not recorded")
    said.last.select_option("not done")
    phone.get_by_label("Done, as usual").check()
    *wanted, _ = (key.partition(":")[2] for key in order())
    entries = f"/api/vehicles/{served.demo}/entries"
    position = phone.request.get(entries, params={"after": 2**52}).json()["position"]
    phone.get_by_role("button", name="Log these days").click()
    expect(phone.locator("#said [data-words]")).to_be_visible()
    all_sent(phone)  # a busy server may have it later than the line that says it is queued
    told = phone.request.get(entries, params={"after": position}).json()["entries"]
    bodies = [each["entry"]["body"] for each in told if "standing" not in each["entry"]["body"]]
    names = [
        next(body[name] for name in ("whole", "joint", "part", "job") if body.get(name))
        for body in bodies
    ]
    assert list(dict.fromkeys(names)) == wanted
    assert {each["entry"]["happened_at"] for each in told} == {yesterday.isoformat()}
    nowhere = [body["joint"] for body in bodies if body.get("went")]
    assert nowhere == [wanted[unsure]]
    phone.get_by_role("button", name="Strike out").tap()
    expect(phone.locator("#said")).to_contain_text("truck")

    phone.get_by_role("link", name="Pack up").tap()
    expect(phone.locator("[data-ticked]")).to_contain_text("0 of")
    phone.locator("[data-tick]").first.check()
    expect(phone.locator("[data-ticked]")).to_contain_text("1 of")
    phone.reload()
    expect(phone.locator("[data-ticked]")).to_contain_text("1 of")


def test_an_empty_vehicle_takes_what_came_off_by_name(phone, served):
    """Three names and a tap, struck out by another; then a plan for the way back is there."""
    phone.goto(f"/v/{served.empty}/")
    phone.get_by_label("Came off").fill("radiator")
    phone.get_by_label("And then").first.fill("fan")
    phone.get_by_role("button", name="Log it").tap()
    expect(phone.locator("#said")).to_contain_text("Took off fan.")
    phone.get_by_role("button", name="Strike out").tap()
    expect(phone.locator("#said")).to_contain_text("truck")


A_PLAN_COMES = """async ([path, name, value]) => {
  const asked = new Promise((done, fail) => {
    document.addEventListener("htmx:beforeSwap", done, { once: true });
    setTimeout(fail, 10_000, new Error("the page did not ask anew"));
  });
  document.body.dispatchEvent(new CustomEvent("planned"));
  document.querySelector(path)[name] = value;
  await asked;
  await new Promise((done) => setTimeout(done, 100)); // as long as it takes to show it
  return document.querySelector(path)[name];
}"""
"""The page asks anew; before the answer is there a hand is at it. Gives what stands there then."""


def test_a_plan_that_comes_takes_nothing_from_under_the_hands(phone, served):
    """Neither the open form of a job, nor names that are typed; where no hand is, it is shown."""
    phone.goto(f"/v/{served.demo}/")
    assert phone.evaluate(A_PLAN_COMES, ["#now", "title", "before"]) == ""
    assert phone.evaluate(A_PLAN_COMES, ["details[data-deed]", "open", True]) is True
    phone.goto(f"/v/{served.empty}/")
    assert phone.evaluate(A_PLAN_COMES, ["#off-1", "value", "radiator"]) == "radiator"


def test_a_goal_is_chosen_and_a_whole_is_asked_once_where_it_lies(phone, served):
    """Each by one tap more than looking, and struck out by another."""
    phone.goto(f"/v/{served.demo}/strip")
    goal = phone.locator("#goal option:not([selected])").last
    name = goal.inner_text()
    phone.get_by_label("Strip as far as").select_option(goal.get_attribute("value"))
    phone.get_by_role("button", name="Show this goal").tap()
    note = phone.get_by_text("You only look at this")
    expect(note).to_be_visible()
    phone.get_by_role("button", name="Work towards it from now on").tap()
    expect(phone.locator("#said")).to_contain_text(f"Chose to strip to {name}.")
    expect(note).to_have_count(0)
    phone.get_by_role("button", name="Strike out").tap()
    expect(note).to_be_visible()

    phone.goto(f"/v/{served.demo}/?job=assembly:PEDALS")
    entries = f"/api/vehicles/{served.demo}/entries"
    position = phone.request.get(entries, params={"after": 2**52}).json()["position"]
    phone.locator("summary.go").tap()
    phone.get_by_label("Where it lies").select_option(index=1)
    phone.get_by_role("button", name="Log it").tap()
    expect(phone.locator("#said [data-words]")).to_be_visible()
    all_sent(phone)  # a busy server may have it later than the line that says it is queued
    told = phone.request.get(entries, params={"after": position}).json()["entries"]
    bodies = [each["entry"]["body"] for each in told if each["entry"]["kind"] == "part off"]
    assert len(bodies) == 3
    assert len({(body["whole"], body["place"]) for body in bodies}) == 1
    phone.get_by_role("button", name="Strike out").tap()
    expect(phone.locator("#said")).to_contain_text("truck")
