"""Where to begin: rough places from the readings alone, and points that could lie on two sides.

Known distances are completed by the shortest way round and turned into places by classical
scaling (Torgerson 1952), then settled robustly, so that one misread tape does not bend the rest.
A point tied to others in one plane may as well lie on its other side; both are tried.
"""

from collections.abc import Iterator, Mapping
from itertools import islice

import numpy as np

from putback.bench.survey.adjust import settle
from putback.bench.survey.fit import rigid_fit
from putback.bench.survey.network import Floats, Ints, Net, computed_m
from putback.bench.survey.readings import Point
from putback.bench.survey.resection import resection
from putback.errors import BadInput

_SAME = 1e-3
"""Two tries whose sums are this near [-] came to the same."""
_MOST_REPAIRS = 4
_MOST_SHAKES = 20
_OFF, _MOST_OFF = 4.0, 0.3
"""A point is astray if more than this share of its readings is off by more than so many σ [-]."""
_SEED = 20_111
_FAR_M = 0.01
"""Two sides of a point nearer to each other than this are one [m]."""
_AS_GOOD = 9.0
"""Sums of squares no further apart than this fit equally well."""


def start_places(
    net: Net,
    fixed: Mapping[str, Point],
    known: Mapping[str, Point],
    tries: int = 6,
) -> Floats:
    """Find rough places, settled robustly, shape (n, 3) [m].

    Parameters
    ----------
    net : Net
        Readings.
    fixed : mapping of str to Point
        Points that are known, [m].
    known : mapping of str to Point
        Where points ought to lie, to begin there if that has all of them, [m].
    tries : int
        How often it is begun anew while points are astray.

    Raises
    ------
    BadInput
        The readings fall into parts that nothing connects.
    """
    _check_connected(net)
    random = np.random.default_rng(_SEED)
    best, best_cost = None, np.inf
    for begin in islice(_starts(net, fixed, known, random), tries):
        places, cost = settle(net, begin, robust=True)
        for _ in range(_MOST_REPAIRS):
            astray = _astray(net, places)
            if not len(astray) or not _replaced(net, places, astray, random):
                break
            places, cost = settle(net, places, robust=True)
        is_found_again = best is not None and abs(cost - best_cost) <= _SAME * best_cost
        if best is None or cost < best_cost:
            best, best_cost = places, cost
        if is_found_again or not len(_astray(net, best)):
            break
    return begin if best is None else best


def two_sided(net: Net, places: Floats) -> tuple[str, ...]:
    """Name the points that fit as well somewhere else, such as the other side of their ties."""
    random = np.random.default_rng(_SEED)
    found = []
    for at in np.flatnonzero(net.free.any(axis=1)):
        own = resection(net, places, int(at))
        tried, costs = own.settled(own.candidates(places[at], random)[:2])
        here = float(own.settled(places[at][None])[1][0])
        as_good = costs <= here + _AS_GOOD
        if (np.linalg.norm(tried[as_good] - places[at], axis=1) > _FAR_M).any():
            found.append(net.names[at])
    return tuple(found)


def _astray(net: Net, places: Floats) -> Ints:
    """Number the points that most likely lie elsewhere, the worst first."""
    off = np.abs(computed_m(net, places) - net.length_m) > _OFF * net.sigma_m
    count, bad = np.zeros(len(net.names)), np.zeros(len(net.names))
    for ends in (net.start, net.to):
        np.add.at(count, ends, 1)
        np.add.at(bad, ends, off)
    share = np.where(net.free.any(axis=1), bad / np.maximum(count, 1), 0.0)
    order = np.argsort(-share)
    found: Ints = order[share[order] > _MOST_OFF]
    return found


def _replaced(net: Net, places: Floats, astray: Ints, random: np.random.Generator) -> bool:
    """Put points that are astray where they fit better, in place; says whether any was."""
    replaced = False
    for at in astray:
        own = resection(net, places, int(at))
        here = own.settled(places[at][None])[1][0]
        tried, costs = own.settled(own.candidates(places[at], random))
        best = int(costs.argmin())
        if costs[best] < 0.8 * here:
            places[at], replaced = tried[best], True
    return replaced


def _check_connected(net: Net) -> None:
    part = np.arange(len(net.names))
    for a, b in zip(net.start, net.to, strict=True):
        part[part == part[a]] = part[b]
    if (part != part[0]).any():
        some = [net.names[at] for at in np.flatnonzero(part != part[0])]
        raise BadInput(
            f"nothing is measured between {net.names[0]} and {', '.join(some[:4])}",
            "readings",
            "measure from one group of points to the other",
        )


def _starts(
    net: Net,
    fixed: Mapping[str, Point],
    known: Mapping[str, Point],
    random: np.random.Generator,
) -> Iterator[Floats]:
    """Give places to begin at, the likeliest first."""
    if all(name in known or name in fixed for name in net.names):
        places = np.array([fixed.get(name) or known[name] for name in net.names])
        places[~net.told_z & net.free.any(axis=1), 2] = 0.0
        yield places
    heights = _heights(net)
    rough = _scaled(net, heights)
    extent = float(np.ptp(rough, axis=0).max(initial=0.0))
    for count in range(_MOST_SHAKES):
        shaken = rough.copy()
        if count:
            shaken += random.normal(0, 0.05 * extent * (1 + count // 2), rough.shape)
        elif heights is None:
            # In one plane nothing pulls a point out of it.
            shaken[:, 2] += random.normal(0, 0.01 * extent, len(shaken))
        shaken[~net.told_z, 2] = 0.0
        if heights is not None:
            shaken[:, 2] = heights
        yield from _held(net, shaken, fixed)


def _heights(net: Net) -> Floats | None:
    """Give read heights, the mean where a point has none; none if few have one (n,) [m]."""
    sums, counts = np.zeros(len(net.names)), np.zeros(len(net.names))
    high = net.is_height
    np.add.at(sums, net.start[high], net.length_m[high])
    np.add.at(counts, net.start[high], 1)
    if counts.astype(bool).sum() * 2 < len(net.names):
        return None
    mean = float(net.length_m[high].mean())
    return np.where(counts > 0, sums / np.maximum(counts, 1), mean)


def _scaled(net: Net, heights: Floats | None) -> Floats:
    """Turn distances into places: longest along x, thinnest along z (n, 3) [m]."""
    count = len(net.names)
    far = np.full((count, count), np.inf)
    np.fill_diagonal(far, 0.0)
    deep = ~net.is_height
    a, b, length = net.start[deep], net.to[deep], net.length_m[deep]
    if heights is not None:
        rise = np.where(net.is_plan[deep], 0.0, heights[a] - heights[b])
        length = np.sqrt(np.maximum(length**2 - rise**2, (0.05 * length) ** 2))
    far[a, b] = far[b, a] = length
    for through in range(count):
        np.minimum(far, far[:, through, None] + far[None, through], out=far)
    centring = np.eye(count) - 1 / count
    values, vectors = np.linalg.eigh(-0.5 * centring @ far**2 @ centring)
    axes = 2 if heights is not None or not net.free[:, 2].any() else 3
    places = np.zeros((count, 3))
    for axis in range(min(axes, count)):
        places[:, axis] = vectors[:, -1 - axis] * np.sqrt(max(float(values[-1 - axis]), 0.0))
    return places


def _held(net: Net, places: Floats, fixed: Mapping[str, Point]) -> Iterator[Floats]:
    """Bring rough places onto the fixed points, as they are and mirrored."""
    held = [at for at, name in enumerate(net.names) if name in fixed]
    if not held:
        yield places
        return
    targets = np.array([fixed[net.names[at]] for at in held])
    for mirror in (1.0, -1.0):
        image = places * (1.0, mirror, 1.0)
        if net.is_height.any() or net.is_plan.any():
            image[:, :2] = _turned(image[:, :2], held, targets[:, :2])
        else:
            fit = rigid_fit(image[held], targets)
            image = image @ fit.rotation.T + fit.shift_m
        image[held] = targets
        yield image


def _turned(places: Floats, held: list[int], targets: Floats) -> Floats:
    """Turn and shift in the plane, shape (n, 2) [m]."""
    pad = np.zeros((len(places), 1))
    flat = np.hstack([places, pad])
    fit = rigid_fit(flat[held], np.hstack([targets, pad[: len(held)]]), in_plane=True)
    turned: Floats = (flat @ fit.rotation.T + fit.shift_m)[:, :2]
    return turned
