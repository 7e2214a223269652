"""Least squares in the net of readings: places, how sure they are, and readings that are wrong.

::

    least Σ (vᵢ/σ)²        x ← x − (JᵀPJ + λI)⁻¹ JᵀP v        Q = (JᵀPJ + GGᵀ)⁻¹ − GGᵀ

with v the readings as computed less as read, J their slopes and G the free motions of the net
(Levenberg 1944, Marquardt 1963; Q on inner constraints). Each reading is tested by
``w = v / (σ √r)``, r its redundancy: Baarda's data snooping (*A testing procedure for use in
geodetic networks*, 1968), one reading at a time, the worst first.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import sqrt

import numpy as np

from putback.bench.survey.network import (
    Flags,
    Floats,
    Net,
    computed_m,
    free_motions,
    normals,
    slopes,
)
from putback.bench.survey.solving import solve_definite

CRITICAL_W = 3.29
"""Beyond this a reading is taken for wrong: one good one in a thousand is (Baarda)."""

DETECTED = 4.13
"""δ₀: an error of δ₀ σ/√r is found 8 times in 10 (Baarda's tables for 0.001 and 0.80)."""

_TIE, _ALIKE = 0.02, 0.98
"""Two tests this near to each other and so correlated [-] do not tell two readings apart."""
_LEAST_CHECK = 1e-6
_LEAST_DAMPING = 1e-9
"""Some is always left [-]: it holds what the readings leave free where it is."""
_MOST_STEPS, _MOST_ROBUST_STEPS = 40, 60
_MOST_ROUNDS = 8
_LITTLE = 1e-7
"""A step that lessens the sum of squares by no more is the last."""
_AT_REST = 1e-2
"""What a last straight step would still take off the sum of squares, at most [-]."""
_ENOUGH = 1e-4
"""As above where only a start is looked for, as a share of the sum."""
_GROSS = 10.0
"""So many σ off robust places, a reading is out before anything is tested."""
_HUBER = 2.0
"""So many σ count fully while a start is looked for; further ones count less (Huber 1964)."""


@dataclass(frozen=True, slots=True)
class Adjusted:
    """Where the points lie, and how well all fits; m readings, n points, u unknowns.

    ``places`` (n, 3) and ``residuals_m`` (m,), computed less read, are in [m]; ``sigmas_m``
    (n, 3) are standard deviations [m], infinite where nothing tells; ``covariance`` (u, u) [m²];
    ``redundancy`` (m,) says how far each reading is checked by the others, 0 to 1; ``w`` (m,) is
    Baarda's test, 0 where it is not checked.
    """

    net: Net
    places: Floats
    residuals_m: Floats
    sigmas_m: Floats
    covariance: Floats
    redundancy: Floats
    w: Floats
    spare: int
    """Readings more than needed."""
    is_at_rest: bool
    """Whether the sum of squares is least here, and not merely where the steps ran out."""

    @property
    def s0(self) -> float:
        """Standard deviation of unit weight: 1 if readings are as good as said; 0 if unknown."""
        if self.spare <= 0:
            return 0.0
        return sqrt(float(((self.residuals_m / self.net.sigma_m) ** 2).sum()) / self.spare)

    @property
    def is_accepted(self) -> bool:
        """Whether the sum of squares is one that good readings give 999 times in 1,000."""
        return self.spare <= 0 or self.s0**2 * self.spare <= chi_square_999(self.spare)

    @property
    def unsettled(self) -> tuple[str, ...]:
        """Points of which the readings leave some coordinate open."""
        is_open = (~np.isfinite(self.sigmas_m) & self.net.free).any(axis=1)
        return tuple(self.net.names[at] for at in np.flatnonzero(is_open))

    def detectable_m(self) -> Floats:
        """Give the error that each reading could hide, 8 times in 10 (m,) [m]."""
        checked = np.maximum(self.redundancy, _LEAST_CHECK)
        return np.where(
            self.redundancy > _LEAST_CHECK, DETECTED * self.net.sigma_m / np.sqrt(checked), np.inf
        )


def chi_square_999(degrees: int) -> float:
    """Give the 99.9 % point of chi square (Wilson and Hilferty 1931; 2 % from 3 degrees on)."""
    share = 2 / (9 * degrees)
    return degrees * (1 - share + 3.0902 * sqrt(share)) ** 3


def settle(net: Net, places: Floats, *, robust: bool = False) -> tuple[Floats, float]:
    """Move places until the sum of squares is least (or, robust, Huber's sum).

    Parameters
    ----------
    net : Net
        Readings.
    places : ndarray, shape (n, 3)
        Where to begin, [m].
    robust : bool
        Whether far-off readings count less.

    Returns
    -------
    tuple of ndarray and float
        The places [m], and what the sum came to, [-].
    """
    places = places.copy()
    damping = 1e-3
    cost, weight = _cost(net, places, robust=robust)
    for _ in range(_MOST_ROBUST_STEPS if robust else _MOST_STEPS):
        residual = computed_m(net, places) - net.length_m
        normal, pull = normals(net, places, weight / net.sigma_m**2, residual)
        size = max(float(np.trace(normal)) / max(net.unknowns, 1), 1e-12)
        while damping < 1e12:
            lean = normal + damping * size * np.eye(net.unknowns)
            tried = places.copy()
            try:
                step = solve_definite(lean, pull)
            except np.linalg.LinAlgError:
                damping *= 4
                continue
            tried[net.free] -= step
            tried_cost, tried_weight = _cost(net, tried, robust=robust)
            if tried_cost <= cost:
                break
            damping *= 4
        else:
            break
        gained = cost - tried_cost
        places, cost, weight = tried, tried_cost, tried_weight
        # As much as a straight valley would have given: dare a longer step; far less: a shorter.
        hoped = float(step @ (pull + damping * size * step))
        if gained > 0.75 * hoped:
            damping = max(damping / 8, _LEAST_DAMPING)
        elif gained < 0.25 * hoped:
            damping *= 2
        if gained <= (_ENOUGH * (1 + cost) if robust else _LITTLE):
            break
    return places, cost


def _cost(net: Net, places: Floats, *, robust: bool) -> tuple[float, Floats]:
    residual = np.abs(computed_m(net, places) - net.length_m) / net.sigma_m
    if not robust:
        return float(residual @ residual), np.ones_like(residual)
    near = residual <= _HUBER
    cost = np.where(near, residual**2, _HUBER * (2 * residual - _HUBER)).sum()
    weight = np.where(near, 1.0, _HUBER / np.maximum(residual, _HUBER))
    return float(cost), weight


def judge(net: Net, places: Floats) -> Adjusted:
    """Say how sure settled places are, and test every reading.

    A direction in which the net is looser than its own size is left open: its points have no
    standard deviation.
    """
    motions = free_motions(net, places)
    jacobian = slopes(net, places) / net.sigma_m
    normal = jacobian.T @ jacobian
    size = max(float(np.trace(normal)) / max(net.unknowns, 1), 1e-12)
    values, vectors = np.linalg.eigh(normal + size * (motions @ motions.T))
    extent = float(np.ptp(places, axis=0).max(initial=0.0)) or 1.0
    told = values > max(1 / extent**2, size * 1e-13)
    inverse = np.where(told, 1 / np.where(told, values, 1.0), 0.0)
    covariance = (vectors * inverse) @ vectors.T - (motions @ motions.T) / size
    sigmas = np.zeros_like(places)
    sigmas[net.free] = np.sqrt(np.maximum(np.diag(covariance), 0.0))
    if not told.all():
        sigmas[_opened(net, vectors[:, ~told], motions)] = np.inf
    residuals = computed_m(net, places) - net.length_m
    redundancy = 1 - np.einsum("ij,jk,ik->i", jacobian, covariance, jacobian, optimize=True)
    redundancy = np.clip(redundancy, 0.0, 1.0)
    checked = redundancy > _LEAST_CHECK
    w = np.where(
        checked, residuals / (net.sigma_m * np.sqrt(np.where(checked, redundancy, 1.0))), 0.0
    )
    spare = len(net.readings) - (net.unknowns - motions.shape[1] - int((~told).sum()))
    # What the next Gauss-Newton step hopes to gain: g' Q g, with g half the slope of the sum.
    along = vectors.T @ (jacobian.T @ (residuals / net.sigma_m))
    is_at_rest = float(inverse @ along**2) <= _AT_REST
    return Adjusted(net, places, residuals, sigmas, covariance, redundancy, w, spare, is_at_rest)


def _opened(net: Net, loose: Floats, motions: Floats) -> Flags:
    """Say which coordinates move in a loose net that its other points do not follow, (n, 3).

    Of a loose direction the free motion is taken off that leaves most points at rest: least
    absolute deviations, by weights made anew (Schlossmacher 1973).
    """
    moves = np.zeros(net.free.shape, dtype=bool)
    for direction in loose.T:
        weight = np.ones_like(direction)
        for _ in range(30):
            heavy = motions * weight[:, None]
            amounts = np.linalg.lstsq(heavy, direction * weight, rcond=None)[0]
            left = direction - motions @ amounts
            weight = 1 / np.sqrt(np.abs(left) + 1e-9)
        large = np.abs(left) > 0.01 * float(np.abs(left).max(initial=0.0))
        moves[net.free] |= large
    return moves


@dataclass(frozen=True, slots=True)
class Snooped:
    """A net without the readings that are taken for wrong.

    ``wrong`` are their numbers in the net as given; ``tied`` numbers readings of which one is
    wrong and nothing tells which.
    """

    adjusted: Adjusted
    wrong: tuple[int, ...]
    tied: tuple[int, ...]


def snoop(net: Net, places: Floats, most: int | None = None) -> Snooped:
    """Adjust, take out readings that are beyond `CRITICAL_W`, the worst first, and adjust again.

    What is grossly off at places that were settled robustly goes first, so that it bends nothing.
    What taking one out does to the others' tests is followed by its first-order change, then all
    is settled anew; readings taken out that fit after all are let in again.

    Parameters
    ----------
    net : Net
        All readings.
    places : ndarray, shape (n, 3)
        Where to begin, settled robustly, [m].
    most : int or None
        How many may go, else a quarter of them.
    """
    most = len(net.readings) // 4 if most is None else most
    wrong = _gross(net, places, most)
    adjusted = _without(net, wrong, places)
    rivals: list[int] = []
    let_in: set[int] = set()
    for _ in range(_MOST_ROUNDS):
        kept = [at for at in range(len(net.readings)) if at not in set(wrong)]
        worse, tied = _beyond(adjusted, most - len(wrong))
        rivals = [kept[each] for each in tied]
        back = _fitting_after_all(net, adjusted, wrong) - let_in
        if not worse and not back:
            break
        # Each is let in but once: two readings could take turns for ever.
        let_in |= back
        wrong = [each for each in wrong if each not in back] + [kept[each] for each in worse]
        adjusted = _without(net, wrong, adjusted.places)
    return Snooped(adjusted, tuple(sorted(wrong)), tuple(rivals))


def _without(net: Net, wrong: Sequence[int], places: Floats) -> Adjusted:
    """Adjust a net without some readings."""
    rest = net.without(wrong)
    return judge(rest, settle(rest, places)[0])


def _gross(net: Net, places: Floats, most: int) -> list[int]:
    """Number the readings that are grossly off at robust places, the worst first."""
    off = np.abs(computed_m(net, places) - net.length_m) / net.sigma_m
    order = [int(at) for at in np.argsort(-off) if off[at] > _GROSS]
    if len(order) > most or len(net.readings) - len(order) <= net.unknowns:
        return []
    return order


def _fitting_after_all(net: Net, adjusted: Adjusted, wrong: Sequence[int]) -> set[int]:
    """Number the readings taken out that the others would let pass."""
    if not wrong:
        return set()
    off = (computed_m(net, adjusted.places) - net.length_m)[list(wrong)]
    jacobian = slopes(net, adjusted.places)[list(wrong)]
    told = np.einsum("ij,jk,ik->i", jacobian, adjusted.covariance, jacobian)
    fits = np.abs(off) <= CRITICAL_W * np.sqrt(net.sigma_m**2 + told)
    return {each for each, is_good in zip(wrong, fits, strict=True) if is_good}


def _beyond(adjusted: Adjusted, most: int) -> tuple[list[int], list[int]]:
    """Number the readings to take out, and those of which one is wrong, nobody knows which."""
    if adjusted.spare <= 0:
        return [], []
    net = adjusted.net
    jacobian = slopes(net, adjusted.places) / net.sigma_m
    spread = adjusted.covariance.copy()
    residual = adjusted.residuals_m / net.sigma_m
    redundancy = adjusted.redundancy.copy()
    gone: list[int] = []
    while True:
        checked = redundancy > _LEAST_CHECK
        w = np.where(checked, np.abs(residual) / np.sqrt(np.where(checked, redundancy, 1.0)), 0.0)
        w[gone] = 0.0
        at = int(w.argmax())
        if w[at] <= CRITICAL_W:
            return gone, []
        moved = jacobian @ (spread @ jacobian[at])
        alike = moved**2 >= _ALIKE**2 * redundancy * redundancy[at]
        alike[at] = True
        rivals = [int(each) for each in np.flatnonzero((w >= w[at] * (1 - _TIE)) & alike)]
        if len(rivals) > 1 or len(gone) >= most or adjusted.spare - len(gone) <= 1:
            return gone, rivals
        # Without this reading x moves by Q j v / r, and Q grows by Q j (Q j)' / r.
        pulled = spread @ jacobian[at]
        share = redundancy[at]
        residual = residual + moved * residual[at] / share
        spread += np.outer(pulled, pulled) / share
        redundancy = redundancy - moved**2 / share
        gone.append(at)
