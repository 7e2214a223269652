"""The demo's own figures of balance, worked out once by another program, against ours.

`data/m_demo_balance.csv` holds for five states of the demo what is off and out, and the mass,
centre of gravity, axle share, margins and stand loads that came with its description. Statics are
held against least squares by numpy and scipy besides, on supports of all sorts, and weighings
against two worked examples.
"""

import csv
from math import hypot, isinf, tan

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from scipy.optimize import lsq_linear
from scipy.spatial import ConvexHull

from putback.bench.statics import loads_kg, margin_m
from putback.logbook.state import Weighing
from putback.logbook.weighing import weighed
from putback.planning.balance import balance_of
from putback.vehicle.demo import demo_vehicle
from putback.vehicle.ids import StandingId
from putback.vehicle.part import Part, PartKind
from putback.vehicle.standing import Standing, Support
from putback.vehicle.vehicle import About, Vehicle
from tests.planning.hand_made import said
from tests.published.reference import DATA

with (DATA / "m_demo_balance.csv").open(encoding="utf-8", newline="") as _table:
    ROWS = list(csv.DictReader(_table))

SETS = {"a": "STANDS", "b": "STANDS-B"}


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row["state"])
def test_mass_centre_and_axle_share_of_the_demo(row):
    """Demo scenario, section 2: mass to 0.1 kg, centre of gravity to 1 mm, share to 1 %."""
    found = balance_of(demo_vehicle(), row["off"].split(), row["out"].split())
    assert f"{found.mass_kg:.1f}" == row["mass_kg"]
    assert found.cg_m == pytest.approx([float(row[f"{axis}_m"]) for axis in "xyz"], abs=0.0005)
    assert f"{100 * found.front_share:.0f}" == row["front_percent"]
    assert (found.guessed, found.placed) == ((), ())


@pytest.mark.parametrize("letter", SETS)
@pytest.mark.parametrize("row", ROWS, ids=lambda row: row["state"])
def test_margin_and_stand_loads_of_the_demo(row, letter):
    """Demo scenario, section 2 and support sets: margin to 1 mm, stand loads to 0.1 kg."""
    vehicle = demo_vehicle()
    found = balance_of(vehicle, row["off"].split(), row["out"].split(), SETS[letter])
    assert f"{found.margin_m:.3f}" == row[f"margin_{letter}_m"]
    assert [f"{each.load_kg:.1f}" for each in found.loads] == row[f"loads_{letter}_kg"].split()
    assert found.overloaded == ()


# -- worked examples ------------------------------------------------------------------------------

INCH_M, POUND_KG = 0.0254, 0.45359237

HANDBOOK = {"nose": 340 * POUND_KG, "left": 833 * POUND_KG, "right": 833 * POUND_KG}
EXAMINATION = {"nose": 6488.0, "left": 17783.0, "right": 17783.0}


def on_three_jacks(nose_m: float, main_m: float) -> Vehicle:
    """A body of which nothing is known, on a nose jack and two main ones."""
    places = {"nose": (nose_m, 0.0), "left": (main_m, -1.0), "right": (main_m, 1.0)}
    return Vehicle(
        About("craft", "craft"),
        parts={"body": Part("body", "body", "all", kind=PartKind.STRUCTURE, quantity=100)},
        standings={
            "jacks": Standing(
                "jacks",
                "on three jacks",
                tuple(Support(name, "jack", "body", at) for name, at in places.items()),
            )
        },
    )


@pytest.mark.parametrize(
    ("loads", "nose_m", "main_m", "mass_kg", "cg_m"),
    [
        pytest.param(
            HANDBOOK, 0.0, 78 * INCH_M, 2006 * POUND_KG, (78 - 13.2) * INCH_M, id="handbook"
        ),
        pytest.param(
            EXAMINATION, 161 * INCH_M, 775 * INCH_M, 42054.0, 680.3 * INCH_M, id="examination"
        ),
    ],
)
def test_weighed_on_three_points(loads, nose_m, main_m, mass_kg, cg_m):
    """FAA-H-8083-1 (340 lb, 78 in, 2,006 lb: 13.2 in), and a pilots' question (680.3 in).

    The first as reprinted by flight-study.com ("Electronic calculator"), the second from
    atplquestions.com (mass and balance 7): total and centre of gravity to their last figure. They
    come out of the scales alone, though the guess before was far off; and back from the centre of
    gravity statics give the scales' loads.
    """
    weighing = Weighing(said(), loads, StandingId("jacks"), 0.1)
    body = weighed(on_three_jacks(nose_m, main_m), [weighing]).hefts.parts["body"]
    assert body.mass_kg == pytest.approx(mass_kg, abs=0.2)
    assert body.cg_m[0] == pytest.approx(cg_m, abs=0.05 * INCH_M)
    feet = [(nose_m, 0.0), (main_m, -1.0), (main_m, 1.0)]
    shared = loads_kg(mass_kg, (cg_m, 0.0), feet)
    rounding = mass_kg * 0.05 * INCH_M / (main_m - nose_m)
    assert shared == pytest.approx(list(loads.values()), abs=rounding)


def test_the_slope_that_tips_is_the_static_stability_factor():
    """NHTSA: T / 2h, the tangent of the tilt table's angle: half the track over the height."""
    vehicle = on_three_jacks(0.0, 2.0).with_records(
        parts={"body": Part("body", "body", "all", mass_kg=900.0, cg_m=(1.2, 0.0, 0.6))},
        standings={
            "wheels": Standing(
                "wheels",
                "on its wheels",
                tuple(
                    Support(f"w{x}{y}", "wheel", "body", (x, y))
                    for x in (0.0, 2.6)
                    for y in (-0.75, 0.75)
                ),
            )
        },
    )
    found = balance_of(vehicle, (), (), "wheels")
    assert tan(found.tips_at_rad) == pytest.approx(1.5 / (2 * 0.6))


# -- statics ----------------------------------------------------------------------------------

coordinates = st.floats(-3, 3).map(lambda metres: round(metres, 3))
places = st.tuples(coordinates, coordinates)
feet_of = st.lists(places, min_size=3, max_size=6, unique=True)


def area(feet) -> float:
    """Area of the polygon round the feet, by scipy (Qhull) [m²]; 0 in a line."""
    spread = np.array(feet) - np.mean(feet, axis=0)
    return 0.0 if np.linalg.matrix_rank(spread, tol=1e-3) < 2 else ConvexHull(feet).volume


def between(feet, weights) -> tuple[float, float]:
    """A point among the feet, as the weights draw it to each."""
    parts = np.array(weights[: len(feet)]) / sum(weights[: len(feet)])
    return tuple(parts @ np.array(feet))


@given(feet_of, st.lists(st.floats(0.7, 1.3), min_size=6, max_size=6))
def test_loads_are_the_least_squares_of_equal_stiffness(feet, weights):
    """Numpy's smallest-norm solution of the three balances, where no foot would have to pull."""
    assume(area(feet) > 0.05)
    above = between(feet, weights)
    balances = np.array([[1.0] * len(feet), *zip(*feet, strict=True)])
    shares = np.linalg.lstsq(balances, np.array([1.0, *above]), rcond=None)[0]
    assume(shares.min() > 1e-6)
    assert loads_kg(1.0, above, feet) == pytest.approx(shares, abs=1e-6)


@given(feet_of, st.lists(st.floats(0.01, 1), min_size=6, max_size=6))
def test_no_foot_pulls(feet, weights):
    """Where a foot would have to pull, scipy's bounded least squares find the same loads."""
    assume(area(feet) > 0.05)
    above = between(feet, weights)
    balances = np.array([[1.0] * len(feet), *zip(*feet, strict=True)])
    stiff = 1e5  # the balances hold, and then the sum of squares is least
    system = np.vstack([stiff * balances, np.eye(len(feet))])
    wanted = np.concatenate([stiff * np.array([1.0, *above]), np.zeros(len(feet))])
    expected = lsq_linear(system, wanted, bounds=(0, np.inf), tol=1e-14).x
    assert loads_kg(1.0, above, feet) == pytest.approx(expected, abs=2e-4)


@given(feet_of, places)
def test_margin_is_the_distance_to_the_hull(feet, above):
    """Inside, scipy's convex hull (Qhull) gives the same distance to its nearest face."""
    assume(area(feet) > 0.05)
    faces = ConvexHull(feet).equations  # outward normal and offset of each face
    nearest = -max(faces[:, :2] @ np.array(above) + faces[:, 2])
    found = margin_m(above, feet)
    assert not isinf(found)
    if nearest >= 0:
        assert found == pytest.approx(nearest, abs=1e-6)
        assert loads_kg(1.0, above, feet) or nearest < 1e-6
    else:
        assert found <= nearest + 1e-6  # a corner is further than the face it ends
        assert -found <= min(hypot(above[0] - x, above[1] - y) for x, y in feet) + 1e-6
        assert loads_kg(1.0, above, feet) == () or nearest > -1e-6
