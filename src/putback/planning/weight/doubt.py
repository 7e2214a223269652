"""How sure a balance is: the covariance of the mass and the moments of what is on.

First-order propagation of standard uncertainties, as in the *Guide to the expression of
uncertainty in measurement* (JCGM 100:2008, 5.1 and 5.2). Kept up thing by thing, like the sums.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from math import fsum, sqrt

from putback.logbook.weighing import Four, Weighed
from putback.vehicle.ids import Ref
from putback.vehicle.masses import Heft

_PAIRS = tuple((a, b) for a in range(4) for b in range(a, 4))


@dataclass(frozen=True, slots=True)
class Doubtful:
    """A guess, and what part of the variance would go if somebody knew better [-]."""

    what: Ref
    is_mass: bool
    """Whether it is its mass; else its place."""
    share: float


class Doubt:
    """The covariance of mass [kg] and moments [kg·m] of the things counted in."""

    __slots__ = ("_items", "_there", "_ties", "_weighed", "pairs")

    def __init__(self, weighed: Weighed) -> None:
        """Begin with nothing counted in."""
        self._weighed = weighed
        self._items = {
            ref: _Item.of(heft, weighed.ties.get(ref, ())) for ref, heft in weighed.prior.items()
        }
        self._there: dict[Ref, None] = {}
        self.pairs = [0.0] * len(_PAIRS)
        some = next(iter(weighed.ties.values()), ())
        self._ties = [[0.0] * 4 for _ in some]

    def count(self, what: Ref, sign: int) -> None:
        """Count a thing in (1) or out (-1)."""
        item = self._items[what]
        if sign > 0:
            self._there[what] = None
        else:
            self._there.pop(what, None)
        for at, value in enumerate(item.pairs):
            self.pairs[at] += sign * value
        for row, tie in zip(self._ties, item.ties, strict=True):
            for at, value in enumerate(tie):
                row[at] += sign * value

    def sigma(self, gradient: Four) -> float:
        """Give the standard uncertainty of a sum of mass and moments, each times its factor."""
        return sqrt(max(0.0, self._variance(gradient)))

    def _variance(self, gradient: Four) -> float:
        total = fsum(
            (1 if a == b else 2) * gradient[a] * gradient[b] * value
            for (a, b), value in zip(_PAIRS, self.pairs, strict=True)
        )
        return total - fsum(_dot(row, gradient) ** 2 for row in self._ties)

    def guesses(self, gradient: Four) -> list[Doubtful]:
        """Name the guessed masses and places of what is on, the one that matters most first."""
        variance = self._variance(gradient)
        if variance <= 0:
            return []
        known = dict(self._weighed.prior.items())
        tied = [_dot(row, gradient) for row in self._ties]
        found = [
            Doubtful(what, is_mass, share / variance)
            for what in self._there
            for is_mass, share in self._gains(what, known[what], gradient, tied)
        ]
        return sorted(found, key=lambda each: (-each.share, each.what))

    def _gains(
        self, what: Ref, heft: Heft, gradient: Four, tied: list[float]
    ) -> Iterator[tuple[bool, float]]:
        """Say how much of the variance goes if a guessed mass, or place, were known exactly."""
        ties = self._weighed.ties.get(what, ())
        x, y, z = heft.cg_m
        rates = (gradient[0] + gradient[1] * x + gradient[2] * y + gradient[3] * z, *gradient[1:])
        spreads = (heft.mass_sigma_kg**2, *((heft.mass_kg * s) ** 2 for s in heft.cg_sigma_m))
        for is_mass, unknowns in ((True, (0,)), (False, (1, 2, 3))):
            if heft.guessed if is_mass else heft.placed:
                gain = 0.0
                for at in unknowns:
                    own = spreads[at] - fsum(tie[at] ** 2 for tie in ties)
                    shared = fsum(tie[at] * all_ for tie, all_ in zip(ties, tied, strict=True))
                    if own > 0:
                        gain += (spreads[at] * rates[at] - shared) ** 2 / own
                yield is_mass, gain


@dataclass(frozen=True, slots=True)
class _Item:
    """What one thing adds to the covariance, and to what it shares with the weighings."""

    pairs: tuple[float, ...]
    ties: tuple[Four, ...]

    @classmethod
    def of(cls, heft: Heft, ties: Iterable[Four]) -> "_Item":
        """Turn a thing's four unknowns into its mass and moments: x·mass, and what x is off by."""
        at = (1.0, *heft.cg_m)
        mass = heft.mass_sigma_kg**2
        own = (0.0, *((heft.mass_kg * sigma) ** 2 for sigma in heft.cg_sigma_m))
        return cls(
            tuple(at[a] * at[b] * mass + (own[a] if a == b else 0.0) for a, b in _PAIRS),
            tuple(
                (tie[0], at[1] * tie[0] + tie[1], at[2] * tie[0] + tie[2], at[3] * tie[0] + tie[3])
                for tie in ties
            ),
        )


def _dot(row: Iterable[float], gradient: Four) -> float:
    return fsum(a * b for a, b in zip(row, gradient, strict=True))
