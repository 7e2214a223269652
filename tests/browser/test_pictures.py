"""Pictures on the phone: taken, drawn on, found again; and the vehicle drawn."""

import shutil
from collections.abc import Iterator

import pytest
from playwright.sync_api import Page

from tests.browser.conftest import FAKE_DEVICES, complaints_of, seen_as, signed_in, violations
from tests.browser.hands import fingers, speak
from tests.browser.keyboard import walk
from tests.pictures.photographs import blurred, packed, photo, scene

pytestmark = pytest.mark.looks


def a_part_that_is_on(phone, served):
    """A part of the demo that is in no picture, by the page that says so."""
    phone.goto(f"/v/{served.demo}/photos")
    link = phone.locator("#coverage a[href*='of=part']").first
    return link.get_attribute("href").partition("?of=part%3A")[2].partition("#")[0]


def test_a_photo_is_taken_drawn_on_and_found_from_its_part(served, phone):
    """Chosen, looked at, kept; an arrow by finger, a ring by keys; two taps from its part."""
    part = a_part_that_is_on(phone, served)
    phone.goto(f"/v/{served.demo}/photos")
    files = [
        {"name": "sharp.jpg", "mimeType": "image/jpeg", "buffer": photo()},
        {"name": "shaken.jpg", "mimeType": "image/jpeg", "buffer": packed(blurred(scene()))},
    ]
    phone.locator("#files").set_input_files(files)
    phone.get_by_text("shaken.jpg looks blurred").wait_for()
    phone.locator("[data-sent] li", has_text="shaken").get_by_role("button").click()
    shows = phone.get_by_label("What it shows")
    shows.fill("nothing is called so")
    assert not shows.evaluate("field => field.validity.valid")
    shows.fill(part.lower())
    phone.get_by_label("Looking").select_option("up")
    phone.get_by_role("button", name="Keep", exact=True).click()
    phone.get_by_text("Photographed").wait_for()
    phone.locator("#album img").first.wait_for()

    phone.goto(f"/v/{served.demo}/part/{part}")
    phone.locator(".thumbs a").first.click()
    large = phone.locator("img.large")
    large.wait_for()
    assert large.evaluate("image => image.decode().then(() => image.naturalWidth)") == 640

    original = phone.url
    phone.get_by_role("button", name="Draw on a copy").click()
    canvas = phone.locator("canvas")
    box = canvas.bounding_box()
    phone.mouse.move(box["x"] + 40, box["y"] + 40)
    phone.mouse.down()
    phone.mouse.move(box["x"] + 160, box["y"] + 120)
    phone.mouse.up()
    phone.get_by_role("button", name="Ring").click()
    canvas.focus()
    for key in ("Enter", "ArrowRight", "ArrowRight", "ArrowDown", "ArrowDown", "Enter"):
        canvas.press(key)
    phone.get_by_role("button", name="Keep the drawing").click()
    phone.wait_for_url(lambda url: url != original)
    phone.get_by_role("link", name="Photo of").wait_for()
    assert violations(phone) == []
    assert walk(phone).missed == ()


@pytest.fixture
def strict_phone(served, chromium, look) -> Iterator[Page]:
    """A phone whose pages use the microphone only if they may: a matter of the window.

    What a page complains of fails the test.
    """
    program = shutil.which("chromium")
    assert program, "no whole Chromium here: install Debian's package chromium"
    browser = chromium.browser_type.launch(
        executable_path=program, args=["--no-sandbox", FAKE_DEVICES]
    )
    page = signed_in(served, browser).new_page()
    seen_as(page, *look)
    with complaints_of(page) as complaints:
        yield page
    browser.close()
    assert complaints == []


def test_a_note_is_spoken_and_heard_from_its_part(served, strict_phone):
    """The microphone not allowed is told in words; allowed, what was said is found at its part."""
    phone = strict_phone
    part = a_part_that_is_on(phone, served)
    phone.goto(f"/v/{served.demo}/photos?of=part:{part}")
    phone.get_by_role("button", name="Speak a note").click()
    phone.get_by_text("may not use the microphone").wait_for()
    speak(phone, "creaks when it swings")

    phone.goto(f"/v/{served.demo}/part/{part}")
    phone.get_by_role("link", name="creaks when it swings").wait_for()
    lasts = phone.locator("audio").first.evaluate(
        """audio => new Promise((done, fail) => {
          audio.onerror = () => fail(new Error(audio.error.message));
          audio.onplaying = () => done(audio.currentSrc);
          audio.muted = true;
          audio.play().catch(fail);
        })"""
    )
    assert lasts.endswith("size=original")


def test_what_is_no_picture_is_refused_beside_the_field(served, phone):
    """In words, where the person looks; nothing waits to be kept."""
    phone.goto(f"/v/{served.empty}/photos")
    page = {"name": "drawn.jpg", "mimeType": "image/jpeg", "buffer": b"<svg><script/></svg>"}
    phone.locator("#files").set_input_files(page)
    phone.get_by_role("alert").filter(has_text="can carry a program").wait_for()
    assert phone.locator("[data-sent] li").count() == 0
    assert phone.locator("#files").get_attribute("aria-invalid") == "true"


def test_the_vehicle_comes_closer_and_a_tap_opens_a_part(served, phone):
    """By the button, by two fingers, and aside by one; by keys from part to part; by a tap."""
    phone.goto(f"/v/{served.demo}/vehicle")
    svg = phone.locator("svg.drawing").first
    seen = lambda: list(map(float, svg.get_attribute("viewBox").split()))  # noqa: E731
    width = lambda: seen()[2]  # noqa: E731 - asked thrice
    whole = width()
    phone.get_by_role("button", name="Larger").first.click()
    closer = width()
    assert closer == pytest.approx(whole / 1.6)
    fingers(
        svg, ["down", 1, 100], ["down", 2, 140], ["move", 2, 180], ["up", 1, 100], ["up", 2, 180]
    )
    assert width() == pytest.approx(closer / 2)
    before = seen()
    fingers(svg, ["down", 1, 180], ["move", 1, 165], ["move", 1, 120], ["up", 1, 120])
    aside = 60 * before[2] / svg.bounding_box()["width"]
    assert seen() == pytest.approx([before[0] + aside, *before[1:]])
    phone.get_by_role("button", name="All", exact=True).first.click()
    assert width() == whole
    first = svg.locator("a[tabindex='0']")
    assert first.count() == 1
    first.focus()
    phone.keyboard.press("ArrowRight")
    walked = phone.evaluate("document.activeElement.getAttribute('href')")
    phone.keyboard.press("Enter")
    phone.wait_for_url(f"**{walked}")
    phone.go_back()
    box = svg.bounding_box()
    at = {"x": box["x"] + box["width"] / 2, "y": box["y"] + box["height"] * 0.7}
    under = "({x, y}) => document.elementFromPoint(x, y).closest('a').getAttribute('href')"
    address = phone.evaluate(under, at)
    phone.touchscreen.tap(at["x"], at["y"])
    phone.wait_for_url(f"**{address}")
