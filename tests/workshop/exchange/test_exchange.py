"""Handing over: a bundle out, and in again elsewhere, comes to one state."""

import json
import zipfile
from pathlib import Path

import pytest

from putback.errors import BundleError, Damaged, DiskFull, NotFound
from putback.logbook.bundle import read_bundle, write_bundle
from putback.logbook.entries.base import DeviceId, LogbookId, PersonId
from putback.logbook.entries.bookkeeping import MoneySpent
from putback.logbook.entries.describing import PlaceDescribed
from putback.logbook.entries.working import NoteMade, PartOff, PhotoTaken
from putback.vehicle.generate import generate
from putback.workshop.exchange.exchange import export_bundle, take_in
from putback.workshop.exchange.merging import difference
from putback.workshop.logbooks.memory import MemoryEntryStore, MemoryPhotoStore
from putback.workshop.logbooks.ports import GARAGE, Role
from putback.workshop.logbooks.workshop import Workshop
from tests.stores import ANN, BEN, PHONE, Watch

CARA = PersonId("cara")


def workshop() -> Workshop:
    """A workshop with nothing in it."""
    watch = Watch()
    return Workshop(MemoryEntryStore(watch), MemoryPhotoStore(), watch)


@pytest.fixture
def here():
    """Ann's workshop: a small vehicle, a part off onto a described shelf, and a photo."""
    here = workshop()
    logbook = here.new_vehicle(generate(parts=5, seed=7), who=ANN, device=PHONE)
    ann = {"who": ANN, "device": PHONE}
    here.log(GARAGE, [PlaceDescribed(place="shelf", name="The shelf")], **ann)
    photo = here.photos.put(b"photo")
    part = next(iter(here.state(logbook).vehicle.parts))
    here.log(logbook, [PartOff(part=part, place="shelf"), PhotoTaken(photo=photo)], **ann)
    return here


@pytest.fixture
def vehicle(here):
    """Her vehicle's logbook."""
    return here.logbooks()[0].id


@pytest.fixture
def bundle(here, vehicle, tmp_path):
    """A bundle of it."""
    path = tmp_path / "vehicle.zip"
    export_bundle(here, vehicle, path)
    return path


def test_taking_over_makes_the_importer_the_owner(here, vehicle, bundle):
    """One call: the same state elsewhere, photos and places too, and somebody else's now."""
    there = workshop()
    taken = take_in(there, bundle, who=CARA)
    assert (taken.logbook, taken.is_new, taken.known) == (vehicle, True, 0)
    assert (taken.garage_entries, taken.photos, taken.photos_missing) == (1, 1, ())
    assert there.state(vehicle) == here.state(vehicle)
    assert there.facts(vehicle).digest == here.facts(vehicle).digest
    assert there.store.roles(vehicle) == {CARA: Role.OWNER}
    assert there.logbooks()[0].name == here.logbooks()[0].name
    assert there.state(GARAGE).places == here.state(GARAGE).places
    assert list(there.photos) == list(here.photos)
    assert {row.received_from for row in there.since(vehicle)} == {"vehicle.zip"}


def test_taking_in_what_is_here_merges_and_gives_no_role(here, vehicle, bundle):
    """Nobody becomes an owner by bringing a bundle of somebody's vehicle."""
    before = here.state(vehicle)
    taken = take_in(here, bundle, who=CARA)
    assert (taken.is_new, taken.entries, taken.garage_entries, taken.photos) == (False, 0, 0, 0)
    assert taken.known == here.store.position(vehicle)
    assert here.state(vehicle) == before
    assert here.store.roles(vehicle) == {ANN: Role.OWNER}


def test_copies_that_went_apart_come_together(here, vehicle, bundle, tmp_path):
    """Both log on; each takes in the other's bundle, one of them only what is new: one state."""
    there = workshop()
    take_in(there, bundle, who=BEN)
    here.log(vehicle, [NoteMade(text="here")], who=ANN, device=PHONE)
    there.log(vehicle, [NoteMade(text="there")], who=BEN, device=DeviceId("tablet"))
    whole, rest = tmp_path / "whole.zip", tmp_path / "rest.zip"
    export_bundle(here, vehicle, whole)
    manifest = export_bundle(there, vehicle, rest, since=bundle)
    assert (manifest.entries, manifest.name) == (1, here.logbooks()[0].name)
    assert take_in(here, rest, who=ANN).entries == 1
    assert take_in(there, whole, who=BEN).entries == 1
    assert here.state(vehicle) == there.state(vehicle)
    assert here.facts(vehicle).digest == there.facts(vehicle).digest


@pytest.mark.parametrize("without_private", [False, True])
def test_a_copy_that_was_restored_is_told_what_it_lacks(
    here, vehicle, bundle, tmp_path, without_private
):
    """It was given three files and restored from before the second: the third has a gap before it.

    What was never given, as it tells of money, is no gap; with all of it here again there is none.
    """
    there = workshop()
    assert not take_in(there, bundle, who=BEN).lacks
    whole, rest = tmp_path / "whole.zip", tmp_path / "rest.zip"
    paid = MoneySpent(amount="12.50", currency="EUR", what="plating")
    here.log(
        vehicle,
        [NoteMade(text="one"), *([paid] if without_private else [])],
        who=ANN,
        device=PHONE,
    )
    export_bundle(here, vehicle, whole)
    given = read_bundle(whole)
    here.log(vehicle, [NoteMade(text="two")], who=ANN, device=PHONE)
    export_bundle(here, vehicle, rest, since=given, without_private=without_private)
    assert difference(there, rest).lacks
    assert take_in(there, rest, who=BEN).lacks
    export_bundle(here, vehicle, whole, without_private=without_private)
    assert not difference(there, whole).lacks
    assert not take_in(there, whole, who=BEN).lacks
    assert not take_in(there, rest, who=BEN).lacks


def test_money_may_stay_at_home(here, vehicle, tmp_path):
    """Whoever hands over may leave out what was paid."""
    paid = MoneySpent(amount="12.50", currency="EUR", what="plating")
    here.log(vehicle, [paid], who=ANN, device=PHONE)
    path = tmp_path / "vehicle.zip"
    assert export_bundle(here, vehicle, path, without_private=True).left_out == 1
    there = workshop()
    take_in(there, path, who=CARA)
    assert there.state(vehicle).money == {}
    assert here.state(vehicle).money == {"EUR": "12.50"}


def test_a_photo_that_is_not_to_be_had_is_said(here, vehicle, tmp_path):
    """Not sent yet: the rest goes along, and both ends name what is missing."""
    here.log(vehicle, [PhotoTaken(photo="0" * 64)], who=ANN, device=PHONE)
    path = tmp_path / "vehicle.zip"
    assert export_bundle(here, vehicle, path).photos_missing == ("0" * 64,)
    assert take_in(workshop(), path, who=CARA).photos_missing == ("0" * 64,)


def test_a_spoilt_photo_keeps_nothing_else_from_going(here, vehicle, tmp_path):
    """It is missing from the bundle, and whoever has it sound misses nothing."""
    [photo] = here.photos
    here.photos.get = refuse
    path = tmp_path / "vehicle.zip"
    assert export_bundle(here, vehicle, path).photos_missing == (photo,)
    there = workshop()
    there.photos.put(b"photo")
    assert take_in(there, path, who=CARA).photos_missing == ()


def refuse(photo):
    """Find that the bytes are not those that were put."""
    raise Damaged(photo, "the photo's bytes are not those that were put")


def test_a_vehicle_that_is_not_there_cannot_be_handed_over(here, tmp_path):
    """And no file is left behind."""
    with pytest.raises(NotFound, match="no logbook 'nothing'"):
        export_bundle(here, LogbookId("nothing"), tmp_path / "vehicle.zip")
    assert list(tmp_path.iterdir()) == []


def test_a_bundle_that_was_changed_is_refused_whole(bundle, tmp_path):
    """Nothing of it is taken in: no logbook, no photo, no place."""
    changed = tmp_path / "changed.zip"
    with zipfile.ZipFile(bundle) as old, zipfile.ZipFile(changed, "w") as new:
        for name in old.namelist():
            content = old.read(name)
            if name == "logbook.jsonl":
                content = content.replace(b"part off", b"part on!")
            new.writestr(name, content)
    there = workshop()
    with pytest.raises(BundleError, match="nothing was imported"):
        take_in(there, changed, who=CARA)
    assert there.store.logbooks() == ()
    assert list(there.photos) == []


def test_a_garage_is_not_taken_over(tmp_path):
    """A bundle is of a vehicle; one that says otherwise would give the garage away."""
    path = tmp_path / "garage.zip"
    write_bundle(path, GARAGE, [])
    there = workshop()
    with pytest.raises(BundleError, match="holds no vehicle, but the logbook 'garage'"):
        take_in(there, path, who=CARA)
    assert there.store.logbooks() == ()


def test_a_full_disk_leaves_no_half_bundle(here, vehicle, tmp_path, monkeypatch):
    """It is told in our words."""

    def full(*_):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("putback.logbook.bundle.write.os.fsync", full)
    with pytest.raises(DiskFull, match="make room"):
        export_bundle(here, vehicle, tmp_path / "vehicle.zip")
    assert list(tmp_path.iterdir()) == []


def test_the_file_says_what_it_holds(bundle):
    """The manifest names the vehicle and the moment, for people."""
    with zipfile.ZipFile(bundle) as packed:
        manifest = json.loads(packed.read("manifest.json"))
    assert manifest["made_at"] == "2031-05-02T08:30:00.000Z"
    assert manifest["name"]
    assert Path(bundle).stat().st_size > 0
