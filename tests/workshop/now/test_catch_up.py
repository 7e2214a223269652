"""Catching up on days that nobody logged."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from putback.errors import BadInput, InputError
from putback.logbook.came_off import came_off
from putback.logbook.entries.working import JointUndone, PartOff, StandingChanged
from putback.planning.plan import Action, Step
from putback.vehicle.ids import Ref, StandingId
from putback.vehicle.standing import Standing
from putback.workshop.now.catch_up import (
    How,
    caught_up,
    contact_sheet,
    day_said,
    key_of,
    moved,
    sheet_as_sent,
)
from putback.workshop.plans.how_far import Way
from tests.makers import vehicle
from tests.stores import ANN, PHONE
from tests.workshop.lines import CAR, Lines

STANDS = StandingId("stands")
LID = vehicle(
    "lid - frame: 4 bolt M8 x 20",
    "pump - frame: 2 bolt M6 x 16",
    Standing(STANDS, "on stands"),
    datum="frame",
)
STEPS = (
    Step(Action.UNDO, Ref("joint:lid-frame")),
    Step(Action.TAKE_OFF, Ref("part:lid")),
    Step(Action.UNDO, Ref("joint:pump-frame"), STANDS),
)
LID_KEY, OFF_KEY, PUMP_KEY = map(key_of, STEPS)


def said(lines: Lines, how: dict[str, How], rest: How, order: tuple[str, ...] = ()):
    """The entries that a sheet says."""
    sheet = (
        sheet_as_sent(lines.state, STEPS, Way.STRIP, order)
        if order
        else contact_sheet(lines.state, STEPS)
    )
    return caught_up(lines.state, sheet, how, rest)


def test_the_rest_as_usual_is_what_the_plan_expected():
    """The change of standing that lies between is said too."""
    bodies = said(Lines(LID), {}, How.USUAL)
    assert [body.KIND for body in bodies] == [
        "joint undone",
        "part off",
        "standing changed",
        "joint undone",
    ]
    assert (bodies[0].out, bodies[0].went) == (4, ())


def test_what_was_not_done_is_left_out():
    """And not recorded says so of the pieces."""
    bodies = said(Lines(LID), {LID_KEY: How.NOT_RECORDED, PUMP_KEY: How.NOT_DONE}, How.USUAL)
    undone, off = bodies
    assert isinstance(undone, JointUndone)
    assert isinstance(off, PartOff)
    assert [(each.to, each.fixings) for each in undone.went] == [("not recorded", 4)]


def test_the_order_is_the_persons():
    """It is also that of the logbook: late entries of one day keep it."""
    lines = Lines(LID)
    bodies = said(lines, {}, How.USUAL, (PUMP_KEY, LID_KEY, OFF_KEY))
    assert isinstance(bodies[0], StandingChanged)
    lines.watch.put_on(minutes=60 * 24 * 3)
    day = day_said("day", lines.watch.now().date().isoformat())
    lines.workshop.log(CAR, bodies, who=ANN, device=PHONE, happened_at=day)
    assert came_off(lines.state) == ("joint:pump-frame", "joint:lid-frame", "part:lid")


def keys_sent(lines: Lines, steps: tuple[Step, ...], *keys: str) -> list[str]:
    """The keys of the lines that stay of a sheet, when the plan has these steps by now."""
    return [line.key for line in sheet_as_sent(lines.state, steps, Way.STRIP, keys)]


def test_a_sheet_stays_what_was_seen_whatever_the_plan_expects_by_now():
    """What the plan has new is not on it; what the plan has no more is, unless it is done."""
    lines = Lines(LID)
    assert keys_sent(lines, STEPS, PUMP_KEY, LID_KEY) == [PUMP_KEY, LID_KEY]
    assert keys_sent(lines, STEPS[2:], LID_KEY, OFF_KEY) == [LID_KEY, OFF_KEY]
    lines("undone lid-frame")
    assert keys_sent(lines, STEPS[1:], LID_KEY, OFF_KEY) == [OFF_KEY]


def test_a_line_of_a_sheet_that_never_was_is_refused():
    """By what it names, or by being no line at all."""
    for key in ("undo|joint:lid-roof", "paint|joint:lid-frame", "undo"):
        with pytest.raises(InputError):
            keys_sent(Lines(LID), STEPS, key)


def test_nothing_done_is_nothing_to_log():
    """It is said."""
    with pytest.raises(BadInput, match="nothing of it was done"):
        said(Lines(LID), {}, How.NOT_DONE)


def test_when_it_was_is_said_as_exactly_as_it_is_known():
    """A day, its month, or nobody knows; a day that is wanted must be said."""
    assert day_said("day", "2031-05-12") == "2031-05-12"
    assert day_said("month", "2031-05-12") == "2031-05"
    assert day_said("unknown", "") == ""
    with pytest.raises(BadInput, match="no day was said"):
        day_said("day", "")


@given(st.permutations("abcde"), st.sampled_from("abcdef"), st.sampled_from([-1, 1]))
def test_moving_a_line_keeps_all_lines(order, key, by):
    """It goes one place, and stays at the ends; what is not there moves nothing."""
    found = moved(order, key, by)
    assert sorted(found) == sorted(order)
    if key in order:
        at = order.index(key)
        assert found.index(key) == min(max(at + by, 0), len(order) - 1)
    else:
        assert found == tuple(order)
