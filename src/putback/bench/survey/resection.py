"""One point from those around it, tried from many sides at once.

A point tied to others in one plane may lie on either side of it, and one badly misread tape can
send it astray. Each candidate is settled by Gauss and Newton with Huber's weights, all of them
together, the others held.
"""

from dataclasses import dataclass

import numpy as np

from putback.bench.survey.network import Flags, Floats, Net

_STEPS = 25
_HUBER = 2.0
_AROUND = 12
"""So many candidates are drawn at random over the room of the points around it."""
_LEAST = 1e-9


@dataclass(frozen=True, slots=True)
class Resection:
    """The readings of one point; k of them.

    ``around`` (k, 3) are the points it is measured to, ``length_m`` (k,) the readings [m];
    ``is_plan`` and ``is_height`` (k,) say how; ``free`` (3,) which of its coordinates are unknown.
    """

    around: Floats
    length_m: Floats
    is_plan: Flags
    is_height: Flags
    free: Flags
    sigma_m: float

    @property
    def count(self) -> int:
        """How many readings it has."""
        return len(self.length_m)

    def candidates(self, place: Floats, random: np.random.Generator) -> Floats:
        """Give places to try, shape (c, 3): itself, mirrored, and spread over the room [m]."""
        axes = np.flatnonzero(self.free)
        near = self.around[~self.is_height][:, axes]
        if not len(near):
            return place[None].copy()
        middle = near.mean(axis=0)
        _, _, turned = np.linalg.svd(near - middle, full_matrices=True)
        tried = np.repeat(place[None], 2 + _AROUND, axis=0)
        tried[1, axes] -= 2 * ((place[axes] - middle) @ turned[-1]) * turned[-1]
        reach = max(float(self.length_m[~self.is_height].max()), _LEAST)
        tried[2:, axes] = middle + random.uniform(-reach, reach, (_AROUND, len(axes)))
        return tried

    def settled(self, tried: Floats) -> tuple[Floats, Floats]:
        """Settle candidates (c, 3) [m]; gives their places and Huber's sums (c,) [-]."""
        tried = tried.copy()
        reach = float(self.length_m.max(initial=1.0))
        fixed = np.diag((~self.free).astype(float))
        for _ in range(_STEPS):
            units, off = self._off(tried)
            weight = np.where(np.abs(off) <= _HUBER, 1.0, _HUBER / np.maximum(np.abs(off), _HUBER))
            normal = np.einsum("ck,cki,ckj->cij", weight, units, units)
            size = np.trace(normal, axis1=1, axis2=2)[:, None, None] + _LEAST
            normal = normal + size * (1e-6 * np.eye(3) + fixed)
            pull = np.einsum("ck,cki->ci", weight * off * self.sigma_m, units)
            step = np.linalg.solve(normal, pull[:, :, None])[:, :, 0]
            far = np.linalg.norm(step, axis=1, keepdims=True)
            step *= np.minimum(1.0, 0.3 * reach / np.maximum(far, _LEAST))
            tried -= step
            if float(np.abs(step).max()) < 1e-3 * self.sigma_m:
                break
        off = np.abs(self._off(tried)[1])
        costs = np.where(off <= _HUBER, off**2, _HUBER * (2 * off - _HUBER)).sum(axis=1)
        return tried, costs

    def _off(self, tried: Floats) -> tuple[Floats, Floats]:
        """Give slopes (c, k, 3) and how far each reading is off in σ (c, k)."""
        ways = tried[:, None, :] - self.around[None]
        ways[:, self.is_plan, 2] = 0.0
        lengths = np.linalg.norm(ways, axis=2)
        units = ways / np.maximum(lengths, _LEAST)[:, :, None]
        units[:, self.is_height] = (0.0, 0.0, 1.0)
        lengths = np.where(self.is_height, tried[:, None, 2], lengths)
        units[:, :, ~self.free] = 0.0
        return units, (lengths - self.length_m) / self.sigma_m


def resection(net: Net, places: Floats, at: int) -> Resection:
    """Take the readings of one point out of a net."""
    own = np.flatnonzero((net.start == at) | (net.to == at))
    others = np.where(net.start[own] == at, net.to[own], net.start[own])
    return Resection(
        places[others],
        net.length_m[own],
        net.is_plan[own],
        net.is_height[own],
        net.free[at],
        net.sigma_m,
    )
