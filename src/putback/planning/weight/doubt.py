"""How sure a balance is: the covariance of the mass and the moments of what is on.

First-order propagation of standard uncertainties, as in the *Guide to the expression of
uncertainty in measurement* (JCGM 100:2008, 5.1 and 5.2). Kept up thing by thing, like the sums.
Masses guessed as one kind are off together, or each on its own where that casts more doubt: on
both sides of a middle they would else seem to cancel.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from math import fsum, sqrt

from putback.logbook.weighing import Four, Weighed, own_variances, variances
from putback.vehicle.ids import Ref
from putback.vehicle.masses import Heft
from putback.vehicle.part import PartKind

_PAIRS = tuple((a, b) for a in range(4) for b in range(a, 4))
_ROUNDING = 1e-9


@dataclass(frozen=True, slots=True)
class Doubtful:
    """A guess, and what part of the variance would go if somebody knew better [-]."""

    what: Ref
    is_mass: bool
    """Whether it is its mass; else its place."""
    share: float


class Doubt:
    """The covariance of mass [kg] and moments [kg·m] of the things counted in."""

    __slots__ = ("_alike", "_items", "_there", "_ties", "_weighed", "pairs")

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
        self._alike: dict[PartKind, _Alike] = {}

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
        if item.guessed_as is not None:
            self._alike.setdefault(item.guessed_as, _Alike()).count(item.shared, sign)

    def sigma(self, gradient: Four) -> float:
        """Give the standard uncertainty of a sum of mass and moments, each times its factor."""
        return sqrt(max(0.0, self._variance(gradient)))

    def _variance(self, gradient: Four) -> float:
        total = _quadratic(self.pairs, gradient)
        total += fsum(max(each.variances(gradient)) for each in self._alike.values())
        return total - fsum(_dot(row, gradient) ** 2 for row in self._ties)

    def guesses(self, gradient: Four) -> list[Doubtful]:
        """Name the guessed masses and places of what is on, the one that matters most first.

        Of masses that are off together the heaviest is named: each would tell what all are off by.
        """
        variance = self._variance(gradient)
        if variance <= 0:
            return []
        known = dict(self._weighed.prior.items())
        tied = [_dot(row, gradient) for row in self._ties]
        seen: set[PartKind] = set()
        named: set[Ref] = set()
        for what in sorted(self._there, key=lambda each: (-known[each].mass_kg, each)):
            kind = known[what].guessed_as
            if kind is not None and (kind not in seen or not self._is_together(kind, gradient)):
                named.add(what)
                seen.add(kind)
        found = [
            Doubtful(what, is_mass, share / variance)
            for what in self._there
            for is_mass, share in self._gains(what, known[what], gradient, tied)
            if not is_mass or what in named
        ]
        return sorted(found, key=lambda each: (-each.share, each.what))

    def _is_together(self, kind: PartKind, gradient: Four) -> bool:
        """Whether the masses guessed as a kind cast more doubt together than each on its own."""
        together, alone = self._alike[kind].variances(gradient)
        return together >= alone * (1 - _ROUNDING)

    def _gains(
        self, what: Ref, heft: Heft, gradient: Four, tied: list[float]
    ) -> Iterator[tuple[bool, float]]:
        """Say how much of the variance goes if a guessed mass, or place, were known exactly."""
        ties = self._weighed.ties.get(what, ())
        x, y, z = heft.cg_m
        rates = (gradient[0] + gradient[1] * x + gradient[2] * y + gradient[3] * z, *gradient[1:])
        spreads = variances(heft)

        def gain(at: int, goes_with: float) -> float:
            left = spreads[at] - fsum(tie[at] ** 2 for tie in ties)
            shared = fsum(tie[at] * all_ for tie, all_ in zip(ties, tied, strict=True))
            return (goes_with - shared) ** 2 / left if left > 0 else 0.0

        if (kind := heft.guessed_as) is not None:
            if self._is_together(kind, gradient):
                all_alike = _dot(self._alike[kind].together, gradient)
                yield True, gain(0, heft.mass_sigma_kg * all_alike)
            else:
                yield True, spreads[0] * rates[0] ** 2
        if heft.placed:
            yield False, fsum(gain(at, spreads[at] * rates[at]) for at in (1, 2, 3))


@dataclass(slots=True)
class _Alike:
    """What masses guessed as one kind are off by, mass and moments: summed, and each squared."""

    together: list[float] = field(default_factory=lambda: [0.0] * 4)
    pairs: list[float] = field(default_factory=lambda: [0.0] * len(_PAIRS))

    def count(self, shared: Four, sign: int) -> None:
        """Count one in or out."""
        for at, value in enumerate(shared):
            self.together[at] += sign * value
        for at, (a, b) in enumerate(_PAIRS):
            self.pairs[at] += sign * shared[a] * shared[b]

    def variances(self, gradient: Four) -> tuple[float, float]:
        """Give what they add to a variance if off together, and if each is off on its own."""
        return _dot(self.together, gradient) ** 2, _quadratic(self.pairs, gradient)


@dataclass(frozen=True, slots=True)
class _Item:
    """What one thing adds to the covariance, and to what it shares with the weighings.

    ``shared`` is what it adds to what its kind is off by, where its mass is guessed.
    """

    pairs: tuple[float, ...]
    ties: tuple[Four, ...]
    guessed_as: PartKind | None
    shared: Four

    @classmethod
    def of(cls, heft: Heft, ties: Iterable[Four]) -> "_Item":
        """Turn a thing's four unknowns into its mass and moments: x·mass, and what x is off by."""
        at = (1.0, *heft.cg_m)
        mass, *moments = own_variances(heft)
        own = (0.0, *moments)
        x, y, z = (heft.mass_sigma_kg * each for each in heft.cg_m)
        return cls(
            tuple(at[a] * at[b] * mass + (own[a] if a == b else 0.0) for a, b in _PAIRS),
            tuple(
                (tie[0], at[1] * tie[0] + tie[1], at[2] * tie[0] + tie[2], at[3] * tie[0] + tie[3])
                for tie in ties
            ),
            heft.guessed_as,
            (heft.mass_sigma_kg, x, y, z),
        )


def _quadratic(pairs: Iterable[float], gradient: Four) -> float:
    return fsum(
        (1 if a == b else 2) * gradient[a] * gradient[b] * value
        for (a, b), value in zip(_PAIRS, pairs, strict=True)
    )


def _dot(row: Iterable[float], gradient: Four) -> float:
    return fsum(a * b for a, b in zip(row, gradient, strict=True))
