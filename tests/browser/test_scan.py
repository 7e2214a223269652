"""Scanning, the keypad and the slate: before a camera that is fed our own printed tags.

What is logged is compared in the store, not on the screen.
"""

import base64
import hashlib
import json
import re
from collections import Counter
from contextlib import contextmanager
from random import Random
from urllib.request import Request, urlopen

import pytest
from playwright.sync_api import expect

from putback.logbook.tags import tag_at
from putback.web.pages.access import COOKIE
from scripts.tag_pictures import AGREED, WAYS, all_spoilt, as_film, as_jpeg, seen, spoilt
from tests.browser.conftest import PHONE, violations, windowless
from tests.browser.queued import stored
from tests.browser.test_offline import all_sent, look_at
from tests.browser.wire import Mode
from tests.pictures.photographs import photo

BAG, BOX = tag_at(2000), tag_at(2001)
TAKEN_ALONG = tag_at(2002)
READ = """async ([picture, address]) => {
  const { openReader } = await import(address);
  globalThis.reader ??= await openReader();
  const bytes = Uint8Array.from(atob(picture), (each) => each.charCodeAt(0));
  return [reader.by, await reader.read(new Blob([bytes]))];
}"""
NO_CAMERA = """navigator.mediaDevices.getUserMedia = () =>
  Promise.reject(new DOMException("no", "NotAllowedError"))"""
NO_CAMERA_TO_SCAN = f"if (location.pathname.endsWith('/scan')) {NO_CAMERA}"
TORCH = """
  window.asked = [];
  MediaStreamTrack.prototype.getCapabilities = () => ({ torch: true });
  MediaStreamTrack.prototype.applyConstraints = async ({ advanced: [{ torch }] }) => {
    if (window.asked.length === 2) throw new DOMException("no light", "OverconstrainedError");
    window.asked.push(torch);
  };
"""
"""A camera that has a torch, which can be lit and put out, and then works no more."""
OWN_DETECTOR = """globalThis.BarcodeDetector = class {
  static getSupportedFormats() { return Promise.resolve(["qr_code"]); }
  detect() { return Promise.resolve([{ rawValue: "%s" }, { rawValue: "a stranger's code" }]); }
}"""


@pytest.fixture(scope="module")
def tagged(served):
    """The empty vehicle with two bags and a box."""
    entries = [
        {"kind": "container made", "tag": BAG, "name": "Lid and screws"},
        {"kind": "container made", "tag": BOX, "container": "box"},
        {"kind": "container made", "tag": TAKEN_ALONG, "name": "Hinge bolts"},
    ]
    asked = Request(
        f"{served.address}/api/vehicles/{served.empty}/acts",
        data=json.dumps({"entries": entries}).encode(),
        headers={"Authorization": f"Bearer {served.token}", "Content-Type": "application/json"},
    )
    with urlopen(asked):
        return served


@pytest.fixture
def pocket(wire, served, chromium, tmp_path):
    """A phone whose browser can be closed and opened again: what it keeps stays."""

    @contextmanager
    def opened(*args):
        context = chromium.browser_type.launch_persistent_context(
            str(tmp_path / "profile"),
            executable_path=windowless(),
            args=["--no-sandbox", *args],
            base_url=wire.address,
            viewport=PHONE,
            has_touch=True,
        )
        context.add_cookies([{"name": COOKIE, "value": served.token, "url": wire.address}])
        yield context.pages[0] if context.pages else context.new_page()
        context.close()

    return opened


@pytest.fixture(scope="module")
def film(tmp_path_factory):
    """What gives a browser a camera that sees a bag's tag leaning back, then a box's in the shade.

    As spoilt as the last of the agreed steps; the benchmark films the others.
    """
    path = tmp_path_factory.mktemp("film") / "tags.mjpeg"
    ways = {each.name: each for each in WAYS}
    seen_as = ((BAG, ways["tilted"]), (BOX, ways["half shaded"]))
    pictures = [way.spoil(tag, way.steps[AGREED], Random(7)) for tag, way in seen_as]
    path.write_bytes(as_film(pictures, 45))
    return (
        "--use-fake-ui-for-media-stream",
        "--use-fake-device-for-media-stream",
        f"--use-file-for-fake-video-capture={path}",
    )


@pytest.fixture(scope="module")
def filming(served, chromium, film):
    """A browser with that camera."""
    browser = chromium.browser_type.launch(
        executable_path=windowless(), args=["--no-sandbox", *film]
    )
    yield browser
    browser.close()


@pytest.fixture
def camera(tagged, filming):
    """A phone of the owner's with that camera."""
    context = filming.new_context(
        base_url=tagged.address, viewport=PHONE, has_touch=True, permissions=["camera"]
    )
    context.add_cookies([{"name": COOKIE, "value": tagged.token, "url": tagged.address}])
    page = context.new_page()
    faults: list[str] = []
    page.on("pageerror", lambda error: faults.append(str(error)))
    page.on("console", lambda said: faults.append(said.text) if said.type == "error" else None)
    yield page
    context.close()
    assert faults == []


def bodies(served, before):
    """What the store has since, kind and body, in the order of their ids."""
    now = stored(served)
    return [(now[each]["kind"], now[each]["body"]) for each in sorted(set(now) - set(before))]


def test_two_tags_one_after_the_other_are_a_move(tagged, camera):
    """Bag and box shown to the camera, one tap: the store has the one entry; struck out again."""
    before = stored(tagged)
    camera.goto(f"/v/{tagged.empty}/scan")
    camera.get_by_role("button", name=f"Moved: {BAG} into {BOX}").click(timeout=60_000)
    camera.get_by_role("button", name="Strike out").wait_for()
    assert bodies(tagged, before) == [("put in", {"what": f"tag:{BAG}", "tag": BOX})]
    camera.get_by_role("button", name="Strike out").click()
    camera.get_by_role("status").filter(has_text=re.compile("struck", re.I)).first.wait_for()
    assert [kind for kind, _ in bodies(tagged, before)] == ["put in", "struck"]


def test_a_picture_belongs_to_the_tag_shown_before_it(tagged, camera):
    """The slate, live: a tag comes before the camera, then the shutter; the photo is stored."""
    before = stored(tagged)
    camera.goto(f"/v/{tagged.empty}/slate")
    shutter = camera.locator("[data-shutter]")
    expect(shutter).to_have_text(re.compile("Photograph for"), timeout=60_000)
    shutter.click()
    camera.get_by_role("button", name="Strike out").wait_for()
    tag = camera.locator("[data-shots] .under").inner_text()
    ((kind, body),) = bodies(tagged, before)
    assert (kind, body["of"]) == ("photo", [f"tag:{tag}"])
    assert tag in {BAG, BOX}


def test_the_browsers_own_detector_is_used_where_there_is_one(tagged, camera):
    """No worker is begun then, and a code that is no tag is nobody's business."""
    camera.add_init_script(OWN_DETECTOR % BAG)
    camera.goto(f"/v/{tagged.empty}/scan")
    camera.locator("#found-tag").filter(has_text=BAG).wait_for()
    assert camera.workers == []


def test_the_torch_has_a_button_that_tells_whether_it_is_lit(tagged, camera):
    """Lit and put out by taps; a torch that refuses loses its button, and so has a camera none."""
    torch = camera.locator("[data-torch]")
    camera.add_init_script(OWN_DETECTOR % BAG)
    camera.goto(f"/v/{tagged.empty}/scan")
    camera.locator("#found-tag").filter(has_text=BAG).wait_for()
    expect(torch).to_be_hidden()
    camera.add_init_script(TORCH)
    camera.reload()
    for is_lit in (True, False):
        torch.click()
        expect(torch).to_have_attribute("aria-pressed", str(is_lit).lower())
        assert camera.evaluate("window.asked.at(-1)") is is_lit
    torch.click()
    expect(torch).to_be_hidden()
    assert camera.evaluate("window.asked") == [True, False]


def test_without_a_camera_there_are_words_and_the_keypad(tagged, own_phone):
    """A wrong fourth character is said at once; the right one tells what the tag stands for."""
    phone = own_phone
    phone.add_init_script(NO_CAMERA)
    phone.goto(f"/v/{tagged.empty}/scan")
    phone.get_by_text("allow it for this page").wait_for()
    keys = phone.get_by_role("group", name="Characters of a tag").get_by_role("button")
    assert keys.count() == 20
    size = keys.first.bounding_box()
    assert min(size["width"], size["height"]) >= 64
    wrong = next(each for each in "234678ACDFHKNPTWXY" if each != BAG[3])
    for character in BAG[:3] + wrong:
        phone.get_by_role("button", name=character, exact=True).click()
    phone.get_by_role("alert").filter(has_text="does not check").wait_for()
    assert violations(phone) == []
    phone.get_by_role("button", name="Take the last one back").click()
    phone.locator("#typed").focus()
    phone.wait_for_function("document.activeElement.selectionStart === 3")
    phone.keyboard.press(BAG[3].lower())  # a keyboard does as well
    phone.locator("#found-tag").filter(has_text=BAG).wait_for()
    phone.get_by_text("Lid and screws").first.wait_for()


def test_scan_and_slate_go_on_without_a_network(tagged, wire, pocket, film):
    """Server dead, browser closed: what the tags stand for is told.

    Two tags are a move, a picture belongs to the tag before it; both are sent later.
    """
    before = stored(tagged)
    with pocket() as page:
        look_at(page, tagged.empty)
        page.evaluate("navigator.serviceWorker.ready.then(() => true)")
        page.wait_for_function("navigator.serviceWorker.controller !== null")
    wire.mode = Mode.DEAD
    with pocket(*film) as page:
        page.add_init_script(NO_CAMERA_TO_SCAN)
        page.goto(f"/v/{tagged.empty}/scan")
        page.get_by_text("No network").wait_for()
        page.locator("#typed").press_sequentially(TAKEN_ALONG)
        page.locator("#found-tag").filter(has_text="Hinge bolts").wait_for()
        page.locator("#typed").fill("")
        page.locator("#typed").press_sequentially(BOX)
        page.get_by_role("button", name=f"Moved: {TAKEN_ALONG} into {BOX}").click()
        page.get_by_text("Queued on this phone").first.wait_for()
        page.get_by_role("link", name="Slate").click()
        shutter = page.locator("[data-shutter]")
        expect(shutter).to_have_text(re.compile("Photograph for"), timeout=60_000)
        page.get_by_text(re.compile("^Now under .*, Lid and screws")).wait_for()
        assert violations(page) == []
        shutter.click()
        page.get_by_text("Queued on this phone").first.wait_for()
        under = page.locator("[data-shots] .under").inner_text()
        page.get_by_role("link", name="Scan a tag").click()
        page.locator("#typed").press_sequentially(TAKEN_ALONG)
        page.get_by_text(f"In {BOX}").wait_for()
        wire.mode = Mode.THROUGH
        page.goto(f"/v/{tagged.empty}/")
        all_sent(page)
    move, (kind, taken) = bodies(tagged, before)
    assert move == ("put in", {"what": f"tag:{TAKEN_ALONG}", "tag": BOX})
    assert (kind, taken["of"]) == ("photo", [f"tag:{under}"])


def test_a_field_that_asks_for_a_tag_has_the_keypad(tagged, phone):
    """Opened beside the field, it fills it in."""
    phone.goto(f"/v/{tagged.empty}/tag/{BAG}")
    phone.get_by_text("Put it into a box", exact=True).first.click()
    phone.get_by_role("button", name="Keys for the tag").click()
    dialog = phone.get_by_role("dialog")
    dialog.get_by_label("The four characters").press_sequentially(BOX.lower())
    expect(phone.get_by_label("Tag of the box")).to_have_value(BOX)
    assert dialog.count() == 0


def test_a_roll_is_cut_put_right_and_kept_as_one_act(tagged, phone):
    """Six pictures: one before the first tag, one moved by taps, one left out."""
    before = stored(tagged)
    dice = Random(3)
    scenes = [photo() + bytes([each]) for each in range(4)]
    roll = [scenes[0], as_jpeg(seen(BAG, dice=dice)), scenes[1], scenes[2]]
    roll += [as_jpeg(seen(BOX, dice=dice)), scenes[3]]
    names = [f"IMG_{at}.jpg" for at in range(6)]
    phone.goto(f"/v/{tagged.empty}/slate")
    phone.locator("#roll").set_input_files(
        [
            {"name": name, "mimeType": "image/jpeg", "buffer": content}
            for name, content in zip(names, roll, strict=True)
        ]
    )
    under = groups_of(phone)
    assert under == {
        "": ["IMG_0.jpg"],
        BAG: [f"IMG_1.jpg {BAG}", "IMG_2.jpg", "IMG_3.jpg"],
        BOX: [f"IMG_4.jpg {BOX}", "IMG_5.jpg"],
        "-": [],
    }
    assert violations(phone) == []

    def move(name, group):
        phone.locator("[data-shot]", has_text=name).locator("[data-pick]").check()
        phone.locator(f"[data-group='{group}'] [data-here]").click()

    move("IMG_3.jpg", BOX)
    move("IMG_0.jpg", "-")
    phone.get_by_role("button", name="Keep 5").click()
    phone.wait_for_url("**/photos*")
    kept = bodies(tagged, before)
    assert Counter((body["photo"], *body["of"]) for _, body in kept) == Counter(
        (hashlib.sha256(roll[at]).hexdigest(), f"tag:{tag}")
        for at, tag in ((1, BAG), (2, BAG), (3, BOX), (4, BOX), (5, BOX))
    )
    acts = {each["act"] for key, each in stored(tagged).items() if key not in before}
    assert len(acts) == 1


def groups_of(phone):
    """The pictures in each group, by its tag."""
    phone.locator("form.cut").wait_for(timeout=30_000)
    return {
        group.get_attribute("data-group"): group.locator(".under").all_inner_texts()
        for group in phone.locator("form.cut [data-group]").all()
    }


def test_tags_are_read_as_often_as_was_agreed(tagged, phone):
    """Clean ones always, spoilt ones in nine of ten pictures; the benchmark tries many more."""
    phone.goto(f"/v/{tagged.empty}/scan")
    script = phone.locator("script[src$='/scan.js']").get_attribute("src")
    address = script.replace("scan.js", "reader.js")

    def is_read(one):
        picture = base64.b64encode(as_jpeg(one.picture)).decode()
        by, tags = phone.evaluate(READ, [picture, address])
        assert by == "worker"
        assert tags in ([], [one.tag]), "another tag was read than there is"
        return tags == [one.tag]

    assert all(is_read(spoilt(way, 0, 0)) for way in WAYS)
    read = [is_read(each) for each in all_spoilt(1, range(1, AGREED + 1))]
    assert sum(read) >= 0.9 * len(read)
