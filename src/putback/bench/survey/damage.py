"""What kind of damage deviations look like, in the trade's words.

Deviations are taken apart, by least squares, into what turning and moving the whole would do and
five shapes over the reference, with ξ from −1 in front to 1 behind and η from −1 left to 1 right::

    mash     dx = −a ξ              shorter by 2a
    diamond  dx = a η               one rail behind the other by 2a
    sway     dy = a (1 − ξ²)        the middle beside the ends by a
    sag      dz = −a (1 − ξ²)       the middle lower than the ends by a
    twist    dz = a ξ η             one corner off the plane of the other three by 4a

The names are the collision trade's (common practice); the shapes are a convention of this
project, as bending and shear of a plane frame.
"""

from dataclasses import dataclass
from math import sqrt

import numpy as np

from putback.bench.survey.network import Floats

_TOLD = 0.15
"""A shape of which less than this is left beside the others cannot be told from them [-]."""


@dataclass(frozen=True, slots=True)
class Damage:
    """One kind: how large, in the measure its words name, and its standard deviation [m]."""

    kind: str
    size_m: float
    doubt_m: float

    @property
    def words(self) -> str:
        """Say it as one workshop does to another."""
        size = f"{abs(self.size_m) * 1000:.1f} mm"
        more = self.size_m > 0
        match self.kind:
            case "mash":
                return f"mash: {size} {'short' if more else 'long'} over its length"
            case "diamond":
                return (
                    f"diamond: the {'right' if more else 'left'} side is {size} behind the other"
                )
            case "sway":
                side = "right" if more else "left"
                return f"sway: the middle lies {size} to the {side} of its ends"
            case "sag":
                way = "hangs" if more else "stands"
                return f"sag: the middle {way} {size} {'below' if more else 'above'} its ends"
        return f"twist: one corner is {size} off the plane of the other three"


def damages(
    reference: Floats, deviations_m: Floats, covariance: Floats, *, with_heights: bool
) -> tuple[tuple[Damage, ...], Floats]:
    """Take deviations apart into kinds of damage.

    Parameters
    ----------
    reference, deviations_m : ndarray, shape (k, 3)
        Where points ought to lie: x rearwards, y to the right, z up, and how far they are off,
        [m].
    covariance : ndarray, shape (3k, 3k)
        How sure the deviations are, and how they err together, [m²].
    with_heights : bool
        Whether heights were measured; without them nothing is said of sag and twist.

    Returns
    -------
    tuple of tuple of Damage and ndarray
        The kinds that can be told from each other, the largest first, and what is left of the
        deviations, shape (k, 3), [m].
    """
    shapes = _shapes(reference, with_heights=with_heights)
    rigid = _rigid(reference, with_heights=with_heights)
    values = deviations_m.copy()
    if not with_heights:
        values[:, 2] = 0.0
    told: dict[str, Floats] = {}
    for kind, column in shapes.items():
        beside = np.stack([*rigid, *(other for name, other in shapes.items() if name != kind)], 1)
        size = float(np.linalg.norm(column))
        left = column - beside @ np.linalg.lstsq(beside, column, rcond=None)[0]
        if size and float(np.linalg.norm(left)) >= _TOLD * size:
            told[kind] = column
    columns = np.stack([*rigid, *told.values()], axis=1)
    amounts, _, rank, _ = np.linalg.lstsq(columns, values.ravel(), rcond=None)
    rest: Floats = (values.ravel() - columns @ amounts).reshape(-1, 3)
    seen = values.size if with_heights else 2 * len(values)
    spare = seen - int(rank)
    spread = sqrt(float((rest**2).sum()) / spare) if spare > 0 else 0.0
    inverse = np.linalg.pinv(columns)
    found = []
    for at, kind in enumerate(told, start=len(rigid)):
        measure, row = _MEASURES[kind], inverse[at]
        doubt = sqrt(max(float(row @ covariance @ row), spread**2 * float(row @ row)))
        found.append(Damage(kind, measure * float(amounts[at]), measure * doubt))
    found.sort(key=lambda each: -abs(each.size_m))
    return tuple(found), rest


_MEASURES = {"mash": 2.0, "diamond": 2.0, "sway": 1.0, "sag": 1.0, "twist": 4.0}
"""What is told of an amount a."""


def _shapes(reference: Floats, *, with_heights: bool) -> dict[str, Floats]:
    low, high = reference.min(axis=0), reference.max(axis=0)
    half = np.maximum((high - low) / 2, 1e-9)
    along, across, _ = ((reference - (low + high) / 2) / half).T
    none = np.zeros_like(along)
    bow = 1 - along**2
    shapes = {
        "mash": (-along, none, none),
        "diamond": (across, none, none),
        "sway": (none, bow, none),
    }
    if with_heights:
        shapes["sag"] = (none, none, -bow)
        shapes["twist"] = (none, none, along * across)
    return {kind: np.stack(parts, axis=1).ravel() for kind, parts in shapes.items()}


def _rigid(reference: Floats, *, with_heights: bool) -> list[Floats]:
    """Give what moving and turning the whole does, in small."""
    x, y, z = (reference - reference.mean(axis=0)).T
    none, one = np.zeros_like(x), np.ones_like(x)
    motions = [(one, none, none), (none, one, none), (-y, x, none)]
    if with_heights:
        motions += [(none, none, one), (none, -z, y), (z, none, -x)]
    return [np.stack(parts, axis=1).ravel() for parts in motions]
