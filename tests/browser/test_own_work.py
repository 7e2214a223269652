"""The work at hand on a vehicle begun with nothing but a name, on a phone, tap by tap."""

import pytest
from playwright.sync_api import Page, expect

from tests.browser.conftest import shuts_out
from tests.browser.own import PLANNED_MS, begin, is_described, logged

pytestmark = pytest.mark.looks

LEFT, RIGHT = "Lamp screws, left", "Lamp screws, right"


def take_up(page: Page, vehicle: str, name: str) -> None:
    """Look for a job by its name, and do it next."""
    page.goto(f"/v/{vehicle}/")
    page.get_by_role("link", name="Other…").tap()
    page.get_by_label("A part, joint or job by its name").fill(name)
    page.get_by_role("button", name="Find it").tap()
    page.get_by_role("link", name=f"Do this: {name}").tap()
    expect(page.locator("#job")).to_contain_text(name)


def said(page: Page, words: str) -> None:
    """Wait until the line of what was logged says so."""
    expect(page.locator("#said")).to_contain_text(words)


def test_the_first_job_of_an_own_vehicle_is_done_put_off_and_packed_up(phone, served):
    """From its name to the bench packed up: each action of the thumb does there what it says."""
    own = begin(phone, "Shed find")
    for page in ("not-now", "else"):
        phone.goto(f"/v/{own}/{page}")
        phone.get_by_role("link", name="Log what you do by its name").tap()
        expect(phone.locator("#job")).to_have_text("Begin with what comes off")
    is_described(served, own)
    phone.goto(f"/v/{own}/")
    expect(phone.locator("summary.go")).to_be_visible(timeout=PLANNED_MS)  # comes by itself

    take_up(phone, own, LEFT)
    phone.locator("summary.go").tap()
    phone.get_by_role("button", name="One less").tap()
    phone.get_by_role("button", name="Log it").tap()
    said(phone, "1 of 2 out")
    phone.get_by_role("button", name="Strike out").tap()
    said(phone, "truck")
    take_up(phone, own, LEFT)
    phone.locator("summary.go").tap()
    phone.get_by_role("button", name="Log it").tap()
    said(phone, "2 of 2 out")

    phone.get_by_role("link", name="Same on the other side").tap()
    expect(phone.locator("main")).to_contain_text(f"This is {RIGHT}")
    phone.get_by_role("button", name="Log it for this side").tap()
    said(phone, RIGHT)

    take_up(phone, own, "tank straps")
    phone.get_by_role("link", name="Stuck").tap()
    phone.locator("#out").fill("1")
    phone.get_by_label("Soaked in penetrating oil").check()
    phone.get_by_role("button", name="leave it till then").tap()
    said(phone, "stuck")
    expect(phone.locator("#job")).not_to_contain_text("tank straps")

    take_up(phone, own, "bonnet hinges")
    phone.get_by_role("link", name="Not now").tap()
    cost = phone.locator("#cost")
    expect(cost).to_contain_text("Waits for it", timeout=PLANNED_MS)
    expect(cost).to_contain_text("engine mounts")
    phone.get_by_label("No helper").check()
    phone.get_by_role("button", name="Put it off").tap()
    said(phone, "no helper")
    expect(phone.locator("#job")).not_to_contain_text("bonnet")

    phone.get_by_role("link", name="Pack up").tap()
    main = phone.locator("main")
    expect(main).to_contain_text("Tank straps is left half way")
    boxes = phone.locator("[data-tick]").count()
    phone.locator("[data-tick]").first.check()
    expect(phone.locator("[data-ticked]")).to_contain_text(f"1 of {boxes}")
    assert shuts_out(phone) == []
    phone.get_by_role("button", name="Packed up").tap()
    said(phone, "acked up")
    expect(phone.locator("#job")).to_be_visible()

    undone = logged(served, own, "joint undone")
    assert [(each["joint"], each["out"], each["of"]) for each in undone] == [
        (LEFT, "1", "2"),
        (LEFT, "2", "2"),
        (RIGHT, "2", "2"),
        ("tank straps", "1", "2"),
    ]
    assert undone[1]["tag"] != undone[2]["tag"], "each side its bag"
    put_off = [(each["what"], each["why"]) for each in logged(served, own, "put off")]
    assert put_off == [("joint:tank straps", "stuck"), ("joint:bonnet hinges", "no helper")]
