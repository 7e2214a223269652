"""The stretch for who is there: people, unknown minutes, the worst and the chance."""

from dataclasses import replace

import pytest

from putback.planning.stretch.spread import chance_of
from putback.planning.stretch.walk import ASSUMED_MINUTES
from putback.vehicle.minutes import Minutes
from putback.vehicle.part import Part
from tests.makers import standing, vehicle
from tests.planning.hand_made import likely
from tests.planning.stretching import LIDS, done, stretch, sure


def test_who_is_alone_leaves_what_wants_two():
    """And is told how much that is; with somebody there it is done."""
    v = vehicle(
        "bonnet - frame; 10 min",
        "lamp - frame; 5 min",
        Part("bonnet", "bonnet", "here", crew=2, minutes=likely(5)),
        datum="frame",
    )
    alone, _ = stretch(v, 100, people=1)
    assert "part:bonnet" not in done(alone)
    assert alone.out_of_reach == 1
    assert alone.stretch.people == 1
    both, _ = stretch(v, 100, people=2)
    assert "part:bonnet" in done(both)
    assert both.stretch.people == 2


def test_unknown_minutes_are_told_and_taken_for_a_convention():
    """No sum of nothing: so many steps are not estimated, and the time still ends the stretch."""
    plain = vehicle(*(f"p{n} - frame" for n in range(6)), datum="frame")
    v = plain.with_records(
        joints={k: replace(j, minutes=Minutes(0, 0, 0)) for k, j in plain.joints.items()}
    )
    found, plan = stretch(v, 3 * ASSUMED_MINUTES)
    assert len(plan.steps) == 12
    assert (len(found.stretch.steps), found.stretch.not_estimated) == (3, 3)
    assert found.stretch.minutes == 0
    assert (found.stretch.chance, found.stretch.worst_minutes) == (None, None)


def test_the_worst_and_the_chance_are_told_where_they_are_known():
    """Best, likely and worst of each; an even chance where the mean just fits."""
    found = stretch(LIDS, 32.5)[0].stretch
    assert found.minutes == 30
    assert found.worst_minutes == 60
    assert found.chance == pytest.approx(0.5)


def test_what_mostly_takes_longer_does_not_fit():
    """Likely it would: but with its tail it is done in time less often than not."""
    found = stretch(LIDS, 32)[0].stretch
    assert done(stretch(LIDS, 32)[0]) == ["job:b"]
    assert found.chance > 0.5


def test_the_chance_is_that_of_the_textbook():
    """Three tasks of mean 6, 8 and 8 and variance 1, 1 and 4 within 24: z = 0.816, so 0.793."""
    spread = [Minutes(3, 6, 9), Minutes(5, 8, 11), Minutes(2, 8, 14)]
    # Standard normal tables: Φ(0.82) = 0.7939; mean 22, variance 6, z = 2 / 2.449.
    assert chance_of(spread, 24) == pytest.approx(0.793, abs=5e-4)
    assert chance_of([Minutes(5, 5, 5)], 5) == 1.0
    assert chance_of([Minutes(5, 5, 5)], 4) == 0.0


def test_a_change_of_standing_is_not_made_for_nothing():
    """Coming back costs as well: the work that stands where it is comes first."""
    v = vehicle(
        "a - frame; 30 min; in wheels",
        "b - frame; 35 min; in stands",
        "c - frame; 30 min; in wheels",
        *(Part(each, each, "here", minutes=likely(10)) for each in "abc"),
        standing("wheels", "frame", stands=20.0),
        standing("stands", "frame", wheels=20.0),
        datum="frame",
    )
    found, _ = stretch(sure(v), 80, standing="wheels")
    assert {"joint:a-frame", "joint:c-frame"} <= set(done(found))
