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
    read_answer,
    write_answer,
)
from putback.workshop.describing.draft_forms import FORMS
from putback.workshop.describing.records import records_of
from putback.workshop.describing.single import name_for
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
        for record in list(records_of(state, table).values())[:3]:
            plain = to_plain(table, record)
            for blank in form.blanks:
                outer, _, inner = blank.name.partition(".")
                value = plain.get(outer)
                value = (value or {}).get(inner) if inner else value
                text = write_answer(blank.answer, value, state)
                assert (read_answer(blank.answer, text, state, value) or None) == (value or None)


def there_and_back(answer: Answer, text: str, state: State) -> object:
    """Read it; what is written of that reads as the same."""
    plain = read_answer(answer, text, state)
    assert read_answer(answer, write_answer(answer, plain, state), state, plain) == plain
    return plain


def test_shims_are_written_pack_by_pack():
    """Where, each shim in order, how it is chosen, what was measured."""
    (pack,) = there_and_back(
        Answer.SHIMS, "front | 0.5 mm, brass + 0.8 + 1 mm, steel, split | by measuring | 2.3", BARE
    )
    assert (pack["at"], pack["selective"]) == ("front", True)
    assert pack["measured_m"] == pytest.approx(0.0023)
    assert [each.get("material") for each in pack["shims"]] == ["brass", None, None]
    assert pack["shims"][2]["shape"] == "split"
    with pytest.raises(InputError):
        read_answer(Answer.SHIMS, "front | thin", BARE)


def test_stages_are_torques_and_angles():
    """One a line: a torque, a further angle, or both."""
    stages = there_and_back(Answer.STAGES, "20 Nm\n90 degrees\n30 Nm 45°", BARE)
    assert stages == [
        {"torque_nm": 20},
        {"angle_deg": 90},
        {"torque_nm": 30, "angle_deg": 45},
    ]
    for wrong in ("tight", "20 Nm 9.9.9 deg"):
        with pytest.raises(InputError):
            read_answer(Answer.STAGES, wrong, BARE)


def test_places_are_metres_and_may_be_negative():
    """Three figures for a point, two for a place on the ground or a corner; feet are read too."""
    assert there_and_back(Answer.POINT, "1.2, -0.5, 60 cm", BARE) == [1.2, -0.5, 0.6]
    assert there_and_back(Answer.SPOT, "1,2; -0,5", BARE) == [1.2, -0.5]
    assert there_and_back(Answer.OUTLINE, "0, 0\n1, 0\n1, 1", BARE) == [[0, 0], [1, 0], [1, 1]]
    with pytest.raises(InputError, match="2 figures"):
        read_answer(Answer.SPOT, "1, 2, 3", BARE)


def test_an_end_that_will_not_pass_or_turns_says_so():
    """Where, terminal, how it behaves, branch and colours; any other word is refused."""
    state = State(LogbookId("v"), ABOUT)
    text = "arm | scuttle | spade | does not pass, turns | left | red, black"
    (end,) = there_and_back(Answer.ENDS, text, state)
    assert (end["passes"], end["turns"], end["colours"]) == (False, True, ["red", "black"])
    with pytest.raises(InputError, match="wobbles"):
        read_answer(Answer.ENDS, "arm | | | wobbles", state)
