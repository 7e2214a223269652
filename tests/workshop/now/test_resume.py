"""Picking up again."""

import pytest

from putback.planning.impossible.exhaust import NoOrderFound
from putback.vehicle.part import Part
from putback.workshop.now import resume as module
from putback.workshop.now.resume import resume
from putback.workshop.plans.how_far import Way
from tests.makers import vehicle
from tests.workshop.lines import CAR, Lines

LID = vehicle(
    "lid - frame: 4 bolt M8 x 20", "pump - frame: 2 bolt M6 x 16", "lid blocks pump", datum="frame"
)


def picked_up(lines: Lines, **more):
    """What somebody is told who comes back."""
    return resume(lines.workshop, CAR, **more)


def test_in_a_strip_the_next_steps_lead_to_the_goal():
    """What is in the way comes first, and no more steps than asked for."""
    found = picked_up(Lines(LID), steps=1)
    assert found.far.way is Way.NOT_BEGUN
    assert found.goal is not None
    assert [step.what for step in found.next] == ["joint:lid-frame"]
    assert found.left_minutes > 0
    assert found.left_jobs == 4


def test_where_nobody_said_how_long_anything_takes_no_minutes_are_left():
    """A sum of set-up alone is no time."""
    found = picked_up(Lines(vehicle("lid - frame; 0 min", datum="frame")))
    assert (found.left_minutes, found.left_jobs) == (None, 2)


def test_what_was_left_is_told():
    """A joint left half way is named, and open."""
    lines = Lines(LID)
    lines("undone lid-frame 3/4 stuck=1")
    found = picked_up(lines)
    assert [each.joint for each in found.far.half_done] == ["lid-frame"]
    assert any("3 of 4 out, 1 stuck" in each.words for each in found.open)


def test_in_a_rebuild_the_next_steps_put_back():
    """The last part off waits until what it blocks is on."""
    lines = Lines(LID)
    for line in ("undone lid-frame", "off lid", "undone pump-frame", "off pump", "on pump"):
        lines(line)
    found = picked_up(lines)
    assert found.far.way is Way.REBUILD
    assert found.goal is None
    assert "joint:pump-frame" in [step.what for step in found.next]


def test_without_a_goal_nothing_is_planned():
    """And nothing is said to be left."""
    found = picked_up(Lines())
    assert (found.goal, found.next, found.left_minutes, found.stuck) == (None, (), None, ())


def test_a_goal_that_cannot_be_reached_says_why(monkeypatch):
    """The facts that contradict each other stand in the place of a plan."""
    knot = vehicle(
        "lid - frame", "pump - frame", "lid before pump", "pump before lid", datum="frame"
    )
    found = picked_up(Lines(knot))
    assert found.next == ()
    assert found.stuck
    assert all(isinstance(each, str) for each in found.stuck)
    assert "pump did not have to wait for lid (before b1)" in found.could_be


def test_where_no_order_is_found_the_rest_is_told_all_the_same(monkeypatch):
    """How far it is and what is open stand; that there is no plan stands in its place."""

    def without(*_: object) -> None:
        raise NoOrderFound("bare", 7)

    monkeypatch.setattr(module, "plan_at_hand", without)
    found = picked_up(Lines(LID))
    assert (found.next, found.left_minutes) == ((), None)
    assert found.stuck[0].startswith("no order was found for 'bare' among the first 7 tried")


def test_other_faults_are_not_swallowed(monkeypatch):
    """Only an impossible goal, or an order that was not found, is an answer."""

    def broken(*_: object) -> None:
        raise ZeroDivisionError

    monkeypatch.setattr(module, "plan_at_hand", broken)
    with pytest.raises(ZeroDivisionError):
        picked_up(Lines(LID))


def test_for_the_time_at_hand_what_fits_is_told():
    """Where nobody says how long it is, nothing is."""
    lines = Lines(LID)
    assert picked_up(lines).hour is None
    hour = picked_up(lines, minutes=15.0).hour
    assert [step.what for step in hour.stretch.steps] == ["joint:lid-frame"]
    alone = picked_up(lines, minutes=1.0, people=1).hour
    assert (alone.stretch, alone.people) == (None, 1)


def test_what_is_pressing_for_later_is_hinted_at():
    """One line each of what to soak, order, borrow and ask for; nothing where nothing is."""
    assert picked_up(Lines(LID)).ahead == ()
    feared = vehicle(
        "lid - frame: 4 bolt M8 x 20",
        "pump - frame: 2 bolt M6 x 16; tool hub puller",
        Part("lid", "lid", "here", seize_risk="high", crew=2, outside_work="plater"),
        Part("pump", "pump", "here", seize_risk="high"),
        datum="frame",
    )
    hints = picked_up(Lines(feared)).ahead
    assert [line.sort for line in hints] == ["soak", "order", "borrow", "ask"]
