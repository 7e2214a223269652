"""What a bundle would change, told before it is taken in."""

import shutil

import pytest

from putback.errors import BundleError
from putback.logbook.entries.base import DeviceId, PlaceId, Subject
from putback.logbook.entries.bookkeeping import PersonNamed
from putback.logbook.entries.describing import PlaceDescribed
from putback.logbook.entries.holding import HoldLifted, HoldSet
from putback.logbook.entries.keeping import Moved
from putback.logbook.entries.working import JointUndone, NoteMade
from putback.vehicle.ids import JointId
from putback.workshop.exchange.exchange import export_bundle, take_in
from putback.workshop.exchange.merging import difference
from putback.workshop.logbooks.memory import MemoryEntryStore, MemoryPhotoStore
from putback.workshop.logbooks.ports import GARAGE
from putback.workshop.logbooks.workshop import Workshop
from tests.makers import vehicle
from tests.stores import ANN, BEN, PHONE, Watch

BENS = DeviceId("ben's phone")


def workshop() -> Workshop:
    watch = Watch()
    return Workshop(MemoryEntryStore(watch), MemoryPhotoStore(), watch)


@pytest.fixture
def here():
    """Ann's workshop with a vehicle of one joint."""
    here = workshop()
    here.new_vehicle(vehicle("lid - frame: 4 bolt M8 x 20"), who=ANN, device=PHONE)
    return here


@pytest.fixture
def car(here):
    """Its logbook."""
    return here.logbooks()[0].id


def undid(out: int, of: int) -> JointUndone:
    return JointUndone(joint=JointId("lid-frame"), out=out, of=of)


def test_a_vehicle_that_is_not_here_is_all_new(here, car, tmp_path):
    """Nothing is known, nothing stays behind; and looking keeps nothing."""
    export_bundle(here, car, tmp_path / "b.zip")
    there = workshop()
    told = difference(there, tmp_path / "b.zip")
    assert (told.is_new, told.known, told.only_here) == (True, 0, 0)
    assert told.new == here.facts(car).entries
    assert there.logbooks() == ()


def test_two_copies_that_went_apart_are_told_entry_by_entry(here, car, tmp_path):
    """What is new, what is known, what is only here; and then merging does just that."""
    export_bundle(here, car, tmp_path / "first.zip")
    there = workshop()
    take_in(there, tmp_path / "first.zip", who=BEN)
    both = here.facts(car).entries
    there.log(car, [NoteMade(text="in the barn"), NoteMade(text="dry")], who=BEN, device=BENS)
    here.log(car, [NoteMade(text="at home")], who=ANN, device=PHONE)
    export_bundle(there, car, tmp_path / "second.zip")
    before = here.store.position(car)
    told = difference(here, tmp_path / "second.zip")
    assert (told.is_new, told.new, told.known, told.only_here) == (False, 2, both, 1)
    assert {each.sentence for each in told.first_new} == {"noted: in the barn", "noted: dry"}
    assert here.store.position(car) == before
    taken = take_in(here, tmp_path / "second.zip", who=ANN)
    assert (taken.entries, taken.known) == (told.new, told.known)
    assert difference(here, tmp_path / "second.zip").new == 0


def test_what_the_garage_knows_already_is_not_new_there(here, car, tmp_path):
    """The bundle that was just written brings nothing; one more place, and it brings that."""
    here.log(car, [Moved(what=Subject("part:lid"), place=PlaceId("shelf"))], who=ANN, device=PHONE)
    shelf = PlaceDescribed(place=PlaceId("shelf"), name="Top shelf")
    here.log(GARAGE, [shelf], who=ANN, device=PHONE)
    here.log(GARAGE, [PersonNamed(person=ANN, name="Ann")], who=ANN, device=PHONE)
    export_bundle(here, car, tmp_path / "b.zip")
    assert difference(workshop(), tmp_path / "b.zip").garage_new == 2
    told = difference(here, tmp_path / "b.zip")
    assert (told.new, told.garage_new) == (0, 0)
    there = workshop()
    take_in(there, tmp_path / "b.zip", who=BEN)
    there.log(GARAGE, [PlaceDescribed(place=PlaceId("shelf"), name="Shelf")], who=BEN, device=BENS)
    export_bundle(there, car, tmp_path / "again.zip")
    assert difference(here, tmp_path / "again.zip").garage_new == 1


def test_a_hold_is_told_before_the_vehicle_is_taken_in(here, car, tmp_path):
    """That of the bundle, and that of here; what the bundle lifts is told no more."""
    hold = HoldSet(hold="brakes", words="no brakes: do not roll")
    here.log(car, [hold], who=ANN, device=PHONE)
    export_bundle(here, car, tmp_path / "b.zip")
    there = workshop()
    assert difference(there, tmp_path / "b.zip").holds == (hold.words,)
    take_in(there, tmp_path / "b.zip", who=BEN)
    there.clock.put_on(minutes=1)
    there.log(car, [HoldLifted(hold="brakes", why="they hold")], who=BEN, device=BENS)
    export_bundle(there, car, tmp_path / "lifted.zip")
    assert difference(here, tmp_path / "b.zip").holds == (hold.words,)
    assert difference(here, tmp_path / "lifted.zip").holds == ()


def test_what_contradicts_is_told_before_it_is_taken_in(here, car, tmp_path):
    """Two people who counted one joint otherwise: the open item is told that merging makes."""
    export_bundle(here, car, tmp_path / "first.zip")
    there = workshop()
    take_in(there, tmp_path / "first.zip", who=BEN)
    there.log(car, [undid(3, 3)], who=BEN, device=BENS)
    here.log(car, [undid(4, 4)], who=ANN, device=PHONE)
    export_bundle(there, car, tmp_path / "second.zip")
    told = difference(here, tmp_path / "second.zip")
    assert "counts disagree" in {each.rule for each in told.opens}
    quiet = difference(here, tmp_path / "first.zip")
    assert quiet.opens == ()


def test_what_is_no_bundle_is_refused(here, car, tmp_path):
    """Any other file, half a bundle: a clear refusal, and nothing is kept."""
    wrong = tmp_path / "holiday.jpg"
    wrong.write_bytes(b"\xff\xd8\xff\xe0 not a zip")
    export_bundle(here, car, tmp_path / "whole.zip")
    content = (tmp_path / "whole.zip").read_bytes()
    half = tmp_path / "half.zip"
    half.write_bytes(content[: len(content) // 2])
    before = here.store.position(car)
    for each in (wrong, half):
        with pytest.raises(BundleError, match="is not a sound zip file"):
            difference(here, each)
    assert here.store.position(car) == before
    shutil.rmtree(tmp_path)
