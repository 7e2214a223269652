"""How sure a balance is: against derivatives taken by trial and dense covariances by numpy."""

from math import atan2

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from putback.bench.statics import loads_kg, margin_m
from putback.logbook.state import Weighing
from putback.logbook.weighing import weighed
from putback.planning.balance import Reckoning
from putback.vehicle.part import Part
from putback.vehicle.standing import Standing, Support
from putback.vehicle.vehicle import About, Vehicle
from tests.planning.hand_made import said, table

FEET = [(0.0, -0.7), (0.0, 0.7), (2.5, -0.7), (2.5, 0.7)]
NAMES = ["fl", "fr", "rl", "rr"]


def vehicle_of(parts) -> Vehicle:
    """A bed of 500 kg in the middle of four wheels, and parts of which less is known."""
    return Vehicle(
        About("v", "v", wheelbase_m=2.5),
        parts=table(
            Part("bed", "bed", "all", mass_kg=500.0, cg_m=(1.2, 0.05, 0.5)),
            *(
                Part(f"p{n}", "part", "all", mass_kg=mass, cg_m=at)
                for n, (mass, at) in enumerate(parts)
            ),
        ),
        standings=table(
            Standing(
                "wheels",
                "on its wheels",
                tuple(
                    Support(name, "wheel", "bed", at) for name, at in zip(NAMES, FEET, strict=True)
                ),
            )
        ),
    )


def unknowns(hefts) -> np.ndarray:
    """Mass and place of each, one after another."""
    return np.array([(heft.mass_kg, *heft.cg_m) for heft in hefts]).ravel()


def measures(values: np.ndarray) -> np.ndarray:
    """Mass, centre of gravity, margin and loads of these masses and places."""
    each = values.reshape(-1, 4)
    mass = each[:, 0].sum()
    at = each[:, 0] @ each[:, 1:] / mass
    loads = loads_kg(mass, tuple(at[:2]), FEET)
    return np.array([mass, *at, margin_m(tuple(at[:2]), FEET), *loads])


def slopes(measure, values: np.ndarray) -> np.ndarray:
    """Derivatives by trial, one unknown after another."""
    columns = []
    for at in range(len(values)):
        step = np.zeros(len(values))
        step[at] = 1e-5
        columns.append((measure(values + step) - measure(values - step)) / 2e-5)
    return np.array(columns).T


def covariance(hefts) -> np.ndarray:
    """Of masses and places, each on its own."""
    return np.diag([s**2 for h in hefts for s in (h.mass_sigma_kg, *h.cg_sigma_m)])


places = st.tuples(st.floats(0, 2.5), st.floats(-0.6, 0.6), st.floats(0.1, 1))
parts_of = st.lists(
    st.tuples(st.one_of(st.none(), st.floats(1, 60)), st.one_of(st.none(), places)), max_size=5
)


@given(parts_of)
def test_uncertainty_is_propagated_to_first_order(parts):
    """JCGM 100, 5.1.2: the sum of squares of each uncertainty times its slope, found by trial."""
    vehicle = vehicle_of(parts)
    known = weighed(vehicle)
    hefts = list(known.prior.parts.values())
    values = unknowns(hefts)
    expected = measures(values)
    assume(len(expected) == 9)
    assume(abs(expected[2]) > 1e-3)  # in the middle the nearest edge changes
    found = Reckoning(vehicle, (), (), known).balance("wheels")
    spread = np.sqrt(
        np.diag(slopes(measures, values) @ covariance(hefts) @ slopes(measures, values).T)
    )
    got = [found.mass_kg, *found.cg_m, found.margin_m, *(each.load_kg for each in found.loads)]
    sure = [found.mass_sigma_kg, *found.cg_sigma_m, found.margin_sigma_m]
    sure += [each.sigma_kg for each in found.loads]
    assert got == pytest.approx(expected, abs=1e-6)
    assume(min(expected[5:]) > 0.1)  # where a wheel lifts the slopes change
    assert sure == pytest.approx(spread, rel=1e-3, abs=1e-6)
    assert found.tips_at_rad == pytest.approx(atan2(expected[4], expected[3]))


@given(parts_of, st.floats(0.9, 1.1))
def test_a_weighing_makes_it_surer_as_dense_matrices_say(parts, share):
    """The covariance after a weighing is (P^-1 + H' R^-1 H)^-1, and goes on to the margin."""
    vehicle = vehicle_of(parts)
    prior = list(weighed(vehicle).prior.parts.values())
    values = unknowns(prior)
    mass = measures(values)[0]
    along = sum(h.mass_kg * h.cg_m[0] for h in prior)
    axles = {"front axle": share * (mass - along / 2.5), "rear axle": along / 2.5}
    known = weighed(vehicle, [Weighing(said(), axles, None, 2.0)])
    found = Reckoning(vehicle, (), (), known).balance("wheels")
    # in moments the loads are linear: unknowns are m and what each moment is off by
    to_moments = np.zeros((3, 4 * len(prior)))
    for n, heft in enumerate(prior):
        to_moments[:, 4 * n] = (1.0, *heft.cg_m[:2])
        to_moments[1, 4 * n + 1] = to_moments[2, 4 * n + 2] = 1.0
    scales = np.array([[1.0, -1 / 2.5, 0.0], [0.0, 1 / 2.5, 0.0]]) @ to_moments
    own = np.diag(
        [
            s**2
            for h in prior
            for s in (h.mass_sigma_kg, *(h.mass_kg * each for each in h.cg_sigma_m))
        ]
    )
    gain = own @ scales.T @ np.linalg.inv(scales @ own @ scales.T + 4.0 * np.eye(2))
    after = to_moments @ (own - gain @ scales @ own) @ to_moments.T
    x, y = found.cg_m[:2]
    assert found.mass_sigma_kg == pytest.approx(np.sqrt(after[0, 0]), rel=1e-6)
    for axis, slope in enumerate((np.array([-x, 1, 0]), np.array([-y, 0, 1]))):
        sigma = np.sqrt(slope @ after @ slope) / found.mass_kg
        assert found.cg_sigma_m[axis] == pytest.approx(sigma, rel=1e-6)
    assert found.mass_sigma_kg < np.sqrt((to_moments @ own @ to_moments.T)[0, 0])


def test_the_guess_that_matters_most_is_named_first():
    """Of a heavy unknown at the tail and a light one in the middle, the heavy one is asked for."""
    vehicle = vehicle_of([(None, (2.4, 0.0, 0.5)), (None, (1.2, 0.0, 0.5)), (3.0, None)])
    heavy = {**vehicle.parts, "p0": Part("p0", "boxes", "all", quantity=90, cg_m=(2.4, 0.0, 0.5))}
    vehicle = vehicle.with_records(parts=heavy)
    reckoning = Reckoning(vehicle, (), (), weighed(vehicle))
    across = reckoning.poise.doubt.guesses((0.0, 1.0, 0.0, 0.0))
    assert (across[0].what, across[0].is_mass) == ("part:p0", True)
    assert {each.what for each in across} == {"part:p0", "part:p1", "part:p2"}
    assert across[0].share > 0.9
    assert sum(each.share for each in across) < 1


def test_what_is_out_casts_no_doubt():
    """A guess that is off again leaves the doubt as it was."""
    vehicle = vehicle_of([(None, (2.4, 0.0, 0.5))])
    with_it = Reckoning(vehicle, (), (), weighed(vehicle))
    before = with_it.balance("wheels").margin_sigma_m
    with_it.take_off("p0")
    without = with_it.balance("wheels")
    fresh = Reckoning(vehicle, {"p0"}, (), weighed(vehicle)).balance("wheels")
    assert without.margin_sigma_m == pytest.approx(fresh.margin_sigma_m)
    with_it.put_on("p0")
    assert with_it.balance("wheels").margin_sigma_m == pytest.approx(before)
