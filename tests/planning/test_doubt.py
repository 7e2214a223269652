"""How sure a balance is: against derivatives taken by trial and dense covariances by numpy."""

from dataclasses import replace
from math import atan2

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from putback.bench.statics import loads_kg, margin_m
from putback.logbook.state import Weighing
from putback.logbook.weighing import weighed
from putback.planning.balance import Reckoning
from putback.vehicle.masses import GUESSED_SHARE
from putback.vehicle.part import Part, PartKind
from putback.vehicle.standing import Standing, Support
from putback.vehicle.vehicle import About, Vehicle
from tests.planning.hand_made import said, table

FEET = [(0.0, -0.7), (0.0, 0.7), (2.5, -0.7), (2.5, 0.7)]
NAMES = ["fl", "fr", "rl", "rr"]
KINDS = (PartKind.PART, PartKind.GLASS)


def vehicle_of(parts) -> Vehicle:
    """A bed of 500 kg in the middle of four wheels, and parts of which less is known."""
    return Vehicle(
        About("v", "v", wheelbase_m=2.5),
        parts=table(
            Part("bed", "bed", "all", mass_kg=500.0, cg_m=(1.2, 0.05, 0.5)),
            *(
                Part(f"p{n}", "part", "all", mass_kg=mass, cg_m=at, kind=KINDS[n % 2])
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


def spread_of(vehicle, hefts, rates, *, moments=False) -> np.ndarray:
    """The variance of what grows so with masses and places (or moments), shape (n, n).

    Each is off on its own, but for the masses that one figure stands for: these are off together
    or each on its own, whichever makes the variance larger.
    """
    own = [
        (h.mass_sigma_kg, *((h.mass_kg if moments else 1.0) * s for s in h.cg_sigma_m))
        for h in hefts
    ]
    sigmas = np.array(own).ravel()
    parts = list(vehicle.parts.values())
    found = 0.0
    for kind in KINDS:
        guessed = [4 * n for n, p in enumerate(parts) if p.mass_kg is None and p.kind is kind]
        off = GUESSED_SHARE * np.array([hefts[at // 4].mass_kg for at in guessed])
        each = rates[:, guessed] * off
        found = found + np.maximum(each.sum(axis=1) ** 2, (each**2).sum(axis=1))
        sigmas[guessed] = 0.0
    return found + (rates**2) @ sigmas**2


def together(vehicle, hefts) -> np.ndarray:
    """The covariance of masses and moments, where what one figure stands for is off together."""
    own = [(h.mass_sigma_kg, *(h.mass_kg * s for s in h.cg_sigma_m)) for h in hefts]
    found = np.diag(np.array(own).ravel() ** 2)
    parts = list(vehicle.parts.values())
    for a, one in enumerate(parts):
        for b, other in enumerate(parts):
            if one.mass_kg is None and other.mass_kg is None and one.kind is other.kind:
                found[4 * a, 4 * b] = GUESSED_SHARE**2 * hefts[a].mass_kg * hefts[b].mass_kg
    return found


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
    spread = np.sqrt(spread_of(vehicle, hefts, slopes(measures, values)))
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
    own = together(vehicle, prior)
    gain = own @ scales.T @ np.linalg.inv(scales @ own @ scales.T + 4.0 * np.eye(2))
    left = own - gain @ scales @ own
    after = to_moments @ left @ to_moments.T
    x, y = found.cg_m[:2]
    assert found.mass_sigma_kg == pytest.approx(np.sqrt(after[0, 0]), rel=1e-6)
    for axis, slope in enumerate((np.array([-x, 1, 0]), np.array([-y, 0, 1]))):
        rates = (slope @ to_moments)[None, :]
        (more,) = spread_of(vehicle, prior, rates, moments=True) - rates @ own @ rates.T
        sigma = np.sqrt(slope @ after @ slope + more[0]) / found.mass_kg
        assert found.cg_sigma_m[axis] == pytest.approx(sigma, rel=1e-6)
    assert found.mass_sigma_kg < np.sqrt((to_moments @ own @ to_moments.T)[0, 0])
    # what a guess, known exactly, would take off the variance of the mass: cov(y, x)^2 / var(x)
    doubt, places = Reckoning(vehicle, (), (), known).poise.doubt, list(vehicle.parts)
    for each in doubt.guesses((1.0, 0.0, 0.0, 0.0)):
        if each.is_mass:
            at = 4 * places.index(each.what.removeprefix("part:"))
            share = (to_moments[0] @ left[:, at]) ** 2 / left[at, at] / after[0, 0]
            assert each.share == pytest.approx(share, rel=1e-5, abs=1e-9)


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


def test_the_doubts_of_guesses_of_one_kind_add_up():
    """In closed form: of n parts, each r of m kg unsure by one figure, the sum is n m r unsure.

    Of two kinds the two are independent; were all of them, it would be the root of n times m r.
    """
    count, r = 30, GUESSED_SHARE
    alike = [Part(f"p{n}", "part", "all", cg_m=(1.2, 0.0, 0.5)) for n in range(count)]
    only = Vehicle(About("v", "v"), parts=table(*alike))
    sigma = Reckoning(only, (), (), weighed(only)).balance().mass_sigma_kg
    assert sigma == pytest.approx(count * 2.0 * r)
    assert sigma > 5 * np.sqrt(count) * 2.0 * r
    panes = [Part(f"g{n}", "g", "all", kind=PartKind.GLASS, quantity=2) for n in range(4)]
    both = Vehicle(About("v", "v"), parts=table(*alike, *panes))
    found = Reckoning(both, (), (), weighed(both)).balance()
    assert found.mass_sigma_kg == pytest.approx(np.hypot(count * 2.0 * r, 4 * 2 * 10.0 * r))


def test_loads_are_as_unsure_as_drawn_vehicles_scatter():
    """By numpy's Monte Carlo: a kind's figure drawn once for a vehicle, or for each part of it.

    The larger scatter counts; all else is drawn for itself.
    """
    places = [(0.3 * n, 0.1 * (n % 3) - 0.1, 0.5) for n in range(8)]
    vehicle = vehicle_of([(None if n % 4 else 20.0, at) for n, at in enumerate(places)])
    known = weighed(vehicle)
    found = Reckoning(vehicle, (), (), known).balance("wheels")
    chance, runs = np.random.default_rng(7), 40_000
    feet = np.array([[1.0] * 4, *zip(*FEET, strict=True)])
    plane = feet.T @ np.linalg.inv(feet @ feet.T)  # loads from mass and moments
    once = {kind: chance.standard_normal(runs) for kind in KINDS}
    shape = (5, runs)
    rest = np.zeros(shape)
    alike = {kind: np.zeros(shape) for kind in KINDS}
    alone = {kind: np.zeros(shape) for kind in KINDS}
    for part, heft in zip(vehicle.parts.values(), known.prior.parts.values(), strict=True):
        at = np.array([1.0, *part.cg_m[:2]])
        each = heft.mass_kg * np.array([1.0, *(plane @ at)])[:, None]
        own = chance.standard_normal(runs)
        if part.mass_kg is None:
            alike[part.kind] += each * GUESSED_SHARE * once[part.kind]
            alone[part.kind] += each * GUESSED_SHARE * own
        else:
            rest += each * 0.05 * own
        moved = 0.02 * heft.mass_kg * chance.standard_normal((2, runs))
        rest[1:] += plane[:, 1:] @ moved
    spread = rest.var(axis=1)
    for kind in KINDS:
        spread += np.maximum(alike[kind].var(axis=1), alone[kind].var(axis=1))
    sure = [found.mass_sigma_kg, *(each.sigma_kg for each in found.loads)]
    assert sure == pytest.approx(np.sqrt(spread), rel=0.02)


def test_guesses_on_both_sides_do_not_cancel():
    """Two like boxes, one left and one right: nobody knows which is the heavier."""
    vehicle = vehicle_of([(None, (1.2, -0.6, 0.5)), (5.0, None), (None, (1.2, 0.6, 0.5))])
    doubt = Reckoning(vehicle, (), (), weighed(vehicle)).poise.doubt
    across = (0.0, 0.0, 1.0, 0.0)
    certain = vehicle.with_records(
        parts={k: replace(p, mass_kg=p.mass_kg or 2.0) for k, p in vehicle.parts.items()}
    )
    known = Reckoning(certain, (), (), weighed(certain)).poise.doubt.sigma(across) ** 2
    both = 2 * (0.6 * 2.0) ** 2
    assert doubt.sigma(across) ** 2 == pytest.approx(known + both * (0.5**2 - 0.05**2))
    asked = {each.what for each in doubt.guesses(across) if each.is_mass}
    assert asked == {"part:p0", "part:p2"}


def test_of_guesses_by_one_figure_the_heaviest_is_named():
    """Any of them would tell by what share the figure is off; the others of its kind follow."""
    vehicle = vehicle_of([(None, (2.4, 0.0, 0.5)), (5.0, None), (None, (2.4, 0.0, 0.5))])
    heavy = {**vehicle.parts, "p2": Part("p2", "p", "all", quantity=9, cg_m=(2.4, 0.0, 0.5))}
    vehicle = vehicle.with_records(parts=heavy)
    doubt = Reckoning(vehicle, (), (), weighed(vehicle)).poise.doubt
    masses = [each for each in doubt.guesses((1.0, 0.0, 0.0, 0.0)) if each.is_mass]
    assert [each.what for each in masses] == ["part:p2"]
    bed = (500 * 0.05) ** 2 + (5 * 0.05) ** 2
    assert masses[0].share == pytest.approx(10.0**2 / (10.0**2 + bed))
