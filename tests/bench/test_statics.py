"""Statics: centre of gravity, margin and loads against what statics say."""

import pytest

from putback.bench.statics import centre, loads_kg, margin_m

SQUARE = [(0.0, 0.0), (2.0, 0.0), (2.0, 2.0), (0.0, 2.0)]


def test_the_centre_of_nothing_is_nowhere():
    """No weight, no centre."""
    assert centre([]) == (0.0, None)
    assert centre([(0.0, (1.0, 1.0, 1.0))]) == (0.0, None)


@pytest.mark.parametrize(
    ("above", "margin"),
    [
        ((1.0, 1.0), 1.0),
        ((0.25, 1.0), 0.25),
        ((2.0, 1.0), 0.0),
        ((2.5, 1.0), -0.5),
        ((3.0, 3.0), -(2**0.5)),
    ],
)
def test_margin_of_a_square(above, margin):
    """Inside it is the way to the nearest edge, outside the way back, negative."""
    assert margin_m(above, SQUARE) == pytest.approx(margin)


@pytest.mark.parametrize(
    ("feet", "margin"),
    [([(0.0, 0.0)], -1.0), ([(0.0, 0.0), (2.0, 0.0)], 0.0), ([(-1.0, 0.0)] * 3, -2.0)],
)
def test_a_point_or_a_line_holds_nothing(feet, margin):
    """One foot, two, or many in one place leave no margin and carry nothing with certainty."""
    assert margin_m((1.0, 0.0), feet) == pytest.approx(margin)
    assert loads_kg(100.0, (1.0, 0.0), feet) == ()


def test_feet_in_a_line_share_nothing():
    """Four feet in a row hold as little as two."""
    assert loads_kg(100.0, (1.0, 0.0), [(0.0, 0.0), (1.0, 0.0), (2.0, 0.0), (3.0, 0.0)]) == ()


def test_three_feet_carry_what_statics_say():
    """On three feet nothing depends on stiffness: moments about two edges give the loads."""
    feet = [(0.0, 0.0), (4.0, 0.0), (0.0, 4.0)]
    assert loads_kg(100.0, (1.0, 1.0), feet) == pytest.approx((50.0, 25.0, 25.0))


def test_a_frame_rises_off_a_foot_that_would_have_to_pull():
    """Near one corner the opposite foot carries nothing, and the other three all of it."""
    found = loads_kg(100.0, (0.4, 0.4), SQUARE)
    assert found[2] == 0.0
    assert found == pytest.approx((60.0, 20.0, 0.0, 20.0))


def test_outside_the_feet_nothing_holds_it():
    """There are no loads to tell of when the vehicle tips."""
    assert loads_kg(100.0, (2.5, 1.0), SQUARE) == ()
