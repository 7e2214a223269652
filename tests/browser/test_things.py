"""Parts, hardware, places, the logbook and describing, tapped through on a phone."""

import pytest
from playwright.sync_api import expect

from tests.browser.conftest import ON_THE_PHONE, shuts_out
from tests.browser.keyboard import walk
from tests.browser.own import begin

pytestmark = pytest.mark.looks

LACKING = {
    "strip": "No goal is described yet.",
    "rebuild": "Nothing is left to put back.",
    "stuck": "No joint of this vehicle is known yet.",
    "pack-up": "Nothing keeps you",
    "photos": "No part or joint is described yet",
    "catch-up": "No plan expected anything",
}
"""What pages say of a vehicle of which nothing is known."""
PLANNED_MS = 60_000
"""What a planner may take on a machine that is busy with other tests [ms]."""


def test_a_part_is_found_and_what_became_of_it_logged(phone, served, look):
    """Typed, tapped, a fault noted: the page shows it at once, and a strike takes it back.

    What was typed in another form meanwhile stays there.
    """
    phone.goto(f"/v/{served.demo}/parts")
    phone.get_by_label("Find").fill("boot lid")
    expect(phone.locator(".parts li")).to_have_count(1)
    phone.get_by_role("link", name="Boot lid").tap()
    expect(phone.get_by_role("heading", name="Boot lid")).to_be_visible()
    if look in ON_THE_PHONE:  # at a desk what can be logged is in sight
        phone.locator(".thumb a").tap()
    phone.locator("summary", has_text="Hung it aside").tap()
    phone.locator("#hung-1-on").fill("a rope")
    phone.locator("summary", has_text="Found a fault").tap()
    fault = phone.locator("#found-1-what")
    fault.fill("rust at the hinge")
    phone.get_by_role("button", name="Found a fault").tap()
    expect(phone.locator("#thing .entries")).to_contain_text("Rust at the hinge".casefold())
    expect(phone.locator("#hung-1-on")).to_have_value("a rope")
    expect(phone.locator("#hung-1-on")).to_be_visible()
    expect(fault).to_have_value("")
    phone.get_by_role("button", name="Strike out").tap()
    expect(phone.locator("#thing .entries")).not_to_contain_text("rust at the hinge")


def test_a_joint_and_its_bag_are_a_tap_away_and_the_bag_is_counted(phone, served):
    """From the hardware check to a bag, one less by the big minus, and the bag is short."""
    phone.goto(f"/v/{served.demo}/hardware")
    with phone.expect_navigation():  # what is typed before the page listens finds nothing
        phone.get_by_role("link", name="Bags and boxes").tap()
    phone.get_by_label("Find").fill("bonnet hinges to shell")
    expect(phone.locator("#found .tag")).to_have_count(2)  # the bag, and the box that it is in
    phone.locator("#tag-2W8N .tag").tap()
    expect(phone.get_by_role("heading", name="2W8N")).to_be_visible()
    main = phone.locator(".main-deed")
    main.get_by_role("button", name="One less").first.tap()
    main.get_by_label("Is that all?").select_option("true")
    main.get_by_role("button", name="Counted it").tap()
    expect(phone.locator("#thing .plate")).to_contain_text("1 missed in a count")
    phone.get_by_role("button", name="Strike out").tap()
    expect(phone.locator("#thing .plate")).not_to_contain_text("missed in a count")


def test_a_vehicle_of_which_nothing_is_known_is_described_by_thumb(phone):
    """Two parts and their joint, a fault told beside its field, and a place for what comes off."""
    empty = f"/v/{begin(phone, 'Hedge find')}"
    for name in ("Radiator", "Support panel"):
        phone.goto(f"{empty}/describe")
        phone.get_by_role("link", name="One thing that comes off").tap()
        phone.get_by_role("link", name="Describe a part").tap()
        phone.get_by_label("Name").first.fill(name)
        phone.get_by_label("Mass").fill("18 lb")
        expect(phone.locator("#mass_kg-read")).to_have_text("8.2 kg (18 lb)")
        phone.get_by_role("button", name="Save").tap()
        expect(phone.get_by_role("heading", name=name)).to_be_visible()
    phone.goto(f"{empty}/describe/new/joints")
    phone.get_by_label("Name").first.fill("radiator to panel")
    phone.locator("#parts").fill("Radiator")
    phone.get_by_label("Parts it holds together, 2").fill("Support panl")
    phone.get_by_label("Torque").fill("18 lb ft")
    phone.get_by_role("button", name="Save").tap()
    expect(phone.locator("#parts-wrong")).to_contain_text("Support panel")
    expect(phone.get_by_label("Torque")).to_be_visible()
    assert shuts_out(phone) == []
    phone.get_by_label("Parts it holds together, 2").fill("Support panel")
    phone.get_by_role("button", name="Save").tap()
    expect(phone.get_by_role("heading", name="radiator to panel")).to_be_visible()
    expect(phone.locator(".plate").first).to_contain_text("18 lbf·ft")

    phone.goto(f"{empty}/places")
    shelf = f"Shelf of {empty[-4:]}"  # all vehicles share the places of the garage
    phone.get_by_label("Name").fill(shelf)
    phone.get_by_role("button", name="Add the place").tap()
    expect(phone.locator("summary", has_text=shelf).first).to_be_visible()


def test_the_logbook_is_struck_out_taken_away_and_looked_into(phone, served, tmp_path):
    """A note late, struck out and brought back; a copy downloaded, and what merging would do."""
    book = f"/v/{begin(phone, 'Mouse nest')}/book"
    phone.goto(book)
    phone.locator("summary", has_text="A late note").tap()
    phone.get_by_label("What happened").fill("smells of mice")
    phone.get_by_label("On which day").fill("2026-01-05")
    with phone.expect_navigation():
        phone.get_by_role("button", name="Note it").tap()
    found = f"{book}?words=mice"
    phone.goto(found)
    phone.get_by_role("link", name="smells of mice").tap()
    phone.get_by_label("Why it is struck out").fill("it was the shed")
    with phone.expect_navigation():
        phone.get_by_role("button", name="Strike this out").tap()
    phone.goto(found)
    mice = phone.locator(".is-struck", has_text="mice")
    expect(mice).to_contain_text("it was the shed")
    mice.locator("a").tap()
    expect(phone.get_by_role("heading", name="smells of mice")).to_be_visible()
    assert shuts_out(phone) == []
    assert walk(phone).missed == ()
    with phone.expect_navigation():
        phone.get_by_role("button", name="Bring it back").tap()
    phone.goto(found)
    expect(phone.get_by_role("link", name="smells of mice")).to_be_visible()
    expect(mice).to_have_count(0)

    phone.locator("summary", has_text="Take a copy away").tap()
    with phone.expect_download() as download:
        phone.get_by_role("button", name="Write the bundle").tap()
    path = tmp_path / "copy.zip"
    download.value.save_as(path)
    phone.goto("/take-in")
    phone.get_by_label("The file").set_input_files(path)
    phone.get_by_role("button", name="Look into it").tap()
    expect(phone.get_by_text("This is a copy of")).to_be_visible()
    assert shuts_out(phone) == []
    assert walk(phone).faults == ()
    phone.get_by_role("button", name="Leave it").tap()
    expect(phone).to_have_url(f"{served.address}/")


def test_a_vehicle_with_nothing_but_a_name_says_what_is_lacking_and_takes_it(phone):
    """Begun by its name; each page says what it lacks; what came off is said and planned back."""
    phone.goto("/")
    phone.get_by_label("A new vehicle").fill("Barn find")
    phone.get_by_role("button", name="Begin its logbook").tap()
    expect(phone.locator("#job")).to_have_text("Begin with what comes off")
    here = phone.url.rstrip("/")
    for page, lacking in LACKING.items():
        phone.goto(f"{here}/{page}")
        expect(phone.locator("main")).to_contain_text(lacking, timeout=PLANNED_MS)

    phone.goto(f"{here}/catch-up")
    phone.get_by_label("A part").fill("Radiator")
    phone.get_by_role("button", name="Log these days").tap()
    expect(phone.locator(".far")).to_contain_text("1 of 1 parts off")
    phone.locator("#thumb").get_by_role("link", name="Say it").tap()
    phone.get_by_label("A line").fill("off fan shroud")
    phone.get_by_label("It is new").check()
    phone.get_by_role("button", name="Log it").tap()
    expect(phone.locator("#far")).to_contain_text("2 of 2 parts off")
    phone.goto(f"{here}/rebuild")
    first = phone.locator(".job").first
    expect(first).to_contain_text("Put on: fan shroud", timeout=PLANNED_MS)
    expect(phone.locator(".figures")).to_contain_text("that of the strip, turned round")
