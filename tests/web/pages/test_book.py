"""The logbook: read, struck out and brought back, noted late, taken away and merged."""

import io
import zipfile

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile

from putback.logbook.entries.base import DeviceId, PersonId
from putback.logbook.entries.holding import HoldSet
from putback.logbook.entries.working import NoteMade, PhotoTaken
from putback.workshop.exchange.exchange import export_bundle, take_in
from putback.workshop.logbooks.memory import MemoryEntryStore, MemoryPhotoStore
from putback.workshop.logbooks.ports import SystemClock
from putback.workshop.logbooks.workshop import Workshop
from tests.pictures.photographs import photo
from tests.web.site import NEIGHBOUR, OWNER, WORKER

LAPTOP = DeviceId("laptop")


def note(site, text: str) -> str:
    """Log a note, and give the identity of its entry."""
    act = site.here.workshop.log(
        site.vehicle, [NoteMade(text=text)], who=site.people[WORKER], device=LAPTOP
    )
    return act.entries[0].id


def read(site, query: str = "") -> str:
    answer = site.browser().get(f"/v/{site.vehicle}/book{query}")
    assert answer.status_code == 200
    return answer.content.decode()


def test_entries_are_found_newest_first(site):
    """By words, kind and day; a page that is no number is the first."""
    note(site, "smells of mice")
    note(site, "dry as a bone")
    page = read(site)
    assert page.index("dry as a bone") < page.index("smells of mice")
    assert "dry as a bone" not in read(site, "?words=mice")
    assert "Nothing was found" in read(site, "?day=1999-01-01")
    assert "smells of mice" in read(site, "?page=%C2%B2&kind=note")


def test_what_is_struck_out_stays_to_be_read_and_comes_back(site):
    """Struck out with its reason, and brought back by striking the strike."""
    entry = note(site, "four washers")
    client = site.browser(WORKER)
    client.post(f"/v/{site.vehicle}/book/strike", {"what": entry, "why": "it was three"})
    assert 'class="struck">Noted: four washers.' in read(site)
    shown = client.get(f"/v/{site.vehicle}/book/entry/{entry}").content.decode()
    assert "it was three" in shown
    strike = shown.split('name="what" value="')[1].split('"')[0]
    client.post(f"/v/{site.vehicle}/book/strike", {"what": strike})
    assert 'class="struck">Noted' not in read(site)
    assert client.post(f"/v/{site.vehicle}/book/strike", {"what": "no"}).status_code == 404
    assert client.post(f"/v/{site.vehicle}/book/strike").status_code == 404


def test_an_entry_is_shown_as_it_is_kept(site):
    """Its document, its act; one that is not there is not found."""
    entry = note(site, "smells of <b>mice</b>")
    page = site.browser().get(f"/v/{site.vehicle}/book/entry/{entry}").content.decode()
    assert "smells of &lt;b&gt;mice" in page
    assert site.browser().get(f"/v/{site.vehicle}/book/entry/nothing").status_code == 404


def test_a_late_note_is_logged_for_its_day_behind_its_entry(site):
    """What is malformed is refused and nothing is written."""
    entry = note(site, "off came the lid")
    client = site.browser(WORKER)
    said = {"text": "two washers under it", "day": "2026-01-05", "after": entry}
    assert client.post(f"/v/{site.vehicle}/book/late", said).status_code == 302
    late = site.here.workshop.standing(site.vehicle)[-1]
    assert (late.after, late.happened_at) == (entry, "2026-01-05")
    before = site.here.workshop.store.position(site.vehicle)
    for wrong in ({"text": ""}, {"day": "2999-01-01"}, {"after": "nothing"}, {"day": "x"}):
        assert client.post(f"/v/{site.vehicle}/book/late", said | wrong).status_code in {400, 404}
    assert site.here.workshop.store.position(site.vehicle) == before


def bundle_of(site, logbook) -> bytes:
    """Take a copy away, as the page gives it."""
    answer = site.browser(WORKER).post(f"/v/{logbook}/book/export")
    assert answer.status_code == 200
    assert "attachment" in answer["Content-Disposition"]
    return b"".join(answer.streaming_content)


def test_where_photos_were_taken_goes_along_only_where_it_is_asked_for(site):
    """Without the tick no place is in the file; with it the photo is as it was taken."""
    taken = photo()
    digest = site.here.workshop.photos.put(taken)
    said = PhotoTaken(photo=digest, media_type="image/jpeg")
    site.here.workshop.log(site.vehicle, [said], who=site.people[WORKER], device=LAPTOP)
    client, address = site.browser(WORKER), f"/v/{site.vehicle}/book/export"
    assert 'name="with_location" value="yes">' in read(site)
    for tick, is_as_taken in (({}, False), ({"with_location": "yes"}, True)):
        content = b"".join(client.post(address, tick).streaming_content)
        with zipfile.ZipFile(io.BytesIO(content)) as bundle:
            assert (taken in map(bundle.read, bundle.namelist())) is is_as_taken


def test_a_vehicle_of_which_a_hold_is_set_is_taken_in_with_open_eyes(site):
    """The hold stands above the figures before anything is merged, and beside its name at home."""
    hold = HoldSet(hold="brakes", words="no brakes: do not roll")
    site.here.workshop.log(site.vehicle, [hold], who=site.people[WORKER], device=LAPTOP)
    told = look_into(site.browser(OWNER), bundle_of(site, site.vehicle)).content.decode()
    assert "Hold: No brakes: do not roll." in told
    assert "Hold: No brakes: do not roll." in site.browser(OWNER).get("/").content.decode()
    assert "Hold:" not in site.browser(NEIGHBOUR).get("/").content.decode()


def test_a_bundle_can_be_taken_in_without_a_vehicle_of_ones_own(site):
    """The list of vehicles leads there."""
    assert 'href="/take-in"' in site.browser(NEIGHBOUR).get("/").content.decode()


def look_into(client, content: bytes, name: str = "b.zip"):
    return client.post("/take-in", {"bundle": SimpleUploadedFile(name, content)})


def test_a_bundle_is_shown_before_it_is_merged_and_nothing_is_kept_until_then(site):
    """What is new and known is told; leaving it keeps nothing, merging keeps all of it once."""
    twin = note(site, "in both")
    content = bundle_of(site, site.vehicle)
    assert zipfile.is_zipfile(io.BytesIO(content))
    client = site.browser(OWNER)
    position = site.here.workshop.store.position
    note(site, "only here")
    told = look_into(client, content).content.decode()
    assert "This is a copy of" in told
    here = position(site.vehicle)
    token = told.split('name="token" value="')[1].split('"')[0]
    assert client.post("/take-in/confirm", {"token": token, "answer": "leave"}).status_code == 302
    assert (
        client.post("/take-in/confirm", {"token": token, "answer": "take in"}).status_code == 404
    )
    assert position(site.vehicle) == here
    assert not list((site.home / "waiting").iterdir())
    assert twin in {each.entry for each in site.here.workshop.since(site.vehicle)}


def confirmed(client, told) -> str:
    """Confirm what was shown, and give the address that it leads to."""
    token = told.content.decode().split('name="token" value="')[1].split('"')[0]
    answer = client.post("/take-in/confirm", {"token": token, "answer": "take in"})
    assert answer.status_code == 302
    return answer["Location"]


def elsewhere() -> Workshop:
    """A workshop of somebody else."""
    return Workshop(MemoryEntryStore(SystemClock()), MemoryPhotoStore())


def test_a_vehicle_that_is_new_here_becomes_that_of_who_takes_it_in(site, tmp_path):
    """Looked into, confirmed: it is there, theirs, and nobody else's."""
    other = elsewhere()
    car = other.new_vehicle("Barn find", who=PersonId("x"), device=LAPTOP)
    export_bundle(other, car, tmp_path / "b.zip")
    client = site.browser(NEIGHBOUR)
    told = look_into(client, (tmp_path / "b.zip").read_bytes())
    assert "is not here yet" in told.content.decode()
    assert client.get(confirmed(client, told)).status_code == 200
    assert site.browser(OWNER).get(f"/v/{car}/").status_code == 404


def test_two_copies_that_went_apart_come_together(site, tmp_path):
    """What was logged elsewhere is told as claimed, and is there once it is merged."""
    (tmp_path / "a.zip").write_bytes(bundle_of(site, site.vehicle))
    other = elsewhere()
    take_in(other, tmp_path / "a.zip", who=PersonId("x"))
    other.log(site.vehicle, [NoteMade(text="from afar")], who=PersonId("Xenia"), device=LAPTOP)
    export_bundle(other, site.vehicle, tmp_path / "b.zip")
    client = site.browser(OWNER)
    told = look_into(client, (tmp_path / "b.zip").read_bytes())
    assert "Xenia (as claimed)" in told.content.decode()
    assert "from afar" not in read(site)
    confirmed(client, told)
    assert "from afar" in read(site)


def test_only_its_owner_merges_into_a_vehicle(site):
    """A worker is told whose business it is, a neighbour that it is somebody else's."""
    content = bundle_of(site, site.vehicle)
    refused = look_into(site.browser(NEIGHBOUR), content)
    assert refused.status_code == 400
    assert "somebody else has here" in refused.content.decode()
    assert look_into(site.browser(WORKER), content).status_code == 403


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (b"\xff\xd8\xff\xe0 a holiday picture", "The file is not a sound zip file"),
        (b"", "The file is not a sound zip file"),
        (b"PK\x03\x04 half a zip", "The file is not a sound zip file"),
    ],
    ids=["picture", "empty", "half"],
)
def test_a_wrong_file_is_refused_and_nothing_is_lost(site, content, words):
    """Said in words, nothing kept of it, and the logbooks as they were."""
    before = site.here.workshop.logbooks()
    answer = look_into(site.browser(), content, "../../holiday.jpg")
    assert answer.status_code == 400
    assert words in answer.content.decode()
    waiting = site.home / "waiting"
    assert not waiting.exists() or not list(waiting.iterdir())
    assert site.here.workshop.logbooks() == before


def test_no_file_too_large_a_file_and_a_made_up_token_are_refused(site, monkeypatch):
    """Each is said; nothing outside the folder of what waits can be named."""
    client = site.browser()
    assert "no file was sent" in client.post("/take-in").content.decode().casefold()
    monkeypatch.setattr("putback.web.waiting.LARGEST_BYTES", 10)
    assert "larger than" in look_into(client, b"x" * 11).content.decode()
    for token in ("../secret", "", "0" * 32):
        answer = client.post("/take-in/confirm", {"token": token, "answer": "take in"})
        assert answer.status_code == 404
    assert site.browser(None).get("/take-in").status_code == 404
