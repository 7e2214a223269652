"""What would follow: planned on a state that nobody logged, and nothing of it stays."""

import pytest

from putback.errors import BadInput, InputError
from putback.vehicle.goal import Goal
from putback.workshop.plans.at_hand import plan_at_hand
from putback.workshop.plans.supposed import what_would_follow
from tests.makers import vehicle
from tests.workshop.lines import CAR, Lines


@pytest.fixture
def lines():
    """Three lids on a frame; to strip it all is the goal."""
    return Lines(
        vehicle(
            *(f"lid{n} - frame: 2 bolt M8x1.25 x 20 mm; 5 min" for n in range(3)), datum="frame"
        )
    )


def test_what_is_supposed_done_need_not_be_done(lines):
    """It is spared, said in a sentence, and what is left is shorter by it."""
    before = plan_at_hand(lines.workshop, CAR).plan
    found = what_would_follow(lines.workshop, CAR, ["undone lid0-frame 2/2"])
    assert found.spared == ("joint:lid0-frame",)
    assert found.added == ()
    assert found.minutes_more == pytest.approx(found.then.total_minutes - before.total_minutes)
    assert found.minutes_more < 0
    assert len(found.sentences) == 1
    assert "lid0-frame" in found.sentences[0]


def test_nothing_of_it_is_logged(lines):
    """Position and plan are as they were."""
    position = lines.workshop.store.position(CAR)
    what_would_follow(lines.workshop, CAR, ["undone lid0-frame 2/2", "off lid0"])
    assert lines.workshop.store.position(CAR) == position
    assert lines.state.parts_off == frozenset()


def test_what_would_be_open_is_told(lines):
    """And only what is not open now."""
    lines("undone lid1-frame 2/2")
    found = what_would_follow(lines.workshop, CAR, ["undone lid2-frame 2/2"])
    assert ["lid2-frame" in each.words for each in found.opened] == [True]


def test_what_shuts_the_goal_out_is_told_with_what_would_help():
    """Facts that contradict each other only once it is done; and each way out of it."""
    goal = Goal("g", "pump off", "frame", off=("pump",), on=("lid",))
    facts = ("lid - frame", "pump - frame", "lid blocks pump: no room")
    lines = Lines(vehicle(*facts, goal, datum="frame"))
    found = what_would_follow(lines.workshop, CAR, ["note odd"])
    assert found.then is None
    assert "lid is to stay on" in found.fault
    assert "lid need not stay on" in found.remedy


def test_a_line_that_cannot_be_meant_is_refused(lines):
    """As if it had been typed."""
    with pytest.raises(InputError):
        what_would_follow(lines.workshop, CAR, ["off the moon"])


def test_what_nobody_described_is_answered_as_on_a_page(lines):
    """The whole name, and no word of the command line's."""
    with pytest.raises(BadInput) as told:
        what_would_follow(lines.workshop, CAR, ["off heater box"])
    assert "'heater box'" in told.value.fault()
    assert told.value.remedy() == "describe a part of that name first"
