"""What is typed into a form of description, and read back."""

import pytest
from hypothesis import given

from putback.errors import InputError
from putback.logbook.entries.base import LogbookId
from putback.logbook.state import State
from putback.vehicle.codec import to_plain
from putback.workshop.describing.answers import (
    Answer,
    in_words,
    name_for,
    read_answer,
    write_answer,
)
from putback.workshop.describing.draft_forms import FORMS
from tests.makers import vehicle
from tests.strategies.vehicles import generated_vehicles

ABOUT = vehicle(
    "lid - frame: 4 bolt M8 x 20", "lid - bar: 2 bolt M8 x 20", "arm = arm - frame: 2 bolt M6 x 16"
)


BARE = State(LogbookId("v"), vehicle())


def test_quantities_are_read_in_any_unit_and_said_back():
    """A mass in pounds is kilograms, a torque in lb ft N·m; both are told so."""
    state = BARE
    # 1 lb is 0.45359237 kg, 1 lbf·ft is 1.3558179483 N·m (NIST SP 811, 2008, appendix B.8)
    assert read_answer(Answer.MASS, "18 lb", state) == pytest.approx(18 * 0.45359237)
    assert read_answer(Answer.MASS, "8.4", state) == 8.4
    torque = read_answer(Answer.TORQUE, "18 lb ft", state)
    assert torque == pytest.approx(18 * 1.3558179483)
    assert in_words(Answer.TORQUE, torque) == "24 N·m (18 lbf·ft)"
    assert read_answer(Answer.LENGTH, "48 in", state) == pytest.approx(1.2192)
    with pytest.raises(InputError, match="unit"):
        read_answer(Answer.TORQUE, "18", state)


def test_a_time_is_one_figure_or_three():
    """Best, likely and worst in order; one time stands for all three."""
    state = BARE
    assert read_answer(Answer.MINUTES, "10 15 30", state) == {
        "best": 10,
        "likely": 15,
        "worst": 30,
    }
    assert read_answer(Answer.MINUTES, "1 h 30", state)["likely"] == 90
    for wrong in ("30 15 10", "soon", "1.2.3 4 5"):
        with pytest.raises(InputError):
            read_answer(Answer.MINUTES, wrong, state)


def test_fasteners_are_written_a_line_for_like_holes():
    """Count, stack, what is new each time, what stays, which way the heads face."""
    state = BARE
    text = "4 bolt 5/16-24 UNF x 1 in + 2 x plain washer 5/16 in + spring washer 5/16 in!; up"
    (fixing,) = read_answer(Answer.FIXINGS, text, state)
    assert (fixing["id"], fixing["count"], fixing["head"]) == ("A", 4, "up")
    assert fixing["stack"] == [
        {"spec": "bolt 5/16-24 UNF x 1 in"},
        {"per_fixing": 2, "spec": "plain washer 5/16 in"},
        {"single_use": True, "spec": "spring washer 5/16 in"},
    ]
    with pytest.raises(InputError):
        read_answer(Answer.FIXINGS, "4 gizmo M8", state)


def test_what_a_line_does_not_show_stays_with_it():
    """A note on a piece and the letter of its holes outlive a new count."""
    state = BARE
    before = [{"id": "C", "count": 4, "stack": [{"spec": "bolt M8x1.25 x 20 mm", "note": "oily"}]}]
    (fixing,) = read_answer(Answer.FIXINGS, "3 x bolt M8x1.25 x 20 mm", state, before)
    assert fixing == {**before[0], "count": 3}


def test_things_are_named_as_people_call_them():
    """Names are found, the nearest offered; a name that several bear is written by identity."""
    state = State(LogbookId("v"), ABOUT)
    assert read_answer(Answer.PARTS, "lid\nframe\nlid", state) == ["lid", "frame"]
    assert read_answer(Answer.OPENED, "joint:arm", state) == "joint:arm"
    with pytest.raises(InputError, match="frame"):
        read_answer(Answer.PART, "fram", state)
    assert name_for("part", "lid", state) == "lid"


def test_nothing_typed_is_nothing_said():
    """An empty field goes back to nothing, whatever sort it is."""
    state = BARE
    assert {read_answer(each, " \n ", state) for each in Answer} == {None}


@given(generated_vehicles(most=8))
def test_what_is_written_reads_back_as_the_same(about):
    """For every record of any vehicle, each field's text gives the field's value again."""
    state = State(LogbookId("v"), about)
    for table, form in FORMS.items():
        for record in list(getattr(about, table).values())[:3]:
            plain = to_plain(table, record)
            for blank in form.blanks:
                outer, _, inner = blank.name.partition(".")
                value = plain.get(outer)
                value = (value or {}).get(inner) if inner else value
                text = write_answer(blank.answer, value, state)
                assert (read_answer(blank.answer, text, state, value) or None) == (value or None)
