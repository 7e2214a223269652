"""The net of readings as numbers: what each would be at given places, and how it changes.

Unknown are x and y of every point that is not held fixed, and z where something was read that
tells of it. What the readings leave open as a whole, moving and turning the net, is its *free
motions*; they are held by asking for the least change (inner constraints), so that no point is
better than the others because it was called the origin.

Sources: Caspary, *Concepts of network and deformation analysis*; Ghilani and Wolf, *Adjustment
computations* (free networks), both from memory.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from putback.bench.survey.readings import Kind, Point, Reading

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Flags = NDArray[np.bool_]

_LEAST = 1e-12


@dataclass(frozen=True, slots=True)
class Net:
    """Points by number and readings as arrays; m readings, n points, u unknowns.

    ``start`` and ``to`` (m,) number the points of a reading, the same for a height; ``length_m``
    (m,) is what was read [m]; ``is_plan`` and ``is_height`` (m,) say how; ``free`` (n, 3) which
    coordinates are unknown.
    """

    names: tuple[str, ...]
    readings: tuple[Reading, ...]
    start: Ints
    to: Ints
    length_m: Floats
    is_plan: Flags
    is_height: Flags
    free: Flags
    sigma_m: float

    @property
    def unknowns(self) -> int:
        """How many coordinates are unknown."""
        return int(self.free.sum())

    @property
    def told_z(self) -> Flags:
        """Whether anything was read that tells of a point's height, shape (n,)."""
        found = np.zeros(len(self.names), dtype=bool)
        deep = ~self.is_plan
        found[self.start[deep]] = True
        found[self.to[deep]] = True
        return found

    def without(self, gone: Sequence[int]) -> "Net":
        """Give the net without some readings, by number."""
        keep = np.ones(len(self.readings), dtype=bool)
        keep[list(gone)] = False
        kept = tuple(each for each, stays in zip(self.readings, keep, strict=True) if stays)
        return Net(
            self.names, kept, self.start[keep], self.to[keep], self.length_m[keep],
            self.is_plan[keep], self.is_height[keep], self.free, self.sigma_m,
        )  # fmt: skip

    def flattened(self) -> "Net":
        """Give the net as if all of it lay in one plane: no height is unknown."""
        free = self.free.copy()
        free[:, 2] = False
        return Net(
            self.names, self.readings, self.start, self.to, self.length_m,
            self.is_plan | ~self.is_height, self.is_height, free, self.sigma_m,
        )  # fmt: skip


def net_of(readings: Sequence[Reading], fixed: Mapping[str, Point], sigma_m: float) -> Net:
    """Number the points and lay the readings out.

    Parameters
    ----------
    readings : sequence of Reading
        What was measured.
    fixed : mapping of str to Point
        Points that are known and do not move, [m].
    sigma_m : float
        Standard deviation of one reading, [m].
    """
    said = [name for each in readings for name in (each.start, each.to) if name]
    names = tuple(dict.fromkeys(said))
    number = {name: at for at, name in enumerate(names)}
    net = Net(
        names,
        tuple(readings),
        np.array([number[each.start] for each in readings], dtype=np.int64),
        np.array([number[each.to or each.start] for each in readings], dtype=np.int64),
        np.array([each.length_m for each in readings]),
        np.array([each.kind is Kind.PLAN for each in readings]),
        np.array([each.kind is Kind.HEIGHT for each in readings]),
        np.ones((len(names), 3), dtype=bool),
        sigma_m,
    )
    net.free[:, 2] = net.told_z
    net.free[[at for at, name in enumerate(names) if name in fixed]] = False
    return net


def computed_m(net: Net, places: Floats) -> Floats:
    """Give what each reading would be at these places (n, 3) [m], shape (m,) [m]."""
    lengths = np.linalg.norm(_ways(net, places), axis=1)
    found: Floats = np.where(net.is_height, places[net.start, 2], lengths)
    return found


def slopes(net: Net, places: Floats) -> Floats:
    """Give how each reading changes with each unknown, shape (m, u) [-]."""
    units = _units(net, places)
    count, points = len(net.readings), len(net.names)
    full = np.zeros((count, points, 3))
    rows = np.arange(count)
    full[rows, net.start] = units
    deep = ~net.is_height
    full[rows[deep], net.to[deep]] -= units[deep]
    found: Floats = full.reshape(count, -1)[:, net.free.ravel()]
    return found


def normals(net: Net, places: Floats, weight: Floats, residual: Floats) -> tuple[Floats, Floats]:
    """Give JᵀPJ and JᵀPv without laying J out, shapes (u, u) and (u,).

    Parameters
    ----------
    net : Net
        Readings.
    places : ndarray, shape (n, 3)
        Where the slopes are taken, [m].
    weight, residual : ndarray, shape (m,)
        P and v.
    """
    units = _units(net, places)
    points = len(net.names)
    blocks = units[:, :, None] * (weight[:, None] * units)[:, None, :]
    matrix = np.zeros((points, points, 3, 3))
    pull = np.zeros((points, 3))
    deep = ~net.is_height
    a, b = net.start, net.to[deep]
    force = (weight * residual)[:, None] * units
    np.add.at(matrix, (a, a), blocks)
    np.add.at(matrix, (b, b), blocks[deep])
    np.add.at(matrix, (a[deep], b), -blocks[deep])
    np.add.at(matrix, (b, a[deep]), -blocks[deep])
    np.add.at(pull, a, force)
    np.add.at(pull, b, -force[deep])
    chosen = np.flatnonzero(net.free.ravel())
    full = matrix.transpose(0, 2, 1, 3).reshape(3 * points, 3 * points)
    return full[np.ix_(chosen, chosen)], pull.ravel()[chosen]


def _units(net: Net, places: Floats) -> Floats:
    """Give how each reading changes with its first point, shape (m, 3) [-]."""
    ways = _ways(net, places)
    units: Floats = ways / np.maximum(np.linalg.norm(ways, axis=1), _LEAST)[:, None]
    units[net.is_height] = (0.0, 0.0, 1.0)
    return units


def _ways(net: Net, places: Floats) -> Floats:
    ways: Floats = places[net.start] - places[net.to]
    ways[net.is_plan, 2] = 0.0
    return ways


def free_motions(net: Net, places: Floats) -> Floats:
    """Give the motions of the whole net that change no reading, orthonormal, shape (u, k).

    Moving along x and y and turning about z always, moving along z without a height, turning
    about x and y without anything that knows the datum; less what fixed points hold.
    """
    middle = places - places.mean(axis=0)
    x, y, z = middle.T
    none, one = np.zeros_like(x), np.ones_like(x)
    motions = [(one, none, none), (none, one, none), (-y, x, none)]
    if not net.is_height.any():
        motions.append((none, none, one))
        if not net.is_plan.any():
            motions += [(none, -z, y), (z, none, -x)]
    full = np.stack([np.stack(motion, axis=1) for motion in motions], axis=2)
    held = ~net.free.any(axis=1)
    if held.any():
        stopped = full[held].reshape(-1, full.shape[2])
        _, sizes, turned = np.linalg.svd(stopped, full_matrices=True)
        rank = int((sizes > 1e-9 * max(1.0, sizes.max(initial=0.0))).sum())
        full = full @ turned[rank:].T
    inside = full.reshape(net.free.size, -1)[net.free.ravel()]
    if not inside.size:
        return np.zeros((net.unknowns, 0))
    basis, sizes, _ = np.linalg.svd(inside, full_matrices=False)
    kept: Floats = basis[:, sizes > 1e-9 * max(sizes.max(initial=0.0), _LEAST)]
    return kept
