"""Plans of a vehicle begun with nothing but a name, asked at a desk in the dark, by mouse."""

import pytest
from playwright.sync_api import expect

from putback.vehicle.generate import generate
from putback.vehicle.goal import Goal
from putback.vehicle.ids import GoalId, PartId
from tests.browser.conftest import EVERY_LOOK
from tests.browser.own import PLANNED_MS, ask, begin, is_described, logged, press
from tests.makers import vehicle

pytestmark = pytest.mark.looks(*reversed(EVERY_LOOK))

TWO_WAYS = vehicle(
    Goal(GoalId("out"), "pump out", PartId("frame"), off=(PartId("pump"),)),
    "lid - frame; 10 min",
    "flap - frame; 12 min",
    "pump - frame; 10 min",
    "lid or flap blocks pump - frame",
)
"""Off comes the lid or the flap, and then there is room for the pump."""


def test_strip_ties_reach_and_rebuild_of_an_own_vehicle(phone, served):
    """Each page says first what it lacks; described, it is planned, asked, ticked and put back."""
    own = begin(phone, "Loft find")
    here, main = f"/v/{own}", phone.locator("main")
    for page in ("ties", "reach", "why"):
        phone.goto(f"{here}/{page}")
        expect(main).to_contain_text("Nothing is known by name yet.")
    phone.goto(f"{here}/strip")
    phone.get_by_role("link", name="Describe a goal").click()
    phone.get_by_label("Name").first.wait_for()
    is_described(served, own)

    phone.goto(f"{here}/strip")
    jobs = phone.locator(".job")
    expect(jobs.first).to_be_visible(timeout=PLANNED_MS)
    expect(main).to_contain_text("No order can be shorter than")
    mounts = jobs.filter(has_text="Undo: engine mounts")
    mounts.get_by_text("Why here").click()
    mounts.get_by_role("link", name="What would free it?").click()
    expect(main).to_contain_text("Bonnet in the way", timeout=PLANNED_MS)

    phone.goto(f"{here}/strip")
    phone.get_by_label("What is in the way of").fill("engine")
    phone.get_by_role("button", name="Show", exact=True).first.click()
    expect(phone.locator("#answer")).to_contain_text("To get at engine", timeout=PLANNED_MS)
    phone.goto(f"{here}/what-if")
    phone.get_by_label("Suppose this were done").fill('undone "bonnet hinges"')
    phone.get_by_role("button", name="See what would follow").click()
    supposed = phone.locator("#answer")
    expect(supposed).to_contain_text("Undid bonnet hinges", timeout=PLANNED_MS)
    expect(supposed).to_contain_text("5 min less would be left to do")

    phone.goto(f"{here}/strip")
    phone.get_by_label("What still ties").fill("engine")
    phone.get_by_role("button", name="Show", exact=True).nth(1).click()
    expect(main).to_contain_text("3 still hold")
    expect(main).to_contain_text("Not weighed: 1 part of it.")
    for free, name in enumerate(("engine mounts", "fuel pipe"), start=1):
        phone.get_by_role("button", name=f"Undone: {name}").click()
        phone.get_by_role("button", name=f"Seen free: {name}").click()
        # A click just as the list is replaced would be lost.
        expect(main).to_contain_text(f"{free} seen free")
    expect(main).to_contain_text("0 undone and not looked at, 2 seen free.")
    assert [each["joint"] for each in logged(served, own, "joint undone")] == [
        "engine mounts",
        "fuel pipe",
    ]

    ask(served, own, "acts", {"kind": "part off", "part": "engine"})
    phone.goto(f"{here}/rebuild")
    expect(jobs.first).to_be_visible(timeout=PLANNED_MS)
    phone.get_by_role("button", name="Put it back from now on").click()
    expect(phone.locator("#said")).to_contain_text("Chose to put it back together from here.")
    phone.goto(f"{here}/")
    expect(phone.locator("#job")).to_contain_text("engine", timeout=PLANNED_MS)


def test_another_order_of_an_own_vehicle_is_looked_for_and_followed(phone, served):
    """What it gains and costs is told; one tap, and it is the order, as long as it can be done."""
    own = begin(phone, "Field find")
    is_described(served, own, TWO_WAYS)
    phone.goto(f"/v/{own}/strip")
    lid, flap = (phone.locator(".job", has_text=f"Undo: {each}-frame") for each in ("lid", "flap"))
    expect(lid).to_be_visible(timeout=PLANNED_MS)
    expect(flap).to_have_count(0)
    phone.get_by_role("link", name="Look for other orders").click()
    other = phone.locator(".other")
    expect(other).to_contain_text("Lid stays untouched; but flap as well", timeout=PLANNED_MS)
    other.get_by_role("button", name="Follow this order").click()
    expect(phone.locator("main")).to_contain_text("You chose this order")
    expect(flap).to_be_visible()
    expect(lid).to_have_count(0)


def test_planning_of_an_own_vehicle_is_stopped_and_begun_again(phone, served):
    """While it is planned the page offers to stop; stopped, it says so, and plans when told."""
    own, main = begin(phone, "Hangar find"), phone.locator("main")
    is_described(served, own, generate(60, seed=1))
    phone.goto(f"/v/{own}/strip")
    phone.get_by_role("button", name="Stop", exact=True).click()
    expect(main).to_contain_text("Planning was stopped.")
    jobs = phone.locator(".job, .sitting")
    expect(jobs).to_have_count(0)
    phone.get_by_role("button", name="Plan now").click()
    expect(jobs.first).to_be_visible(timeout=PLANNED_MS)


def test_the_calendar_of_an_own_vehicle_says_what_to_promise(phone, served):
    """Hours that nobody can read are told beside their field; with others the days come."""
    own = begin(phone, "Barn corner")
    is_described(served, own)
    hinges = {"kind": "joint undone", "joint": "bonnet hinges", "out": 4}
    ask(served, own, "acts", hinges, {"kind": "part off", "part": "bonnet"})
    phone.goto(f"/v/{own}/calendar?way=rebuild")
    phone.get_by_label("Name").first.fill("Ann")
    hours = phone.get_by_label("Hours").first
    hours.fill("whenever")
    press(phone, "Keep and reckon")
    expect(hours).to_have_attribute("aria-invalid", "true")
    expect(phone.locator("#hours")).to_contain_text("are no hours of work")
    hours.fill("Sat 9-17")
    press(phone, "Keep and reckon")
    days = phone.locator("#answer")
    expect(days).to_contain_text("Promise ", timeout=PLANNED_MS)
    expect(days.locator(".session").last).to_contain_text("Ann")
