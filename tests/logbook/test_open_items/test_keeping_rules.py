"""Open items on parts: where they are, and what should have been recorded of them."""

import pytest

from putback.logbook.entries.judging import Choice, Decided
from putback.logbook.entries.keeping import HandsLaidOn, KeptAsPattern, Lost
from putback.logbook.entries.working import MarkMade, Measured, PhotoTaken
from putback.logbook.open_items import Danger
from putback.vehicle.assembly import Assembly
from putback.vehicle.part import MarkNeeded, Part
from tests.logbook.planted import clear, only
from tests.makers import ZONE, vehicle
from tests.makers_logbook import Story


@pytest.fixture
def story():
    """A lid that asks for a mark, a photo and a measurement."""
    lid = Part(
        "lid",
        "lid",
        ZONE,
        marks=(MarkNeeded("scribe", "hinges", "their outline"),),
        photos=("the gaps",),
        measures=("gap at the left",),
    )
    return Story(vehicle("lid - frame: 2 bolt M6x16", lid, datum="frame"))


def test_a_part_nowhere_is_open_until_somebody_says_where(story):
    """A part that is off lies somewhere."""
    off = story("A: off lid")
    item = only(story, "part nowhere", Danger.NOW, off)
    assert item.words == "lid is off, and nobody said where it is"
    clear(story, item, "A: moved part:lid to shelf")


def test_a_whole_lies_where_one_of_its_parts_lies():
    """What came off together is asked for once, and found by any of its parts."""
    unit = Assembly("unit", "unit", ("engine", "gearbox"))
    story = Story(vehicle("engine - gearbox", "engine - frame", unit))
    first = story("A: off engine, whole unit")
    story("A: off gearbox, whole unit")
    item = only(story, "part nowhere", Danger.NOW, first)
    clear(story, item, "A: moved part:gearbox to floor")


@pytest.mark.parametrize("lost", [True, False])
def test_a_part_that_is_gone_is_open_until_it_is_decided_what_goes_on(story, lost):
    """Lost presses; a pattern waits; both need a part in their stead."""
    story("A: off lid")
    gone = story.says("A", Lost(part="lid") if lost else KeptAsPattern(part="lid"))
    item = only(story, "part gone", Danger.NOW if lost else Danger.LATER, gone)
    assert "nothing goes on in its stead yet" in item.words
    clear(story, item, Decided(of="part:lid", choice=Choice.MAKE))


def test_a_lost_part_that_turns_up_is_no_longer_gone(story):
    """Hands laid on it, it is there."""
    story("A: off lid")
    gone = story.says("A", Lost(part="lid"))
    item = only(story, "part gone", Danger.NOW, gone)
    clear(story, item, HandsLaidOn(what="part:lid", place="shelf"))


def test_a_mark_is_asked_for_when_the_part_is_free_and_when_it_is_off(story):
    """Before the part comes off is best; afterwards the place is still remembered."""
    undone = story("A: undone lid-frame 2 of 2, tag 3CAH")
    before = only(story, "mark missing", Danger.NOW, undone)
    assert (before.words, before.clears) == (
        "lid is free and not marked yet",
        "mark it: scribe at hinges: their outline",
    )
    off = story("A: off lid")
    after = only(story, "mark missing", Danger.NOW, off)
    assert after.words == "lid is off without its mark"
    clear(story, after, MarkMade(part="lid", how="scribe"))


def test_nothing_is_asked_of_a_part_that_is_back_on(story):
    """In the rebuild a missing record can no longer be made."""
    story("A: undone lid-frame 2 of 2, tag 3CAH", "A: off lid", "A: on lid")
    for rule in ("mark missing", "photo missing", "measure missing"):
        assert not story.open(rule)


def test_nothing_is_asked_of_a_part_that_holds_by_all_its_joints(story):
    """Nobody is told to photograph what nobody touches."""
    assert not story.open("photo missing")


def test_a_photo_is_asked_for_until_it_is_taken(story):
    """The gaps are photographed while they can be."""
    undone = story("A: undone lid-frame 2 of 2, tag 3CAH")
    item = only(story, "photo missing", Danger.NOW, undone)
    assert item.clears == "photograph it before it comes off: the gaps"
    off = story("A: off lid")
    item = only(story, "photo missing", Danger.LATER, off)
    assert item.words == "1 part came off without a photo: lid"
    clear(story, item, PhotoTaken(photo="0" * 64, of=("part:lid",)))


def test_parts_that_came_off_without_a_photo_are_one_item():
    """It is too late to be told of each."""
    parts = [Part(name, name, ZONE, photos=("it",)) for name in ("bar", "lid")]
    story = Story(vehicle("lid - frame", "bar - frame", *parts))
    causes = story("A: off lid"), story("A: off bar")
    item = only(story, "photo missing", Danger.LATER, *causes)
    assert item.words == "2 parts came off without a photo: bar and lid"


def test_a_measurement_is_asked_for_until_it_is_taken(story):
    """As for a photo."""
    undone = story("A: undone lid-frame 2 of 2, tag 3CAH")
    item = only(story, "measure missing", Danger.NOW, undone)
    assert item.clears == "measure gap at the left before it comes off"
    off = story("A: off lid")
    item = only(story, "measure missing", Danger.LATER, off)
    clear(story, item, Measured(of="part:lid", what="gap", value=4, unit="mm"))
