"""The whole job at a glance."""

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from putback.planning.plan import Action, Step
from putback.vehicle.ids import Ref, StandingId
from putback.vehicle.standing import Standing
from putback.workshop.plans.how_far import Way
from putback.workshop.plans.ribbon import NARROWEST, ribbon
from tests.makers import vehicle
from tests.workshop.lines import CAR, Lines

WHEELS, STANDS = StandingId("wheels"), StandingId("stands")
LID = vehicle(
    "lid - frame: 4 bolt M8 x 20; 10 min",
    "pump - frame: 2 bolt M6 x 16; 30 min",
    Standing(WHEELS, "on its wheels, chocked"),
    Standing(STANDS, "on stands"),
)


def step(what: str, minutes: float, standing: StandingId | None = STANDS) -> Step:
    """A step that is left."""
    return Step(Action.UNDO, Ref(what), standing, minutes=minutes)


def drawn(lines: Lines, *steps: Step, way: Way = Way.STRIP):
    """Each stretch: where, done and left."""
    entries = lines.workshop.standing(CAR)
    found = ribbon(lines.state, entries, steps, way)
    return [(each.standing, each.done_minutes, each.left_minutes) for each in found]


def test_what_is_done_stands_where_it_was_done():
    """By the minutes on record; what is left, where the plan does it."""
    lines = Lines(LID)
    lines("standing wheels")
    lines("undone lid-frame")
    left = step("joint:pump-frame", 30)
    assert drawn(lines, left) == [(WHEELS, 10, 0), (STANDS, 0, 30)]


def test_what_goes_on_where_it_stands_is_one_stretch():
    """Done and left together."""
    lines = Lines(LID)
    lines("standing stands")
    lines("undone lid-frame")
    assert drawn(lines, step("joint:pump-frame", 30)) == [(STANDS, 10, 30)]


def test_what_was_struck_out_or_made_again_is_not_done():
    """It is told by how it is now."""
    lines = Lines(LID)
    lines("standing wheels")
    lines("undone lid-frame")
    lines("made lid-frame final")
    assert drawn(lines) == []
    assert drawn(lines, way=Way.REBUILD) == [(WHEELS, 10, 0)]


def test_a_standing_that_comes_twice_is_drawn_twice():
    """In the order of time."""
    steps = [step("joint:a", 5), step("joint:b", 5, WHEELS), step("joint:c", 5)]
    assert [each[0] for each in drawn(Lines(LID), *steps)] == [STANDS, WHEELS, STANDS]


def test_no_minutes_no_ribbon():
    """A sum of nothing is not drawn."""
    assert drawn(Lines(LID), step("joint:a", 0)) == []


@given(st.lists(st.floats(0.01, 1e4), min_size=1, max_size=12))
def test_the_stretches_fill_the_whole_width(minutes):
    """They lie side by side, and none is so narrow that it is lost."""
    standings = [STANDS, WHEELS]
    steps = [step(f"joint:{at}", each, standings[at % 2]) for at, each in enumerate(minutes)]
    found = ribbon(Lines(LID).state, (), steps, Way.STRIP)
    assert sum(each.width for each in found) == pytest.approx(1)
    for first, then in pairwise(found):
        assert first.at + first.width == pytest.approx(then.at)
    least = NARROWEST / (1 + NARROWEST * len(found))
    assert min(each.width for each in found) >= least


def test_a_name_is_shortened_for_the_drawing():
    """What stands behind a comma is in the words below."""
    (each,) = ribbon(Lines(LID).state, (), [step("joint:a", 5, WHEELS)], Way.STRIP)
    assert (each.name, each.short) == ("on its wheels, chocked", "on its wheels")
