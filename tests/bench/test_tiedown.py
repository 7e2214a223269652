"""Tie-downs by the US rules: counts at the edges of what the text says."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from putback.bench.calculator import OutsideLimits
from putback.bench.tiedown import (
    CALCULATOR,
    FT_M,
    LB_KG,
    LIGHT_KG,
    OVER,
    WAYS,
    number_by_length,
    number_by_limit,
)


@pytest.mark.parametrize(
    ("length_ft", "weight_lb", "free", "blocked"),
    [
        (5, 1100, 1, 1),
        (5, 1101, 2, 1),
        (5.1, 500, 2, 1),
        (10, 500, 2, 1),
        (10.1, 500, 3, 2),
        (20, 500, 3, 2),
        (20.1, 500, 4, 3),
    ],
)
def test_number_by_length(length_ft, weight_lb, free, blocked):
    """By the words of 49 CFR 393.110(b) and (c)."""
    given = (length_ft * FT_M, weight_lb * LB_KG)
    assert number_by_length(*given, is_blocked=False) == free
    assert number_by_length(*given, is_blocked=True) == blocked


@given(st.floats(1, 4000), st.floats(50, 3000), st.sampled_from(sorted(WAYS)))
@settings(max_examples=40)
def test_they_hold_half_the_weight_and_one_less_does_not(mass, wll, way):
    """393.106(d), read back."""
    number = number_by_limit(mass, wll, way)
    assert number * wll * WAYS[way] >= mass / 2 * (1 - 1e-6)
    assert (number - 1) * wll * WAYS[way] < mass / 2


def tiedown(**changed):
    """Ask for a car but for what is changed."""
    usual = {"mass_kg": 1500.0, "length_m": 4.0, "wll_kg": 1500.0,
             "way": "to the vehicle itself", "is_vehicle": True, "is_blocked": False}  # fmt: skip
    return CALCULATOR.work(**{**usual, **changed})


def test_a_vehicle_has_two_at_each_end():
    """As many in front as behind, even where fewer would be strong enough."""
    assert tiedown().verdict == "At least 4 tie-downs: 2 at the front and 2 at the rear."
    weak = tiedown(wll_kg=320.0)
    assert weak["by_limit"] == 5
    assert weak["number"] == 6
    assert weak["in_all"] == pytest.approx(960)


def test_an_article_is_no_vehicle():
    """Its number goes by limit and length alone."""
    answer = tiedown(is_vehicle=False, mass_kg=400.0, length_m=1.0)
    assert answer["number"] == 1
    assert answer.verdict == "At least 1 tie-down."


def test_heavy_vehicles_have_another_section():
    """Above 10,000 lb nothing is counted."""
    assert tiedown(mass_kg=LIGHT_KG)["number"] >= 4
    with pytest.raises(OutsideLimits, match="up to 10,000 lb"):
        tiedown(mass_kg=LIGHT_KG + 1)


@pytest.mark.parametrize(
    ("changed", "count"),
    [
        ({}, 4),
        ({"wll_kg": 320.0}, 6),
        ({"way": OVER, "wll_kg": 100.0}, 8),
        ({"is_vehicle": False, "length_m": 8.0}, 4),
        ({"is_vehicle": False, "way": OVER, "length_m": 8.0}, 4),
    ],
)
def test_every_strap_is_drawn(changed, count):
    """A vehicle's half in front of its middle and half behind; all of them from its edge out."""
    answer = tiedown(**changed)
    assert answer["number"] == count
    (drawing,) = answer.drawings
    (box,) = (shape.points_m for shape in drawing.shapes if shape.role == "outline")
    straps = [shape.points_m for shape in drawing.shapes if shape.role == "accent"]
    assert len(set(straps)) == count
    (x, y) = box[2]
    assert x * 2 == changed.get("length_m", 4.0)
    for begin, end in straps:
        assert abs(end[0]) > x or abs(end[1]) > y
        assert abs(begin[0]) <= x
        is_over = changed.get("way") == OVER
        assert (begin[1] < -y and end[1] > y) is is_over
    if changed.get("is_vehicle", True):
        ahead = sum(begin[0] > 0 for begin, _ in straps)
        assert ahead == count / 2
    assert tiedown(wll_kg=1.0).drawings == ()
