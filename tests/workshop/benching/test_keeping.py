"""An answer of the bench in the logbook, and the command that gives it again."""

import shlex

import pytest

from putback.bench.calculator import Answer, Figure, Quantity
from putback.errors import BadInput
from putback.logbook.entries.base import Subject
from putback.workshop.benching.converting import CALCULATOR as UNITS
from putback.workshop.benching.keeping import command_line, kept, readings_of
from putback.workshop.benching.reading import work_out

TYPED = {"value": "27 lbf ft", "to": "Nm"}
NUT = Subject("joint:hub-nut")


def test_an_answer_is_kept_as_a_note_that_can_be_followed():
    """What it said, and the command that says it again."""
    (note,) = kept(UNITS, TYPED, work_out(UNITS, TYPED), NUT)
    assert note.of == (NUT,)
    assert note.text == (
        "Units: 27 lbf ft is 36.6070846 Nm. (putback bench units 'value=27 lbf ft' to=Nm)"
    )


def test_a_result_can_be_kept_as_a_reading():
    """In SI, with its unit, and the range it lies in."""
    thickness = Figure("thickness", "thickness", 0.0106, Quantity.LENGTH, low=0.0104, high=0.011)
    answer = Answer("wear", (), (thickness, Figure("ok", "", True, Quantity.YES)), "Good.")
    _, reading = kept(UNITS, TYPED, answer, Subject("part:disc"), "thickness")
    assert (reading.what, reading.value, reading.unit) == ("thickness", 0.0106, "m")
    assert (reading.low, reading.high) == (0.0104, 0.011)
    assert readings_of(answer) == (thickness,)
    with pytest.raises(
        BadInput, match="'ok' is no number that this answers with; it could be thi"
    ):
        kept(UNITS, TYPED, answer, Subject("part:disc"), "ok")


def test_several_lines_are_one_word_of_a_command():
    """Parted by bars, as a prompt takes them; what is empty is left out."""
    line = command_line(UNITS, {"value": "a 1\nb 2\n", "to": " "})
    assert shlex.split(line) == ["putback", "bench", "units", "value=a 1 | b 2"]
