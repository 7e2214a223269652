"""The album on its page: seen by those who may, added to by those who work, and every refusal."""

import re
from hashlib import sha256
from html import escape
from urllib.parse import urlencode

import html5lib
import pytest

from putback.logbook.entries.base import DeviceId
from putback.logbook.entries.working import PartOff, PhotoTaken
from tests.pictures.photographs import blurred, packed, photo, scene
from tests.pictures.test_reading import huge_png
from tests.web.site import NEIGHBOUR, OWNER, VIEWER, WORKER

TAKEN = photo()
DIGEST = sha256(TAKEN).hexdigest()
SVG = b"<svg xmlns='http://www.w3.org/2000/svg'><script>alert(1)</script></svg>"


def multipart(files, **said):
    """Files by the form, as a browser without a script sends them, each name just as it is."""
    begin = "--edge\r\nContent-Disposition: form-data; "
    fields = [f'{begin}name="{field}"\r\n\r\n{value}\r\n' for field, value in said.items()]
    body = "".join(fields).encode()
    for name, content in files:
        named = f'name="file"; filename="{name}"\r\nContent-Type: image/jpeg\r\n\r\n'
        body += (begin + named).encode() + content + b"\r\n"
    return body + b"--edge--\r\n", "multipart/form-data; boundary=edge"


def add(site, content=TAKEN, name="p.jpg", who=WORKER, **said):
    """Send one file."""
    sent = multipart([(name, content)], **{"of": "", **said})
    return site.browser(who).generic("POST", f"/v/{site.vehicle}/photos", *sent)


def entries(site):
    """The photos and sounds that are logged."""
    said = site.here.workshop.standing(site.vehicle)
    return [each for each in said if each.kind in {"photo", "sound"}]


def test_a_photo_is_kept_and_seen(site):
    """Sent by the form, it is on the page, small, and its original is what was sent."""
    answer = add(site, looking="up", words="as found")
    assert answer.status_code == 302
    shown = site.browser(VIEWER).get(f"/v/{site.vehicle}/photos")
    assert f"{DIGEST}?size=small" in shown.content.decode()
    assert "as found" in shown.content.decode()
    (entry,) = entries(site)
    assert (entry.body.photo, entry.body.looking, entry.who) == (DIGEST, "up", site.people[WORKER])
    assert site.here.workshop.photos.get(DIGEST) == TAKEN
    original = site.browser(VIEWER).get(f"/api/vehicles/{site.vehicle}/photos/{DIGEST}")
    assert original.content == TAKEN


def test_the_page_of_a_photo_says_what_it_shows(site):
    """When, by whom, which way one looked, and links to the original."""
    add(site, looking="rearward", words="the shims")
    page = site.browser(VIEWER).get(f"/v/{site.vehicle}/photos/{DIGEST}").content.decode()
    assert "Photo of the work, looking rearward: the shims" in page
    assert f"by <span>{site.people[WORKER]}</span>" in page
    assert "byte for byte" in page
    assert "Strike it out" not in page


def test_a_photo_is_served_as_what_it_is_and_kept_by_the_asker_alone(site):
    """Nothing guesses its type, nothing in between keeps it, and a small one is WebP."""
    add(site)
    for size, kind in (
        ("original", "image/jpeg"),
        ("page", "image/webp"),
        ("small", "image/webp"),
    ):
        at = f"/api/vehicles/{site.vehicle}/photos/{DIGEST}?size={size}"
        answer = site.browser(VIEWER).get(at)
        assert answer.headers["Content-Type"] == kind
        assert answer.headers["X-Content-Type-Options"] == "nosniff"
        assert answer.headers["Cache-Control"].startswith("private, ")
        assert "default-src 'none'" in answer.headers["Content-Security-Policy"]
        again = site.browser(VIEWER).get(at)
        assert again.content == answer.content


@pytest.mark.parametrize("who", [NEIGHBOUR, None])
def test_a_stranger_sees_no_photo_even_if_they_know_its_name(site, who):
    """404, on the vehicle it is of; and on a vehicle of theirs, whose logbook names it not."""
    add(site)
    browser = site.browser(who)
    theirs = next(each.id for each in site.here.workshop.logbooks() if each.id != site.vehicle)
    for logbook in (site.vehicle, theirs):
        for address in (
            f"/api/vehicles/{logbook}/photos/{DIGEST}",
            f"/api/vehicles/{logbook}/photos/{DIGEST}?size=small",
            f"/v/{logbook}/photos/{DIGEST}",
        ):
            unknown = who is None and "/api/" in address  # the API asks who it is
            assert browser.get(address).status_code == (401 if unknown else 404)


def test_a_photo_that_is_struck_out_is_seen_no_more(site):
    """Neither its page nor its bytes; the bytes stay stored."""
    add(site)
    (entry,) = entries(site)
    answer = site.browser(WORKER).post(f"/v/{site.vehicle}/book/strike", {"what": entry.id})
    assert answer.status_code == 302
    for address in (
        f"/api/vehicles/{site.vehicle}/photos/{DIGEST}",
        f"/v/{site.vehicle}/photos/{DIGEST}",
    ):
        assert site.browser(OWNER).get(address).status_code == 404
    assert site.here.workshop.photos.has(DIGEST)


REFUSED = {
    "a page that is called a photo": (b"<html><body>", "p.jpg", "is no picture"),
    "a photo broken off": (TAKEN[: len(TAKEN) // 2], "p.jpg", "broken off or spoilt"),
    "a picture beyond measure": (huge_png(), "p.png", "would unpack to 20000 × 20000 pixels"),
    "a drawing with a script": (SVG, "p.svg", "can carry a program"),
    "a drawing with a script, called a photo": (SVG, "p.jpg", "can carry a program"),
    "a name that leads elsewhere": (TAKEN, "../../etc/cron.d/p.jpg", "a way to another place"),
    "a name that leads elsewhere, backwards": (TAKEN, "..\\..\\p.jpg", "a way to another place"),
    "an empty file": (b"", "p.jpg", "the file is empty"),
}


@pytest.mark.parametrize("what", REFUSED)
def test_what_is_refused_is_said_beside_the_field_and_nothing_is_stored(site, what):
    """By the form and by the API, in the same words."""
    content, name, words = REFUSED[what]
    answer = add(site, content, name, words="the shims")
    page = answer.content.decode()
    assert answer.status_code == 400
    fault = html5lib.parse(page, namespaceHTMLElements=False).find(".//*[@id='file-fault']")
    assert words in fault.text
    assert "othing was saved" in fault.text
    assert 'value="the shims"' in page
    address = f"/api/vehicles/{site.vehicle}/photos?{urlencode({'name': name})}"
    sent = site.browser(WORKER).post(address, content, "image/jpeg")
    assert sent.status_code == 400
    assert words in sent.json()["message"]
    assert (entries(site), list(site.here.workshop.photos)) == ([], [])


def test_one_bad_file_keeps_the_good_ones_out_too(site):
    """All or nothing, so that nobody wonders which were kept; no file at all is said as well."""
    files = multipart([("a.jpg", TAKEN), ("b.jpg", b"nothing")])
    answer = site.browser(WORKER).generic("POST", f"/v/{site.vehicle}/photos", *files)
    assert "b.jpg" in answer.content.decode()
    none = site.browser(WORKER).post(f"/v/{site.vehicle}/photos", {"of": ""})
    assert (answer.status_code, none.status_code) == (400, 400)
    assert "o file was chosen" in none.content.decode()
    assert (entries(site), list(site.here.workshop.photos)) == ([], [])


def test_too_many_or_too_large_are_refused(site, monkeypatch):
    """Before they are read."""
    monkeypatch.setattr("putback.workshop.pictures.keep_media.LARGEST_BYTES", 1000)
    assert "the file has" in add(site).content.decode()
    sent = site.browser(WORKER).post(f"/api/vehicles/{site.vehicle}/photos", TAKEN, "image/jpeg")
    assert (sent.status_code, "the file has" in sent.json()["message"]) == (400, True)
    many = multipart([(f"{each}.jpg", b"x") for each in range(31)])
    answer = site.browser(WORKER).generic("POST", f"/v/{site.vehicle}/photos", *many)
    assert "these are 31 files" in answer.content.decode()
    assert list(site.here.workshop.photos) == []


def test_who_only_looks_adds_nothing(site):
    """A viewer is told whose business it is, by the form and by the API; they see no form."""
    assert add(site, who=VIEWER).status_code == 403
    sent = site.browser(VIEWER).post(f"/api/vehicles/{site.vehicle}/photos", TAKEN, "image/jpeg")
    assert sent.status_code == 403
    assert 'id="add"' not in site.browser(VIEWER).get(f"/v/{site.vehicle}/photos").content.decode()
    assert list(site.here.workshop.photos) == []


def test_a_blurred_photo_is_pointed_out_at_once_and_kept(site):
    """On the page that the form leads to, and in the answer of the API."""
    shaken = packed(blurred(scene()))
    answer = add(site, shaken)
    page = site.browser(WORKER).get(answer.headers["Location"]).content.decode()
    assert "looks blurred" in page
    assert len(entries(site)) == 1
    sent = site.browser(WORKER).post(f"/api/vehicles/{site.vehicle}/photos", shaken, "image/jpeg")
    assert sent.json()["warning"].startswith("looks blurred")


def test_bytes_come_first_and_the_act_that_names_them_next(site):
    """As the script does it: the API keeps the bytes, and an act names them."""
    worker = site.browser(WORKER)
    kept = worker.post(f"/api/vehicles/{site.vehicle}/photos", TAKEN, "image/jpeg").json()
    assert kept | {"warning": ""} == {
        "photo": DIGEST,
        "media_type": "image/jpeg",
        "width_px": 640,
        "height_px": 480,
        "warning": "",
    }
    at = f"/api/vehicles/{site.vehicle}/photos/{DIGEST}"
    assert worker.get(at).status_code == 404
    act = {"entries": [{"kind": "photo", "photo": DIGEST, "media_type": "image/jpeg"}]}
    answer = worker.post(f"/api/vehicles/{site.vehicle}/acts", act, "application/json")
    assert answer.json()["sentences"] == ["Photographed the work."]
    assert worker.get(at).content == TAKEN
    (listed,) = worker.get(f"/api/vehicles/{site.vehicle}/photos").json()
    assert (listed["photo"], listed["is_here"]) == (DIGEST, True)


def test_what_an_entry_claims_of_a_photo_does_not_make_it_a_page(site):
    """Bytes that came with a bundle are given by what they are, or not at all."""
    page = site.here.workshop.photos.put(b"<script>alert(1)</script>")
    body = PhotoTaken(photo=page, media_type="text/html")
    site.here.workshop.log(site.vehicle, [body], who=site.people[OWNER], device=DeviceId("laptop"))
    for size in ("original", "small", "page"):
        at = f"/api/vehicles/{site.vehicle}/photos/{page}?size={size}"
        assert site.browser(OWNER).get(at).status_code == 404


def test_a_spoken_note_is_played_in_pieces(site):
    """Some phones ask for a range, and play nothing without it (RFC 9110, 14)."""
    sound = b"\x1a\x45\xdf\xa3" + bytes(range(100))
    add(site, sound, "note.webm", words="it rattles")
    (entry,) = entries(site)
    assert (entry.kind, entry.body.words) == ("sound", "it rattles")
    at = f"/api/vehicles/{site.vehicle}/photos/{entry.body.sound}"
    browser = site.browser(VIEWER)
    whole = browser.get(at)
    assert (whole.headers["Content-Type"], whole.content) == ("audio/webm", sound)
    piece = browser.get(at, headers={"Range": "bytes=4-7"})
    assert (piece.status_code, piece.content) == (206, bytes(range(4)))
    assert piece.headers["Content-Range"] == "bytes 4-7/104"
    rest = browser.get(at, headers={"Range": "bytes=100-"})
    assert rest.content == sound[100:]
    assert browser.get(at, headers={"Range": "bytes=104-"}).status_code == 416
    assert "<audio" in browser.get(f"/v/{site.vehicle}/photos").content.decode()


def test_pictures_of_a_part_are_two_taps_from_it(demo_site):
    """The page of a part shows its pictures, and one tap opens one."""
    demo = demo_site.demo()
    workshop, owner = demo_site.here.workshop, demo_site.people[OWNER]
    state = workshop.state(demo)
    part = next(each for each in state.vehicle.parts if each not in state.parts_off)
    taken = workshop.photos.put(TAKEN)
    said = [PhotoTaken(photo=taken, of=(f"part:{part}",)), PartOff(part=part)]
    workshop.log(demo, said, who=owner, device=DeviceId("laptop"))
    browser = demo_site.browser(VIEWER)
    page = browser.get(f"/v/{demo}/part/{part}").content.decode()
    assert f'href="/v/{demo}/photos/{taken}"' in page
    shown = browser.get(f"/v/{demo}/photos?of=part:{part}").content.decode()
    assert "from before" in shown


def test_coverage_says_what_to_photograph_next(demo_site):
    """What the plan touches next and is in no picture is listed, each a tap from being shown."""
    demo = demo_site.demo()
    page = demo_site.browser(VIEWER).get(f"/v/{demo}/photos").content.decode()
    assert "On, and in no picture" in page
    assert "?of=part%3A" in page or "?of=joint%3A" in page
    empty = demo_site.browser(VIEWER).get(f"/v/{demo_site.vehicle}/photos").content.decode()
    assert "No part or joint is described yet" in empty


def test_a_run_has_pictures_of_its_own(demo_site):
    """By its identity, as a run or as the part that it is, and by its name; and it is offered."""
    demo, client = demo_site.demo(), demo_site.browser(WORKER)
    state = demo_site.here.workshop.state(demo)
    run = next(iter(state.vehicle.runs))
    name = state.name_of(f"part:{run}")
    digest = demo_site.here.workshop.photos.put(TAKEN)
    for said in (f"run:{run}", name):
        page = client.get(f"/v/{demo}/photos", {"of": said}).content.decode()
        assert f"Photos of {escape(name)}" in page
        assert digest not in page
    sent = multipart([("p.jpg", TAKEN)], of=f"run:{run}")
    assert client.generic("POST", f"/v/{demo}/photos", *sent).status_code == 302
    (kept,) = (
        each for each in demo_site.here.workshop.standing(demo) if digest in each.raw.decode()
    )
    assert kept.body.of == (f"part:{run}",)
    for said in (f"run:{run}", f"part:{run}"):
        assert digest in client.get(f"/v/{demo}/photos", {"of": said}).content.decode()
    assert f'data-subject="part:{run}"' in client.get(f"/v/{demo}/photos").content.decode()


def test_joints_and_jobs_can_be_chosen_by_name(demo_site):
    """All of the vehicle, not the next ones alone."""
    demo = demo_site.demo()
    vehicle = demo_site.here.workshop.state(demo).vehicle
    page = demo_site.browser(WORKER).get(f"/v/{demo}/photos").content.decode()
    offered = set(re.findall(r'data-subject="([^"]+)"', page))
    assert offered >= {f"joint:{each}" for each in vehicle.joints}
    assert offered >= {f"job:{each}" for each in vehicle.jobs}


def test_it_shows_something_else_as_well_by_its_name(demo_site):
    """Found first, then said by a tap; what nothing is called is said to be so."""
    demo, client = demo_site.demo(), demo_site.browser(WORKER)
    client.generic("POST", f"/v/{demo}/photos", *multipart([("p.jpg", TAKEN)], of=""))
    part = next(iter(demo_site.here.workshop.state(demo).vehicle.parts.values()))
    address = f"/v/{demo}/photos/{DIGEST}"
    found = client.get(address, {"of": part.id}).content.decode()
    assert f'name="1.of[]" value="part:{part.id}"' in found
    none = client.get(address, {"of": "no such thing"}).content.decode()
    assert 'role="alert"' in none
    assert "1.of[]" not in none


@pytest.mark.parametrize("of", ["part:none-such", "<script>", "photo", "part:"])
def test_a_thing_that_is_not_there_is_no_subject(site, of):
    """It is refused with what was sent; asked for, it is said that nothing is called so."""
    assert add(site, of=of).status_code == 400
    assert entries(site) == []
    asked = site.browser(VIEWER).get(f"/v/{site.vehicle}/photos", {"of": of})
    assert asked.status_code == 200
    assert '<div class="fault" role="alert">' in asked.content.decode()


def test_the_pages_are_valid_html(demo_site):
    """Read as strictly as the standard says, full and empty."""
    add(demo_site)
    demo = demo_site.demo()
    for address in (
        f"/v/{demo_site.vehicle}/photos",
        f"/v/{demo_site.vehicle}/photos/{DIGEST}",
        f"/v/{demo}/photos",
    ):
        page = demo_site.browser(OWNER).get(address)
        assert page.status_code == 200
        html5lib.HTMLParser(strict=True).parse(page.content.decode())
        assert "style=" not in page.content.decode()
