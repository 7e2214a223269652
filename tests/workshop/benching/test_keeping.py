"""An answer of the bench in the logbook, and the command that gives it again."""

import shlex

import pytest

from putback.bench.calculator import Answer, Figure, Quantity
from putback.errors import BadInput
from putback.logbook.entries.base import Subject
from putback.vehicle.ids import PartId
from putback.vehicle.part import Part
from putback.workshop.benching.converting import CALCULATOR as UNITS
from putback.workshop.benching.every import EVERY
from putback.workshop.benching.keeping import (
    AsReading,
    as_reading,
    command_line,
    kept,
    measures_of,
    readings_of,
)
from putback.workshop.benching.reading import work_out
from tests.makers import ZONE, vehicle
from tests.workshop.lines import Lines

TYPED = {"value": "27 lbf ft", "to": "Nm"}
NUT = Subject("joint:hub-nut")
DISC = Subject("part:disc")


def test_an_answer_is_kept_as_a_note_that_can_be_followed():
    """What it said, and the command that says it again."""
    (note,) = kept(UNITS, TYPED, work_out(UNITS, TYPED), NUT)
    assert note.of == (NUT,)
    assert note.text == (
        "Units: 27 lbf ft = 36.6070846 Nm. (putback bench units 'value=27 lbf ft' to=Nm)"
    )


def test_a_result_can_be_kept_as_a_reading():
    """In the unit it would be read in, with the range it lies in."""
    thickness = Figure("thickness", "thickness", 0.0106, Quantity.LENGTH, low=0.0104, high=0.011)
    answer = Answer("wear", (), (thickness, Figure("ok", "", True, Quantity.YES)), "Good.")
    _, reading = kept(UNITS, TYPED, answer, DISC, AsReading("thickness"))
    assert (reading.what, reading.value, reading.unit) == ("thickness", 10.6, "mm")
    assert (reading.low, reading.high) == (10.4, 11.0)
    assert readings_of(answer) == (thickness,)
    with pytest.raises(
        BadInput, match="'ok' is no number that this answers with; it could be thi"
    ):
        kept(UNITS, TYPED, answer, DISC, AsReading("ok"))


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ({"measured": "10.62 mm", "limit": "10.4 mm"}, (10.62, "mm", 10.4, None)),
        ({"measured": "0.418 in", "limit": "0.409 in"}, (0.418, "in", 0.409, None)),
        ({"measured": '9.05"', "limit": '9.06"', "kind": "drum"}, (9.05, "in", None, 9.06)),
        ({"measured": "10.62", "limit": "10.4"}, (10.62, "mm", 10.4, None)),
    ],
)
def test_what_was_measured_is_kept_with_its_limit_as_it_was_typed(typed, said):
    """In millimetres or inches as somebody measures, under the name it has on the part."""
    wear = EVERY["wear"]
    answer = work_out(wear, typed)
    _, reading = kept(wear, typed, answer, DISC, AsReading("measured", "thickness"))
    assert reading.what == "thickness"
    assert (reading.value, reading.unit, reading.low, reading.high) == said


@pytest.mark.parametrize(
    ("figure", "value", "unit"),
    [
        (Figure("x", "x", 41.2345, Quantity.TORQUE), 41.2, "N·m"),
        (Figure("x", "x", 0.4166, Quantity.SHARE), 41.7, "%"),
        (Figure("x", "x", 944.88189, Quantity.PITCH), 24.0, "tpi"),
        (Figure("x", "x", 90.4, Quantity.TIME), 90.0, "min"),
        (Figure("x", "x", 2.47912345), 2.479, ""),
        (Figure("x", "x", 7, Quantity.COUNT), 7.0, ""),
        (Figure("x", "x", 0.00022, Quantity.LENGTH, plus_minus=0.00002), 0.22, "mm"),
    ],
)
def test_a_reading_has_the_places_that_were_measured(figure, value, unit):
    """And none that only the arithmetic has."""
    reading = as_reading(Answer("x", (), (figure,), "X."), AsReading("x"), DISC)
    assert (reading.value, reading.unit) == (value, unit)


def test_what_a_part_is_to_be_measured_for_is_offered():
    """By its description, then by what was read of it before; nothing of a joint or nobody."""
    lines = Lines(vehicle(Part(PartId("lid"), "Lid", ZONE, measures=("gap", "height"))))
    lines("measured lid height 8 mm")
    lines("measured lid warp 1 mm")
    assert measures_of(lines.state, "lid") == ("gap", "height", "warp")
    assert measures_of(lines.state, "part:lid") == ("gap", "height", "warp")
    assert measures_of(lines.state, "part:nobody") == ()
    assert measures_of(lines.state, "") == ()


def test_several_lines_are_one_word_of_a_command():
    """Parted by bars, as a prompt takes them; what is empty is left out."""
    line = command_line(UNITS, {"value": "a 1\nb 2\n", "to": " "})
    assert shlex.split(line) == ["putback", "bench", "units", "value=a 1 | b 2"]


def test_an_input_by_another_word_is_in_the_command_by_its_own():
    """What was worked out is what the command works out."""
    line = command_line(EVERY["thread"], {"od": "7.85 mm", "tpi": "24"})
    assert shlex.split(line)[3:] == ["major=7.85 mm", "tpi=24"]
