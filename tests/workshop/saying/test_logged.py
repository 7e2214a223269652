"""What came of an act."""

from dataclasses import replace

import pytest

from putback.logbook.entries.base import DeviceId, PersonId
from putback.logbook.entries.working import JointUndone, NoteMade, PartOff, TakenInHand
from putback.vehicle.ids import JointId, PartId
from putback.workshop.logbooks.memory import MemoryEntryStore, MemoryPhotoStore
from putback.workshop.logbooks.ports import GARAGE
from putback.workshop.logbooks.workshop import Workshop
from putback.workshop.saying.logged import left_open, tell_of
from tests.makers import vehicle

WHO = {"who": PersonId("ann"), "device": DeviceId("phone")}


@pytest.fixture
def workshop():
    """A workshop with one vehicle: a tank on a frame, by two screws."""
    return Workshop(MemoryEntryStore(), MemoryPhotoStore())


def test_an_act_is_told_by_the_names_of_before_and_with_what_it_left_open(workshop):
    """Sentences name things as they were called; open items are those that these entries cause."""
    book = workshop.new_vehicle(
        vehicle("straps = tank - frame: 2 screw M6x12", datum="frame"), **WHO
    )
    before = workshop.state(book)
    act = workshop.log(
        book, [JointUndone(joint=JointId("straps")), PartOff(part=PartId("tank"))], **WHO
    )
    told = tell_of(workshop, book, before, act)
    assert len(told.sentences) == 2
    assert before.name_of("joint:straps") in told.sentences[0]
    written = {entry.id for entry in act.entries}
    found = left_open(workshop, book, act)
    assert found
    assert all(written & set(item.causes) for item in found)


def test_cautions_come_with_what_is_taken_in_hand(workshop):
    """Whoever begins a job is told what can hurt; what is only noted brings none."""
    made = vehicle("straps = tank - frame: 2 screw M6x12", datum="frame")
    tank = replace(made.parts[PartId("tank")], cautions=("petrol vapour: no sparks",))
    book = workshop.new_vehicle(replace(made, parts={**made.parts, tank.id: tank}), **WHO)
    state = workshop.state(book)
    begun = workshop.log(book, [TakenInHand(what="part:tank")], **WHO)
    assert "petrol vapour: no sparks" in tell_of(workshop, book, state, begun).cautions
    noted = workshop.log(book, [NoteMade(text="dusty", of=("part:tank",))], **WHO)
    assert tell_of(workshop, book, state, noted).cautions == ()


def test_the_garages_acts_leave_nothing_open(workshop):
    """What vehicles share has no open items of its own."""
    act = workshop.log(GARAGE, [NoteMade(text="swept")], **WHO)
    assert left_open(workshop, GARAGE, act) == ()
