"""Adjusting a survey: exact nets, scipy as second reference, readings that are wrong."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import least_squares
from scipy.stats import chi2

from putback.bench.survey.adjust import DETECTED, chi_square_999, judge, settle, snoop
from putback.bench.survey.compared import survey_of
from putback.bench.survey.fit import rigid_fit
from putback.bench.survey.network import computed_m, free_motions, net_of, normals, slopes
from putback.bench.survey.readings import Kind, Reading
from putback.bench.survey.solving import solve_definite
from putback.bench.survey.start import start_places
from putback.errors import BadInput
from tests.bench.chassis import NAMES, PLACES, heights, lengths, points

SIGMA_M = 0.001
ORDER = {name: at for at, name in enumerate(NAMES)}


def in_order(net, places):
    """Places as the chassis lists its points."""
    return places[[net.names.index(name) for name in NAMES]]


def off_m(net, places):
    """How far places are from the truth, turned, moved and mirrored as fits best."""
    found = in_order(net, places)
    return min(rigid_fit(found * (1.0, side, 1.0), PLACES).rms_m for side in (1.0, -1.0))


@pytest.mark.parametrize("kind", ["true", "heights", "plan"])
def test_exact_readings_give_the_places_back(kind):
    """Whatever the start: from lengths, from lengths and heights, and in plan."""
    readings = lengths(PLACES, Kind.PLAN if kind == "plan" else Kind.TRUE)
    readings += heights(PLACES) if kind == "heights" else []
    net = net_of(readings, {}, SIGMA_M)
    places, cost = settle(net, start_places(net, {}, {}))
    assert cost < 1e-6
    if kind == "plan":
        flat = PLACES * (1, 1, 0)
        found = in_order(net, places) * (1, 1, 0)
        assert min(rigid_fit(found * (1, s, 1), flat).rms_m for s in (1.0, -1.0)) < 1e-6
    else:
        assert off_m(net, places) < 2e-5


def test_scipy_finds_the_same():
    """Sum of squares, places and scatter of a noisy net against scipy.optimize.least_squares."""
    net = net_of(lengths(PLACES, sigma_m=SIGMA_M) + heights(PLACES, SIGMA_M), {}, SIGMA_M)
    places, cost = settle(net, start_places(net, {}, {}))

    def misfit(unknown):
        moved = places.copy()
        moved[net.free] = unknown
        return (computed_m(net, moved) - net.length_m) / SIGMA_M

    other = least_squares(misfit, places[net.free] + 0.003, xtol=1e-14, ftol=1e-14, gtol=1e-14)
    assert cost == pytest.approx(2 * other.cost, rel=1e-6)
    moved = places.copy()
    moved[net.free] = other.x
    assert rigid_fit(in_order(net, moved), in_order(net, places)).rms_m < 1e-6
    assert judge(net, places).s0 == pytest.approx((2 * other.cost / (36 - 24 + 3)) ** 0.5, 1e-6)


def test_places_beside_the_least_sum_are_not_at_rest():
    """Half a standard deviation off is told; where they were settled they rest."""
    net = net_of(lengths(PLACES, sigma_m=SIGMA_M) + heights(PLACES, SIGMA_M), {}, SIGMA_M)
    places, _ = settle(net, start_places(net, {}, {}))
    settled = judge(net, places)
    assert settled.is_at_rest
    beside = places.copy()
    beside[2] += 0.5 * settled.sigmas_m[2]
    assert not judge(net, beside).is_at_rest


def test_standard_deviations_are_those_of_the_pseudoinverse():
    """On inner constraints; and the redundancies add up to the readings more than needed."""
    net = net_of(lengths(PLACES, sigma_m=SIGMA_M), {}, SIGMA_M)
    places, _ = settle(net, start_places(net, {}, {}))
    adjusted = judge(net, places)
    jacobian = slopes(net, places) / SIGMA_M
    wanted = np.linalg.pinv(jacobian.T @ jacobian, rcond=1e-10)
    assert adjusted.covariance == pytest.approx(wanted, abs=1e-4 * wanted.max())
    assert adjusted.redundancy.sum() == pytest.approx(adjusted.spare)
    assert adjusted.spare == 28 - (24 - 6)


def test_readings_scatter_as_the_standard_deviations_say():
    """Over many surveys a point strays by its standard deviation (a simulation)."""
    sets = []
    for seed in range(30):
        net = net_of(lengths(PLACES, Kind.PLAN, SIGMA_M, seed), {}, SIGMA_M)
        places, _ = settle(net, in_order_inverse(net))
        fit = rigid_fit(in_order(net, places) * (1, 1, 0), PLACES * (1, 1, 0), in_plane=True)
        sets.append(fit.placed(in_order(net, places) * (1, 1, 0)))
        adjusted = judge(net, places)
    strayed = np.std(sets, axis=0)[:, :2]
    said = in_order(net, adjusted.sigmas_m)[:, :2]
    assert strayed == pytest.approx(said, rel=0.45)
    assert strayed.mean() == pytest.approx(said.mean(), rel=0.1)


def in_order_inverse(net):
    """The true places in the order of a net."""
    return PLACES[[ORDER[name] for name in net.names]] * (1, 1, 0)


def test_free_motions_change_no_reading():
    """Six for lengths alone, three with heights, none between fixed points."""
    for readings, fixed, count in [
        (lengths(PLACES), {}, 6),
        (lengths(PLACES) + heights(PLACES), {}, 3),
        (lengths(PLACES, Kind.PLAN), {}, 3),
        (lengths(PLACES), {n: points(PLACES)[n] for n in ("FL", "FR", "RL")}, 0),
        (lengths(PLACES), {n: points(PLACES)[n] for n in ("FL", "FR")}, 1),
    ]:
        net = net_of(readings, fixed, SIGMA_M)
        places = PLACES[[ORDER[name] for name in net.names]]
        motions = free_motions(net, places)
        assert motions.shape[1] == count
        assert np.abs(slopes(net, places) @ motions).max(initial=0.0) < 1e-12


@pytest.mark.parametrize("error_m", [0.02, -0.3])
@pytest.mark.parametrize("which", [0, 9, 27])
def test_a_misread_tape_is_found(which, error_m):
    """It is named and left out, whichever it is, and the rest is as if it had not been."""
    good = lengths(PLACES, sigma_m=SIGMA_M / 2) + heights(PLACES, SIGMA_M / 2)
    readings = list(good)
    readings[which] = replace(good[which], length_m=good[which].length_m + error_m)
    found = survey_of(readings, {}, {}, SIGMA_M)
    assert found.snooped.wrong == (which,)
    net = net_of(good[:which] + good[which + 1 :], {}, SIGMA_M)
    clean = snoop(net, start_places(net, {}, {})).adjusted
    assert found.snooped.adjusted.s0 == pytest.approx(clean.s0, rel=1e-4)


def test_good_readings_are_left_alone():
    """Chance alone takes nothing out, and the scatter is accepted."""
    readings = lengths(PLACES, sigma_m=SIGMA_M, seed=5) + heights(PLACES, SIGMA_M, seed=6)
    found = survey_of(readings, {}, {}, SIGMA_M)
    assert found.snooped.wrong == ()
    assert found.snooped.adjusted.is_accepted
    assert found.snooped.adjusted.s0 == pytest.approx(1, abs=0.35)


def test_one_check_does_not_tell_which_reading_is_wrong():
    """A square with both diagonals: nobody can say which of its readings is misread."""
    square = [("A", "B", 1.0), ("B", "C", 1.0), ("C", "D", 1.0), ("D", "A", 1.0)]
    readings = [Reading(*each) for each in square]
    readings += [Reading("A", "C", 2**0.5), Reading("B", "D", 2**0.5 + 0.05)]
    plan = survey_of([replace(r, kind=Kind.PLAN) for r in readings], {}, {}, SIGMA_M)
    assert plan.snooped.wrong == ()
    assert len(plan.snooped.tied) > 1
    assert plan.snooped.adjusted.spare == 1


def test_what_an_error_could_hide():
    """Eight times in ten: 4.13 σ over the root of the redundancy; nothing where none checks."""
    net = net_of(lengths(PLACES) + heights(PLACES), {}, SIGMA_M)
    adjusted = judge(net, PLACES[[ORDER[name] for name in net.names]])
    wanted = DETECTED * SIGMA_M / np.sqrt(adjusted.redundancy)
    assert adjusted.detectable_m() == pytest.approx(wanted)


def test_points_left_open_are_named():
    """A point on one reading could lie anywhere round it."""
    readings = [*lengths(PLACES), *heights(PLACES), Reading("FL", "X", 0.5)]
    adjusted = survey_of(readings, {}, {}, SIGMA_M).snooped.adjusted
    assert adjusted.unsettled == ("X",)


def test_a_point_tied_to_one_plane_has_two_sides():
    """From three points it may lie above or below; a height tells."""
    base = points(PLACES)
    fixed = {name: base[name] for name in ("FL", "FR", "AL")}
    tied = [
        Reading(name, "X", float(np.linalg.norm(np.array(at) - (0.4, 0.1, 0.5))))
        for name, at in fixed.items()
    ]
    assert survey_of(tied, fixed, {}, SIGMA_M).two_sided == ("X",)
    told = [*tied, Reading("X", "", 0.5, Kind.HEIGHT)]
    assert survey_of(told, fixed, {}, SIGMA_M).two_sided == ()


def test_a_flat_set_says_nothing_of_heights():
    """Lengths in one plane are taken as flat, with a misread one too; depth is not."""
    flat = PLACES * (1, 1, 0)
    assert survey_of(lengths(flat, sigma_m=SIGMA_M), {}, {}, SIGMA_M).is_flat
    readings = lengths(flat, sigma_m=SIGMA_M / 2)
    readings[3] = replace(readings[3], length_m=readings[3].length_m + 0.05)
    found = survey_of(readings, {}, {}, SIGMA_M)
    assert found.is_flat
    assert found.snooped.wrong == (3,)
    deep = PLACES.copy()
    deep[::3, 2] += 0.6
    assert not survey_of(lengths(deep, sigma_m=SIGMA_M), {}, {}, SIGMA_M).is_flat
    assert survey_of(lengths(PLACES, Kind.PLAN), {}, {}, SIGMA_M).is_flat


def test_parts_that_nothing_connects_are_refused():
    """Two groups of points have no place to each other."""
    with pytest.raises(BadInput, match="nothing is measured between A and C, D"):
        survey_of([Reading("A", "B", 1.0), Reading("C", "D", 1.0)], {}, {}, SIGMA_M)


@pytest.mark.parametrize("degrees", [3, 10, 50, 200])
def test_the_limit_of_the_scatter_is_that_of_chi_square(degrees):
    """Wilson and Hilferty against scipy, to 2 %."""
    assert chi_square_999(degrees) == pytest.approx(chi2.ppf(0.999, degrees), rel=0.02)


@given(st.integers(1, 40), st.integers(0, 2**32 - 1))
@settings(max_examples=30)
def test_blocks_solve_what_numpy_solves(size, seed):
    """Of any size, a multiple of the block or not."""
    random = np.random.default_rng(seed)
    root = random.normal(size=(size, size))
    matrix, right = root @ root.T + np.eye(size), random.normal(size=size)
    assert solve_definite(matrix, right) == pytest.approx(np.linalg.solve(matrix, right))


def test_blocks_refuse_what_is_singular():
    """So that a step is damped rather than taken."""
    with pytest.raises(np.linalg.LinAlgError):
        solve_definite(np.zeros((3, 3)), np.ones(3))


def test_normal_equations_are_those_of_the_slopes():
    """Put together reading by reading, as from the whole matrix."""
    net = net_of(lengths(PLACES) + heights(PLACES), {"FL": points(PLACES)["FL"]}, SIGMA_M)
    places = PLACES[[ORDER[name] for name in net.names]] + 0.01
    random = np.random.default_rng(4)
    weight, residual = random.uniform(1, 2, (2, len(net.readings)))
    jacobian = slopes(net, places)
    matrix, pull = normals(net, places, weight, residual)
    assert matrix == pytest.approx(jacobian.T @ (weight[:, None] * jacobian))
    assert pull == pytest.approx(jacobian.T @ (weight * residual))


def test_slopes_are_those_found_by_trial():
    """A small move of each coordinate changes each reading by its slope."""
    net = net_of(lengths(PLACES) + heights(PLACES), {}, SIGMA_M)
    places = PLACES[[ORDER[name] for name in net.names]].copy()
    found = slopes(net, places)
    for column, (point, axis) in enumerate(np.argwhere(net.free)):
        moved = places.copy()
        moved[point, axis] += 1e-7
        changed = (computed_m(net, moved) - computed_m(net, places)) / 1e-7
        assert found[:, column] == pytest.approx(changed, abs=1e-5)


def test_readings_in_plan_with_heights_give_the_places_back():
    """What a tram with two pins and a height gauge read is a place in space."""
    net = net_of(lengths(PLACES, Kind.PLAN) + heights(PLACES), {}, SIGMA_M)
    places, cost = settle(net, start_places(net, {}, {}))
    assert cost < 1e-9
    assert off_m(net, places) < 1e-6


@pytest.mark.parametrize("which", [2, 11, 30])
def test_the_test_of_a_reading_is_what_leaving_it_out_gains(which):
    """w² is by how much the sum of squares falls without it; exact as errors grow small."""
    small = SIGMA_M / 100
    net = net_of(lengths(PLACES, sigma_m=small) + heights(PLACES, small), {}, SIGMA_M)
    places, cost = settle(net, start_places(net, {}, {}))
    _, without = settle(net.without([which]), places)
    assert judge(net, places).w[which] ** 2 == pytest.approx(cost - without, rel=0.01)
