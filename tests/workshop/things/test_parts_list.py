"""The parts as a list, and what became of each."""

import pytest

from putback.vehicle.part import Part, PartNumber, Side
from putback.workshop.logbooks.ports import GARAGE
from putback.workshop.saying.whereabouts import whereabouts
from putback.workshop.things.condition import Condition, condition_of
from putback.workshop.things.parts_list import list_parts
from tests.makers import ZONE, vehicle
from tests.stores import ANN, PHONE
from tests.workshop.lines import Lines

ABOUT = vehicle(
    "lid - frame: 4 bolt M8 x 20",
    "lamp - lid: 2 screw M5 x 10",
    "pump - frame: 2 bolt M6 x 16",
    Part("lamp", "Lamp, left", ZONE, side=Side.LEFT, numbers=(PartNumber("casting", "12H 445"),)),
)


@pytest.fixture
def lines():
    """A small vehicle, as found."""
    return Lines(ABOUT)


def condition(lines: Lines, part: str) -> Condition:
    return condition_of(lines.state, part)


def test_what_became_of_a_part_is_its_last_word(lines):
    """On, aside, off, away, to be replaced, gone, back on: the latest entry says it."""
    said = [condition(lines, "pump")]
    for line in (
        "aside pump",
        "off pump",
        "sent pump Plater",
        "back pump",
        "decided pump replace",
        "lost pump",
        "on pump",
    ):
        lines(line)
        said.append(condition(lines, "pump"))
    assert said == [
        Condition.ON,
        Condition.HUNG,
        Condition.OFF,
        Condition.AWAY,
        Condition.OFF,
        Condition.REPLACE,
        Condition.GONE,
        Condition.BACK,
    ]


def test_a_part_laid_away_and_not_logged_off_is_told_so(lines):
    """It is on as far as anybody logged, and said to lie elsewhere."""
    lines("place Shelf")
    lines("moved pump Shelf")
    (pump,) = list_parts(lines.state, words="pump")
    assert (pump.condition, pump.where) == (Condition.ON, "Shelf (not logged off)")
    assert whereabouts(lines.state, "part:pump")[0] == (
        "laid away, and nobody logged that it came off"
    )


def test_every_word_must_be_found_somewhere(lines):
    """Names, sides, numbers, bags and places are searched; words may stand in any of them."""
    lines("place Shelf")
    lines('bag 3CAH "odds and ends"')
    lines("off pump tag=3CAH")
    names = [[each.name for each in list_parts(lines.state, words=words)] for words in SEARCHED]
    assert names == [["Lamp, left"], ["Lamp, left"], ["pump"], ["pump"], []]


SEARCHED = ("LEFT lamp", "12h 445", "pump odds", "3cah", "pump lid")


def test_a_list_is_narrowed_by_zone_and_condition(lines):
    """Only parts of that zone, and in that state."""
    lines("off pump")
    off = list_parts(lines.state, condition="off")
    assert [each.part for each in off] == ["pump"]
    assert list_parts(lines.state, zone="elsewhere") == ()
    assert len(list_parts(lines.state, zone=ZONE)) == 4


def test_a_part_that_nobody_described_is_in_the_list(lines):
    """What was only logged is there, by the name it was logged with."""
    lines("off bracket", new=True)
    found = [each for each in list_parts(lines.state) if "bracket" in each.name]
    assert [each.condition for each in found] == [Condition.OFF]


def test_where_a_part_is_goes_by_the_names_of_the_garage(lines):
    """The bag first, then the place that the garage knows it is in."""
    act = lines.workshop.log
    act(GARAGE, lines.read('place "The shelf"'), who=ANN, device=PHONE)
    (place,) = lines.state.places
    lines("off pump tag=3CAH")
    lines(f"moved tag:3CAH {place}")
    (pump,) = list_parts(lines.state, words="pump")
    assert pump.where == "3CAH, The shelf"
