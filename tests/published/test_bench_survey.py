"""Places from distances and rigid fits against printed figures."""

import re
from math import sqrt

import numpy as np
import pytest
from scipy.spatial.transform import Rotation

from putback.bench.survey.adjust import settle, snoop
from putback.bench.survey.calculator import CALCULATOR
from putback.bench.survey.diagonals import width_m
from putback.bench.survey.fit import rigid_fit
from putback.bench.survey.network import computed_m, net_of
from putback.bench.survey.readings import Kind, Reading
from putback.bench.survey.start import start_places
from tests.published.reference import Row, rows

ROWS = rows("h_frame_survey.csv")

STATIONS_FT = {"A": (865.40, 4527.15, 0), "B": (2432.55, 2047.25, 0), "C": (2865.22, 27.15, 0)}
"""Ghilani and Wolf, *Adjustment computations*: trilateration of station U; in feet throughout."""
TO_U_FT = {"A": 6049.00, "B": 4736.83, "C": 5446.49}

STATIONS_M = {
    "P37": (27.297, -4.953, 1.47), "P31": (20.693, -4.849, 1.93), "P102": (22.59, 0.524, 1.2),
    "P43": (17.113, -3.003, 2.17), "P208": (22.554, 4.727, 1.77), "P101": (22.447, -7.88, 1.6),
}  # fmt: skip
"""Norrdine, *An algebraic solution to the multilateration problem*, 2012: example."""
TO_N_M = (3.652, 7.036, 4.586, 9.960, 7.542, 7.883)
TRUE_N_M = (26.759, -1.342, 1.13)


def of(start: str) -> list[Row]:
    """The rows whose quantity begins so, of which there must be some."""
    found = [row for row in ROWS if row.quantity.startswith(start)]
    assert found
    return found


def expected(start: str) -> object:
    """The value and tolerance of the one row that begins so."""
    (row,) = of(start)
    return pytest.approx(float(row.expected), abs=row.slack)


def test_a_station_from_three_distances():
    """Place, residuals and scatter of station U."""
    readings = [Reading(name, "U", length, Kind.PLAN) for name, length in TO_U_FT.items()]
    net = net_of(readings, STATIONS_FT, 1.0)
    found = snoop(net, start_places(net, STATIONS_FT, {})).adjusted
    x, y, _ = found.places[net.names.index("U")]
    for axis, value in (("X", x), ("Y", y)):
        (row,) = (row for row in ROWS if row.quantity == f"least-squares {axis} of U")
        assert value == pytest.approx(float(row.expected), abs=row.slack)
    for at, station in enumerate(TO_U_FT):
        assert found.residuals_m[at] == expected(f"residual {station}U")
    assert found.s0 == expected("standard deviation of unit weight S0")


def test_a_point_in_space_from_six_distances():
    """Least squares of the measured distances, from any start."""
    readings = [
        Reading(name, "N", length) for name, length in zip(STATIONS_M, TO_N_M, strict=True)
    ]
    net = net_of(readings, STATIONS_M, 0.1)
    places, _ = settle(net, start_places(net, STATIONS_M, {}))
    for axis, value in zip("XYZ", places[net.names.index("N")], strict=True):
        assert value == expected(f"3D multilateration, least-squares {axis} of N")


def test_distances_between_known_places():
    """What each reading would be if nothing were wrong."""
    net = net_of([Reading(name, "N", 1.0) for name in STATIONS_M], STATIONS_M, 0.1)
    places = np.array([{**STATIONS_M, "N": TRUE_N_M}[name] for name in net.names])
    found = dict(zip(STATIONS_M, computed_m(net, places), strict=True))
    for row in of("distance station to N"):
        (station,) = set(row.inputs) & set(STATIONS_M)
        assert found[station] == pytest.approx(float(row.expected), abs=row.slack)


def test_a_fit_without_scale_and_what_a_scale_would_be():
    """Umeyama's three points, turned in their plane: a reflection is refused."""
    a = np.array([(0, 0, 0), (1, 0, 0), (0, 2, 0)], dtype=float)
    b = np.array([(0, 0, 0), (-1, 0, 0), (0, 2, 0)], dtype=float)
    fit = rigid_fit(a, b, in_plane=True)
    assert fit.rotation[0, 0] == expected("similarity fit: rotation cos term")
    assert fit.rotation[0, 1] == expected("similarity fit: rotation R12")
    assert np.linalg.det(fit.rotation) == pytest.approx(1)
    assert fit.scale == expected("similarity fit: scale c")
    shift = b.mean(axis=0) - fit.scale * fit.rotation @ a.mean(axis=0)
    assert shift[0] == expected("similarity fit: translation tx")
    assert shift[1] == expected("similarity fit: translation ty")
    assert fit.rms_m**2 == expected("rigid fit without scale, same points: mean square error")


def test_one_corner_moved():
    """RMS of five residuals of a frame that was turned, moved, and has a corner 4 mm off."""
    frame = np.array(
        [(0, 0, 0), (2500, 0, 0), (2500, 900, 0), (0, 900, 0), (1250, 450, 300)], dtype=float
    )
    turned = Rotation.from_euler("zyx", [10, -5, 3], degrees=True).apply(frame)
    turned += np.array([120, -45, 30])
    assert rigid_fit(turned, frame).rms_m == expected("rigid best fit recovers an exact")
    turned[2, 0] += 4
    assert rigid_fit(turned, frame).rms_m == expected("rigid best fit with one corner moved")


def test_diagonal_of_a_rectangle():
    """The width that two such diagonals enclose is the rectangle's."""
    (row,) = of("rectangle diagonal")
    diagonal = float(row.expected)
    assert width_m(diagonal, diagonal, 2500) == pytest.approx(900, abs=0.05)
    assert sqrt(2500**2 + 900**2) == pytest.approx(diagonal, abs=row.slack)


def test_tolerances_where_the_maker_gives_none():
    """5 mm for a body over a frame, 3 mm unibody."""
    (asked,) = (each for each in CALCULATOR.asked if each.name == "tolerance")
    frame, unibody = (
        float(of(f"chassis measurement tolerance where maker gives none, {sort}")[0].expected)
        for sort in ("body over frame", "unibody")
    )
    (row,) = of("collision-trade tolerance, unibody / full frame")
    assert re.findall(r"±?(\d+) mm", row.expected) == [f"{unibody:g}", f"{frame:g}"]
    assert asked.default == f"{frame:g} mm"
    assert re.search(f"else {frame:g} mm on a frame, {unibody:g} mm unibody", asked.hint)
