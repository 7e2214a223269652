"""What is known of a vehicle begun with nothing but a name: described, drawn, pictured, merged."""

from io import BytesIO

import pytest
from openpyxl import Workbook
from playwright.sync_api import expect

from tests.browser.conftest import EVERY_LOOK
from tests.browser.hands import fingers, speak
from tests.browser.own import ask, begin, is_described, logged, press
from tests.pictures.photographs import photo

pytestmark = pytest.mark.looks

LIST = b"Name,Quantity\nBell,1\nMirror,2\n"
XLSX = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"


def workbook(*rows: tuple) -> bytes:
    """A list as a spreadsheet program writes it."""
    book, written = Workbook(), BytesIO()
    for row in rows:
        book.active.append(row)
    book.save(written)
    return written.getvalue()


@pytest.mark.looks(*reversed(EVERY_LOOK))
def test_an_own_vehicle_is_described_by_list_and_whole_and_by_what_was_learned(phone, served):
    """Two files, a sub-assembly by one tap, and a count that work showed to be otherwise."""
    own = begin(phone, "Barn door")
    describe, main = f"/v/{own}/describe", phone.locator("main")
    phone.goto(describe)
    wrong = {"name": "parts.csv", "mimeType": "text/csv", "buffer": LIST + b"Horn,many\n"}
    phone.locator("#file").set_input_files(wrong)
    phone.get_by_role("button", name="Import the list").click()
    expect(phone.get_by_role("alert")).to_contain_text("Nothing was imported.")
    phone.locator("#file").set_input_files(wrong | {"buffer": LIST})
    phone.get_by_role("button", name="Import the list").click()
    expect(main).to_contain_text("Mirror")
    phone.goto(describe)
    sheet = workbook(("Name", "Quantity"), ("Wiper", 2))
    phone.locator("#file").set_input_files({"name": "b.xlsx", "mimeType": XLSX, "buffer": sheet})
    phone.get_by_role("button", name="Import the list").click()
    expect(main).to_contain_text("Wiper")
    phone.goto(describe)
    phone.locator("summary", has_text="Drum brake").click()
    phone.locator("details[open]").get_by_role("button").first.click()
    phone.wait_for_url("**/parts")
    expect(main).to_contain_text("shoe")

    is_described(served, own)
    hinges = {"kind": "joint undone", "joint": "bonnet hinges", "out": "3", "of": "3"}
    ask(served, own, "acts", hinges)
    phone.goto(describe)
    line = phone.locator(".learned", has_text="Bonnet hinges")
    expect(line).to_contain_text("Described: 4 fixings. Logged: 3 were counted")
    line.get_by_role("button").click()
    expect(line).to_have_count(0)


def test_an_own_vehicle_is_seen_by_zones_then_drawn_and_found_in_its_pages(phone, served):
    """A grid of zones first; with a place described a drawing, whose tap opens the part.

    Its photo with a ring drawn on it, the bag and the place it lies in are each found from there.
    """
    own = begin(phone, "Yard find")
    here, main = f"/v/{own}", phone.locator("main")
    is_described(served, own)
    phone.goto(f"{here}/vehicle")
    expect(phone.locator("svg.drawing")).to_have_count(0)
    phone.locator(".zones.grid").get_by_role("link", name="bonnet").tap()
    expect(phone.get_by_role("heading", name="bonnet", exact=True)).to_be_visible()
    place = {"table": "parts", "id": "bonnet", "fields": {"cg_m": [0.4, 0.0, 0.8]}}
    ask(served, own, "acts", {"kind": "described", **place})
    phone.goto(f"{here}/vehicle")
    drawing = phone.locator("svg.drawing").first
    whole = drawing.get_attribute("viewBox")
    phone.get_by_role("button", name="Larger").first.tap()
    expect(drawing).not_to_have_attribute("viewBox", whole)
    closer = drawing.get_attribute("viewBox")
    fingers(drawing, ["down", 1, 180], ["move", 1, 165], ["move", 1, 120], ["up", 1, 120])
    expect(drawing).not_to_have_attribute("viewBox", closer)
    phone.get_by_role("button", name="All", exact=True).first.tap()
    drawing.get_by_role("link", name="bonnet").tap()
    phone.wait_for_url("**/part/bonnet")

    phone.get_by_role("link", name="Add a photo or a note").tap()
    picture = {"name": "a.jpg", "mimeType": "image/jpeg", "buffer": photo()}
    phone.locator("#files").set_input_files(picture)
    phone.get_by_role("button", name="Keep", exact=True).tap()
    phone.locator("#album a").first.tap()
    phone.get_by_role("button", name="Draw on a copy").tap()
    phone.get_by_role("button", name="Ring").tap()
    canvas = phone.locator("canvas")
    for key in ("Enter", "ArrowRight", "ArrowDown", "Enter"):
        canvas.press(key)
    before = phone.url
    phone.get_by_role("button", name="Keep the drawing").tap()
    phone.wait_for_url(lambda url: url != before)
    shown = logged(served, own, "photo")
    assert shown[0]["of"] == ["part:bonnet"]
    assert shown[1]["drawn_on"] == shown[0]["photo"]
    phone.goto(f"{here}/photos")
    expect(phone.locator("#coverage")).to_contain_text("2 of 12 parts and joints")
    phone.goto(f"{here}/photos?of=part:bonnet")
    speak(phone, "creaks when it swings")
    phone.goto(f"{here}/part/bonnet")
    expect(phone.get_by_role("link", name="creaks when it swings")).to_be_visible()

    phone.goto(f"{here}/places")
    phone.get_by_label("Name").fill("Loft of the yard")
    press(phone, "Add the place")
    phone.goto(f"{here}/joint/bonnet hinges")
    deed = phone.locator(".main-deed")
    deed.get_by_label("Into the bag").fill("K7F4")
    deed.get_by_role("button", name="Undid it").tap()
    expect(phone.locator("#thing")).to_contain_text("4 of 4 out")
    phone.goto(f"{here}/hardware?by=bags")
    expect(main).to_contain_text("4 × bolt M8x1.25 x 20 mm, of bonnet hinges")


def test_a_copy_of_an_own_vehicle_is_merged_with_the_difference_shown_first(
    phone, served, tmp_path
):
    """Written, something struck out meanwhile, merged: what is only here stays."""
    own = begin(phone, "Twin")
    ask(served, own, "acts", {"kind": "note", "text": "smells of hay"})
    book, main = f"/v/{own}/book", phone.locator("main")
    phone.goto(book)
    phone.locator("summary", has_text="Take a copy away").tap()
    with phone.expect_download() as download:
        phone.get_by_role("button", name="Write the bundle").tap()
    copy = tmp_path / "twin.zip"
    download.value.save_as(copy)
    phone.goto(book)
    phone.get_by_role("link", name="smells of hay").tap()
    phone.get_by_label("Why it is struck out").fill("it was straw")
    press(phone, "Strike this out")
    phone.goto(f"{book}?words=straw")
    expect(main).to_contain_text("Struck out an entry: it was straw.")

    phone.goto("/take-in")
    phone.get_by_label("The file").set_input_files(copy)
    phone.get_by_role("button", name="Look into it").tap()
    expect(main).to_contain_text("This is a copy of Twin, which is here.")
    expect(main).to_contain_text("What is only here stays.")
    phone.get_by_role("button", name="Merge it").tap()
    phone.wait_for_url(f"**/v/{own}/**")
    assert [each["why"] for each in logged(served, own, "struck")] == ["it was straw"]
