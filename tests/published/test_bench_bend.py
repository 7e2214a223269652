"""Bent pipes against published arcs and rules, and against right-angled constructions."""

from math import degrees, pi, radians

import pytest

from putback.bench.bend.calculator import least_radius_m, thinning
from putback.bench.bend.geometry import from_corners
from putback.bench.brake import pipe_volume_m3
from tests.published.reference import rows

ROWS = [row for row in rows("e_tube_flare.csv") if row.tolerance != "text"]


def number(row, name):
    """A number of a row's inputs."""
    return float(row.inputs[name])


def reproduced(row):
    """What the geometry makes of a row, in the row's unit; None where it says nothing."""
    if "CLR_in" in row.inputs and row.quantity == "bend arc length":
        return number(row, "CLR_in") * radians(number(row, "bend_deg"))
    match row.quantity:
        case '"D of bend" CLR/OD':
            return number(row, "CLR_in") / number(row, "OD_in")
        case "wall factor OD/wall":
            return number(row, "OD_in") / number(row, "wall_in")
        case "outside wall thinning fraction (Ro-R)/Ro":
            return thinning(number(row, "OD_in"), number(row, "CLR_in"))
        case "wall after thinning":
            lost = thinning(number(row, "OD_in"), number(row, "CLR_in"))
            return number(row, "wall_in") * (1 - lost)
        case "minimum bend CLR, 3 x OD rule":
            return least_radius_m(number(row, "OD_in"))
        case "tube internal volume":
            return pipe_volume_m3(number(row, "ID_mm") * 1e-3, number(row, "L_m")) * 1e6
    return None


SIMPLE = [row for row in ROWS if reproduced(row) is not None]


@pytest.mark.parametrize("row", SIMPLE, ids=lambda row: f"{row.quantity} {row.inputs}")
def test_a_bends_figure_is_met(row):
    """e_tube_flare.csv: bending handbooks and the 3 d rule, as named there."""
    assert reproduced(row) == pytest.approx(float(row.expected), abs=row.slack or 1e-9)


SKEW = ((38.5202, -14.0264, 0.0), (45.3142, -14.0264, 0.0), (45.3142, -17.5214, 0.9654),
        (48.6822, -17.5214, 0.9654))  # fmt: skip
SQUARE = ((0.0, 0.0, 0.0), (0.1, 0.0, 0.0), (0.1, 0.1, 0.0), (0.1, 0.1, 0.1))
"""Metres: the published points in mm are a tenth of a metre apart."""


def expected(quantity):
    """The value of a row by its quantity."""
    (row,) = (row for row in ROWS if row.quantity == quantity)
    return pytest.approx(float(row.expected), abs=row.slack)


def test_a_skew_pipe_is_as_its_points_say():
    """e_tube_flare.csv: points published in a forum thread, answers by geometry; radius 0."""
    pipe = from_corners(SKEW, 0.0)
    assert pipe.straights_m[0] == expected("LRA length 1")
    assert pipe.straights_m[1] == expected("LRA length 2")
    assert pipe.straights_m[2] == expected("LRA length 3")
    assert degrees(pipe.bends[0].angle_rad) == expected("LRA bend 1")
    assert degrees(pipe.bends[1].angle_rad) == expected("LRA bend 2")
    assert degrees(pipe.bends[1].rotation_rad) == expected(
        "LRA rotation between bends (magnitude)"
    )


def test_a_square_pipe_is_as_its_construction_says():
    """e_tube_flare.csv: a right-angled tube, 80 + 60 + 80 mm and two quarter arcs."""
    pipe = from_corners(SQUARE, 0.02)
    for place, straight_m in enumerate(pipe.straights_m, 1):
        assert straight_m * 1e3 == expected(f"LRA straight {place}")
    assert degrees(abs(pipe.bends[1].rotation_rad)) == expected("LRA rotation (magnitude)")
    assert pipe.length_m * 1e3 == expected("cut length")
    assert pipe.length_m == pytest.approx(0.22 + 0.02 * pi)
