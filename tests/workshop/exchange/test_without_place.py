"""Handing photos over without where they were taken, or with it where that is asked for."""

import pytest

from putback.logbook.bundle import check_bundle, read_bundle
from putback.logbook.entries.bookkeeping import LocationLeftOut
from putback.logbook.entries.working import PhotoTaken, SoundTaken
from putback.workshop.exchange.exchange import export_bundle, take_in
from putback.workshop.logbooks.memory import MemoryEntryStore, MemoryPhotoStore
from putback.workshop.logbooks.workshop import Workshop
from putback.workshop.pictures.album import album
from tests.pictures.photographs import photo, place_in, points
from tests.pictures.sounds import mp4, ogg
from tests.stores import ANN, BEN, PHONE, Watch

TAKEN = photo()
INDOORS = photo(place=False)


def workshop() -> Workshop:
    """A workshop with nothing in it."""
    watch = Watch()
    return Workshop(MemoryEntryStore(watch), MemoryPhotoStore(), watch)


@pytest.fixture
def here():
    """Ann's workshop, with one photo that tells its place and one that does not."""
    here = workshop()
    logbook = here.new_vehicle("Van", who=ANN, device=PHONE)
    for content in (TAKEN, INDOORS):
        digest = here.photos.put(content)
        here.log(logbook, [PhotoTaken(photo=digest)], who=ANN, device=PHONE)
    return here


@pytest.fixture
def van(here):
    """Her van's logbook."""
    return here.logbooks()[0].id


def test_no_place_goes_along_unless_asked_for(here, van, tmp_path):
    """The picture goes as a copy that tells no place, named by an entry; the other as it is."""
    manifest = export_bundle(here, van, tmp_path / "van.zip")
    assert check_bundle(tmp_path / "van.zip").is_sound
    bundle = read_bundle(tmp_path / "van.zip")
    assert (manifest.photos_missing, bundle.photos_missing) == ((), ())
    contents = dict(bundle.photos())
    assert len(contents) == 2
    assert all(place_in(each) == {} for each in contents.values())
    assert INDOORS in contents.values()
    (said,) = (each.body for each in bundle.entries if isinstance(each.body, LocationLeftOut))
    assert said.photo == here.photos.put(TAKEN)
    assert points(contents[said.copied_as]) == points(TAKEN)
    assert bundle.photo_files[said.copied_as].endswith(".jpg")


def test_the_place_goes_along_where_it_is_asked_for(here, van, tmp_path):
    """Then every photo goes byte for byte, and nothing is said of copies."""
    export_bundle(here, van, tmp_path / "van.zip", with_location=True)
    bundle = read_bundle(tmp_path / "van.zip")
    assert {content for _, content in bundle.photos()} == {TAKEN, INDOORS}
    assert not any(isinstance(each.body, LocationLeftOut) for each in bundle.entries)


def test_exporting_changes_nothing_here_and_says_the_same_twice(here, van, tmp_path):
    """No entry is written here; two exports hold the same entries; the original stays."""
    before = here.store.position(van)
    first, second = (export_bundle(here, van, tmp_path / each) for each in ("1.zip", "2.zip"))
    assert here.store.position(van) == before
    assert first.digest == second.digest
    assert TAKEN in [here.photos.get(each) for each in here.photos]


def test_a_copy_that_comes_back_is_one_entry(here, van, tmp_path):
    """Taken over, handed on and merged at home, the copy is told once, and all is as it was."""
    export_bundle(here, van, tmp_path / "out.zip")
    there = workshop()
    taken = take_in(there, tmp_path / "out.zip", who=BEN)
    assert (taken.photos, taken.photos_missing) == (2, ())
    export_bundle(there, van, tmp_path / "back.zip")
    assert take_in(here, tmp_path / "back.zip", who=ANN).entries == 1
    export_bundle(here, van, tmp_path / "again.zip")
    bodies = [each.body for each in read_bundle(tmp_path / "again.zip").entries]
    assert sum(isinstance(each, LocationLeftOut) for each in bodies) == 1


def test_an_earlier_bundle_has_the_copy_already(here, van, tmp_path):
    """What goes since then is nothing: the copy is not sent twice."""
    export_bundle(here, van, tmp_path / "first.zip")
    since = export_bundle(here, van, tmp_path / "since.zip", since=tmp_path / "first.zip")
    assert (since.entries, since.photos_missing) == (0, ())
    assert not any(name.startswith("photos/") for name in since.files)


def test_a_photo_that_is_struck_out_takes_its_copy_along(here, van, tmp_path):
    """Strike the act of the photo, and the entry of its copy is out as well."""
    export_bundle(here, van, tmp_path / "out.zip")
    there = workshop()
    take_in(there, tmp_path / "out.zip", who=BEN)
    (shot,) = (
        e for e in there.standing(van) if e.kind == "photo" and e.body.photo in _copied(there)
    )
    there.strike(van, shot.act, who=BEN, device=PHONE)
    assert not any(isinstance(each.body, LocationLeftOut) for each in there.standing(van))


def _copied(there: Workshop) -> set[str]:
    van = there.logbooks()[0].id
    return {e.body.photo for e in there.standing(van) if isinstance(e.body, LocationLeftOut)}


def test_sounds_go_along_without_their_place_or_not_at_all(here, van, tmp_path):
    """One as a copy, one as it is; one that may hold a track of positions stays, and is named."""
    telling, silent, unclear = ogg(b"LOCATION=48.8577"), ogg(b"TITLE=x"), mp4(handler=b"camm")
    for content in (telling, silent, unclear):
        digest = here.photos.put(content)
        here.log(van, [SoundTaken(sound=digest)], who=ANN, device=PHONE)
    manifest = export_bundle(here, van, tmp_path / "van.zip")
    assert manifest.photos_missing == (here.photos.put(unclear),)
    assert check_bundle(tmp_path / "van.zip").is_sound
    contents = [content for _, content in read_bundle(tmp_path / "van.zip").photos()]
    assert silent in contents
    assert telling not in contents
    assert not any(b"48.8577" in each for each in contents)
    there = workshop()
    take_in(there, tmp_path / "van.zip", who=BEN)
    heard = [each for each in album(there, van) if each.is_sound]
    assert [each.stored is not None for each in heard] == [True, True, False]
    export_bundle(here, van, tmp_path / "all.zip", with_location=True)
    assert {telling, unclear} <= {each for _, each in read_bundle(tmp_path / "all.zip").photos()}
