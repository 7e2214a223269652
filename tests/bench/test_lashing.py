"""Lashing: what holds, held against the forces themselves."""

from math import atan2, cos, degrees, dist, radians, sin

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from putback.bench.calculator import OutsideLimits
from putback.bench.lashing import (
    ACCELERATIONS,
    CALCULATOR,
    GRAVITY_M_S2,
    direct_pull_n,
    over_the_top,
)


def lashing(**changed):
    """Ask for 1,500 kg lashed direct but for what is changed."""
    usual = {"mass_kg": 1500.0, "way": "direct, four corners", "friction": 0.4,
             "angle_rad": radians(35), "along_rad": radians(40), "capacity_n": None,
             "tension_n": None}  # fmt: skip
    return CALCULATOR.work(**{**usual, **changed})


@given(st.floats(100, 4000), st.floats(0.05, 0.45), st.floats(10, 60), st.floats(10, 80))
@settings(max_examples=40)
def test_a_direct_lashing_balances_the_load(mass, friction, angle, along):
    """Pull and friction together are the force that is to be held."""
    a, b, rubs = radians(angle), radians(along), 0.75 * friction
    for way, c in ACCELERATIONS.items():
        pull = direct_pull_n(mass, friction, 2, a, b, way)
        facing = sin(b) if way == "sideways" else cos(b)
        weight = mass * GRAVITY_M_S2
        held = 2 * pull * cos(a) * facing + rubs * (weight + 2 * pull * sin(a))
        assert held == pytest.approx(c * weight)


@given(st.floats(100, 4000), st.floats(0.05, 0.45), st.floats(30, 90))
@settings(max_examples=40)
def test_straps_over_the_top_press_what_is_lacking(mass, friction, angle):
    """So many straps, pressing on both sides, rub as much as friction lacks, and the safety."""
    for way, c in ACCELERATIONS.items():
        number = over_the_top(mass, friction, 4000, radians(angle), way)
        rubs = number * 2 * 4000 * sin(radians(angle)) * friction
        safety = 1.25 if way == "forward" else 1.1
        assert rubs == pytest.approx(safety * (c - friction) * mass * GRAVITY_M_S2)


def test_friction_alone_may_hold_it():
    """On a rough bed nothing more is asked sideways, forward it is."""
    assert over_the_top(1000, 0.6, 4000, radians(90), "sideways") == 0
    assert over_the_top(1000, 0.6, 4000, radians(90), "forward") > 0
    assert direct_pull_n(1000, 0.8, 2, 0.0, 0.0, "sideways") == 0


def test_what_is_asked_is_told_way_by_way():
    """The worst way governs, and two straps are the least."""
    answer = lashing()
    assert answer["governs"] == "forward"
    assert answer["capacity"] == answer["forward"] > answer["sideways"]
    assert lashing(capacity_n=25000.0).verdict == "They hold: each needs LC 460 daN."
    assert lashing(capacity_n=4000.0).verdict == "Too weak: each needs 460 daN."
    over = lashing(way="over the top", tension_n=40000.0, angle_rad=radians(90))
    assert over["number"] == 2


def test_straps_that_hold_nothing_are_refused():
    """Straight along they do not hold sideways; flat over the top they do not press."""
    with pytest.raises(OutsideLimits, match="straps so laid hold nothing sideways"):
        lashing(along_rad=0.0, angle_rad=0.0)
    with pytest.raises(OutsideLimits, match="hardly presses"):
        lashing(way="over the top", tension_n=3500.0, angle_rad=radians(20))
    with pytest.raises(OutsideLimits, match="holds by its tension, which is not given"):
        lashing(way="over the top")


def angle_deg(one, other):
    """How steep a line is over the horizontal, in degrees."""
    return degrees(atan2(abs(other[1] - one[1]), abs(other[0] - one[0])))


def test_straps_are_drawn_at_their_angles():
    """Upright along a strap, from above, and over the top from behind, with the angle beside."""
    upright, above = lashing().drawings
    (strap,) = (shape.points_m for shape in upright.shapes if shape.role == "accent")
    assert angle_deg(*strap) == pytest.approx(35)
    straps = [shape.points_m for shape in above.shapes if shape.role == "accent"]
    assert [angle_deg(*each) for each in straps] == pytest.approx([40] * 4)
    assert len({(corner[0] > 0, corner[1] > 0) for corner, _ in straps}) == 4
    for corner, anchor in straps:
        assert dist(corner, anchor) == pytest.approx(cos(radians(35)))
        assert all(abs(a) >= abs(c) and a * c > 0 for a, c in zip(anchor, corner, strict=True))
    (over,) = lashing(way="over the top", tension_n=3500.0, angle_rad=radians(60)).drawings
    (strap,) = (shape.points_m for shape in over.shapes if shape.role == "accent")
    assert [angle_deg(*strap[:2]), angle_deg(*strap[2:])] == pytest.approx([60, 60])
    assert [d.shapes[-1].words for d in (upright, above, over)] == ["35°", "40°", "60°"]
