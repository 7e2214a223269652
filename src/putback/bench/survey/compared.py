"""A survey as a whole: adjusted, told whether it is flat, and held against its reference."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import product

import numpy as np

from putback.bench.survey.adjust import Snooped, snoop
from putback.bench.survey.damage import Damage, damages
from putback.bench.survey.fit import Fit, rigid_fit
from putback.bench.survey.network import Floats, Net, net_of
from putback.bench.survey.readings import Point, Reading
from putback.bench.survey.start import start_places, two_sided
from putback.errors import BadInput

_FLAT_M = 1e-6
_FLAT_SHARE = 20
"""Of so many readings one may be wrong, and the set still counts as flat."""
_BELIEVED = 10
"""So many readings more than needed, and depth is believed."""
_NEARLY_FLAT = 5.0
"""Up to this scatter against what was said [-] a set is taken as flat."""


@dataclass(frozen=True, slots=True)
class Survey:
    """Adjusted readings; ``is_flat`` where they say nothing of heights.

    ``two_sided`` names points that fit as well on another side; ``given`` is the net with every
    reading.
    """

    given: Net
    snooped: Snooped
    is_flat: bool
    two_sided: tuple[str, ...]

    @property
    def places(self) -> Floats:
        """Where the points lie, shape (n, 3) [m]."""
        return self.snooped.adjusted.places


@dataclass(frozen=True, slots=True)
class Compared:
    """Points held against their reference; k of them, in the reference's axes [m].

    ``deviations_m`` and ``sigmas_m`` are (k, 3); ``rest_m`` what no kind of damage explains.
    """

    names: tuple[str, ...]
    reference_m: Floats
    deviations_m: Floats
    sigmas_m: Floats
    fit: Fit
    base: tuple[str, ...]
    damages: tuple[Damage, ...]
    rest_m: Floats
    worst_pair: tuple[str, str, float]
    """Two points, and how much further apart they are than they ought to be [m]."""

    @property
    def amounts_m(self) -> Floats:
        """How far each is off, shape (k,) [m]."""
        found: Floats = np.linalg.norm(self.deviations_m, axis=1)
        return found


def survey_of(
    readings: Sequence[Reading],
    fixed: Mapping[str, Point],
    reference: Mapping[str, Point],
    sigma_m: float,
) -> Survey:
    """Adjust a survey and search it for wrong readings.

    Heights enter a length by their square: 100 mm over 1.5 m are 3 mm, as much as a tape is out.
    So lengths of a thin set would fold it to hide their own errors. If it ought to be flat, or
    fits flat, or nearly does and few readings check its depth, it is taken as flat.

    Parameters
    ----------
    readings : sequence of Reading
        Between centres, [m].
    fixed, reference : mapping of str to Point
        Points that are known; where points ought to lie, [m].
    sigma_m : float
        Standard deviation of one reading, [m].

    Raises
    ------
    BadInput
        The readings fall into parts that nothing connects.
    """
    net = net_of(readings, fixed, sigma_m)
    known = [point[2] for point in (*fixed.values(), *reference.values())]
    has_depth = bool(known) and max(known) - min(known) > _FLAT_M
    if net.is_height.any() or net.is_plan.any() or has_depth:
        return _deep(net, fixed, reference)
    flattened = net.flattened()
    start = start_places(flattened, fixed, reference, tries=1)
    if known:
        return Survey(net, snoop(flattened, start), True, ())
    flat = Survey(net, snoop(flattened, start, len(readings) // _FLAT_SHARE), True, ())
    if flat.snooped.adjusted.is_accepted and not flat.snooped.tied:
        return flat
    deep = _deep(net, fixed, reference)
    told = deep.snooped.adjusted
    if told.spare >= _BELIEVED and told.is_accepted and not told.unsettled:
        return deep
    return flat if flat.snooped.adjusted.s0 <= _NEARLY_FLAT else deep


def _deep(net: Net, fixed: Mapping[str, Point], reference: Mapping[str, Point]) -> Survey:
    """Adjust it in space."""
    found = snoop(net, start_places(net, fixed, reference))
    adjusted = found.adjusted
    sided = two_sided(adjusted.net, adjusted.places)
    return Survey(net, found, not net.told_z.any(), sided)


def compare(
    survey: Survey, reference: Mapping[str, Point], base: Sequence[str], tolerance_m: float
) -> Compared:
    """Fit a survey on its reference and say how far every point is off.

    Parameters
    ----------
    survey : Survey
        What was found.
    reference : mapping of str to Point
        Where points ought to lie, [m].
    base : sequence of str
        Points to fit by, known to be good; all where there is none.
    tolerance_m : float
        What a point may be off, [m].

    Raises
    ------
    BadInput
        Fewer than three points in common, or all of them in one line.
    """
    net = survey.given
    at = [number for number, name in enumerate(net.names) if name in reference]
    names = tuple(net.names[number] for number in at)
    wanted = np.array([reference[name] for name in names]).reshape(-1, 3)
    if survey.is_flat:
        wanted[:, 2] = 0.0
    unknown = [name for name in base if name not in names]
    if unknown:
        raise BadInput(
            f"{unknown[0]!r} is no point of both survey and reference", "base", "see its spelling"
        )
    by = [number for number, name in enumerate(names) if not base or name in base]
    _check_spread(wanted[by])
    found = survey.places[at]
    fit, mirror = _best_fit(found[by], wanted[by], survey)
    placed = fit.placed(found * mirror)
    deviations = placed - wanted
    covariance = _turned_covariance(survey, fit.rotation * mirror, at)
    sigmas = np.sqrt(np.maximum(np.diag(covariance), 0.0)).reshape(-1, 3)
    sigmas[~np.isfinite(survey.snooped.adjusted.sigmas_m[at]).all(axis=1)] = np.inf
    kinds, rest = damages(wanted, deviations, covariance, with_heights=not survey.is_flat)
    told = tuple(
        each
        for each in kinds
        if abs(each.size_m) >= tolerance_m and abs(each.size_m) >= 3 * each.doubt_m
    )
    return Compared(
        names, wanted, deviations, sigmas, fit, tuple(base), told, rest,
        _worst_pair(names, found, wanted),
    )  # fmt: skip


def _check_spread(points: Floats) -> None:
    if len(points) >= 3:
        sizes = np.linalg.svd(points - points.mean(axis=0), compute_uv=False)
        if float(sizes[1]) > 1e-3 * float(sizes[0]):
            return
    raise BadInput(
        "a fit needs three points or more that are not in one line",
        "reference",
        "give more points of the reference",
    )


def _best_fit(found: Floats, wanted: Floats, survey: Survey) -> tuple[Fit, Floats]:
    """Fit as it is or as a mirror image: distances alone do not tell left from right."""
    net = survey.given
    held = int((~net.free.any(axis=1)).sum())
    sides = (1.0,) if held >= 3 else (1.0, -1.0)
    ups = (1.0,) if held >= 3 or net.is_height.any() or survey.is_flat else (1.0, -1.0)
    images = [np.array((1.0, side, up)) for side, up in product(sides, ups)]
    fits = [rigid_fit(found * image, wanted, in_plane=survey.is_flat) for image in images]
    best = min(range(len(fits)), key=lambda each: (round(fits[each].rms_m, 9), each))
    return fits[best], images[best]


def _turned_covariance(survey: Survey, rotation: Floats, at: Sequence[int]) -> Floats:
    """Give the covariance of some points along the reference's axes, shape (3k, 3k) [m²]."""
    adjusted = survey.snooped.adjusted
    free = adjusted.net.free.ravel()
    full = np.zeros((free.size, free.size))
    full[np.ix_(free, free)] = adjusted.covariance
    count = len(adjusted.net.names)
    blocks = full.reshape(count, 3, count, 3)[list(at)][:, :, list(at)]
    turned: Floats = np.einsum("xi,aibj,yj->axby", rotation, blocks, rotation, optimize=True)
    return turned.reshape(3 * len(at), 3 * len(at))


def _worst_pair(names: tuple[str, ...], found: Floats, wanted: Floats) -> tuple[str, str, float]:
    """Find the two points whose distance is furthest from what it ought to be."""
    apart = [np.linalg.norm(points[:, None] - points[None], axis=2) for points in (found, wanted)]
    off = apart[0] - apart[1]
    a, b = divmod(int(np.abs(off).argmax()), len(names))
    return names[a], names[b], float(off[a, b])
