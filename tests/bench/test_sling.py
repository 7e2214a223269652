"""Slings: pulls that hold the load in balance, whatever the angle."""

from math import atan2, cos, radians, sin

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from putback.bench.calculator import OutsideLimits
from putback.bench.sling import CALCULATOR, GRAVITY_M_S2, leg_pull_n, uneven_pulls_n
from putback.errors import BadInput


def sling(**changed):
    """Ask for 200 kg on two legs at 60 degrees but for what is changed."""
    usual = {"mass_kg": 200.0, "legs": 2, "angle_rad": radians(60), "height_m": None,
             "spread_m": None, "off_m": 0.0, "rating_kg": None}  # fmt: skip
    return CALCULATOR.work(**{**usual, **changed})


@pytest.mark.parametrize(
    ("angle", "factor"), [(90, 1.0), (75, 1.035), (60, 1.155), (45, 1.414), (30, 2.0)]
)
def test_factors_of_the_rigging_tables(angle, factor):
    """As load angle tables print them for two legs (ASME B30.9 handbooks, from memory)."""
    found = sling(angle_rad=radians(angle))
    assert found["factor"] == pytest.approx(factor, abs=0.001)
    assert found["pull"] == pytest.approx(100 * GRAVITY_M_S2 * factor, rel=0.001)


@pytest.mark.parametrize(("legs", "counted"), [(1, 1), (2, 2), (3, 3), (4, 3)])
def test_of_four_legs_three_carry(legs, counted):
    """And each of the others carries."""
    angle = radians(60)
    expected = 200 * GRAVITY_M_S2 / counted / sin(angle)
    assert leg_pull_n(200, legs, angle) == pytest.approx(expected)


@given(st.floats(1, 1e4), st.floats(0.2, 5), st.floats(0.01, 0.3), st.floats(0.01, 0.3))
@settings(max_examples=50)
def test_uneven_legs_hold_it_in_balance(mass, height, left, right):
    """Upwards the two carry the weight, sideways they cancel."""
    one, two = uneven_pulls_n(mass, height, left, right)
    a, b = atan2(left, height), atan2(right, height)
    assert one * cos(a) + two * cos(b) == pytest.approx(mass * GRAVITY_M_S2)
    assert one * sin(a) == pytest.approx(two * sin(b))
    assert (one >= two) == (left <= right)


def test_even_legs_by_either_formula():
    """With the weight midway Lami gives what the sine does."""
    one, two = uneven_pulls_n(200, 0.6, 0.35, 0.35)
    assert one == pytest.approx(two)
    assert one == pytest.approx(leg_pull_n(200, 2, atan2(0.6, 0.35)))
    assert uneven_pulls_n(200, 0.6, 0, 0) == (100 * GRAVITY_M_S2,) * 2


def test_height_and_spread_stand_in_for_the_angle():
    """So does a weight off the middle, on the leg that pulls more."""
    answer = sling(angle_rad=None, height_m=0.6, spread_m=0.7)
    assert answer["angle"] == pytest.approx(atan2(0.6, 0.35))
    off = sling(angle_rad=None, height_m=0.6, spread_m=0.7, off_m=0.1)
    assert off["pull"] == pytest.approx(max(uneven_pulls_n(200, 0.6, 0.25, 0.45)))
    assert off["angle"] == pytest.approx(atan2(0.6, 0.45))
    assert off["inward"] == pytest.approx(off["pull"] * cos(atan2(0.6, 0.25)))
    assert off["pull"] > answer["pull"]


def test_flat_legs_are_warned_of_and_then_refused():
    """Under 45 degrees it is said, under 30 there is no answer."""
    assert "The legs are flat" in sling(angle_rad=radians(40)).verdict
    assert "flat" not in sling(angle_rad=radians(45)).verdict
    with pytest.raises(OutsideLimits, match=r"a leg at 29° over the horizontal is outside"):
        sling(angle_rad=radians(29))
    with pytest.raises(OutsideLimits, match="a leg at 25°"):
        sling(height_m=0.35, spread_m=1.3, off_m=0.1)


def test_the_rating_is_judged():
    """By a leg that hangs straight."""
    assert (
        sling(rating_kg=500.0).verdict
        == "It holds: a leg pulls 115 kg (255 lb), 23 % of its rating."
    )
    assert sling(rating_kg=100.0).verdict.startswith(
        "Too much: a leg pulls 115 kg (255 lb), 1.2 times"
    )


def test_what_is_not_known_is_refused():
    """Five legs, no angle, a weight off the middle of three, a weight outside its points."""
    with pytest.raises(OutsideLimits, match="nothing is known of slings of 5 legs"):
        sling(legs=5)
    with pytest.raises(BadInput, match="the angle of the legs is not known"):
        sling(angle_rad=None)
    with pytest.raises(BadInput, match="worked out for two legs"):
        sling(legs=3, off_m=0.1)
    with pytest.raises(OutsideLimits, match="outside both points"):
        sling(height_m=1.0, spread_m=0.2, off_m=0.2)


def test_both_legs_are_drawn_at_their_angles():
    """The weight lies under the hook, the steeper leg on its other side."""
    (drawing,) = sling(angle_rad=None, height_m=0.6, spread_m=0.7, off_m=0.1).drawings
    (legs,) = (shape.points_m for shape in drawing.shapes if shape.role == "outline")
    (left, _), (hook, height), (right, _) = legs
    assert (hook - left, right - hook) == pytest.approx((height * 0.45 / 0.6, height * 0.25 / 0.6))
    assert drawing.words.startswith("Two legs from one hook, one 53°, one 67° over the horizontal")
    (even,) = sling().drawings
    assert even.words.startswith("Two legs from one hook, each 60° over the horizontal")
