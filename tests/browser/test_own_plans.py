"""Plans of a vehicle begun with nothing but a name, asked at a desk in the dark, by mouse."""

from playwright.sync_api import expect

from tests.browser.conftest import DESK, seen_as
from tests.browser.own import PLANNED_MS, ask, begin, is_described, logged


def test_strip_ties_reach_and_rebuild_of_an_own_vehicle(phone, served):
    """Each page says first what it lacks; described, it is planned, asked, ticked and put back."""
    seen_as(phone, DESK, "dark")
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
    for name in ("engine mounts", "fuel pipe"):
        phone.get_by_role("button", name=f"Undone: {name}").click()
        phone.get_by_role("button", name=f"Seen free: {name}").click()
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
