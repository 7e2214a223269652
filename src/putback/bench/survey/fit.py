"""The best rigid fit of measured points on their reference: turned and moved, never scaled.

Kabsch (Acta Cryst. A32, 1976) and Horn (J. Opt. Soc. Am. A4, 1987): of all rotations that with
the least sum of squares; a mirror image is refused. What a fit with a scale would find besides
(Umeyama, IEEE PAMI 13, 1991) is told as a fault of the tape, not taken off.
"""

from dataclasses import dataclass
from math import sqrt

import numpy as np

from putback.bench.survey.network import Floats


@dataclass(frozen=True, slots=True)
class Fit:
    """How to bring measured points onto their reference.

    ``rotation`` (3, 3) [-] and ``shift_m`` (3,) [m]: measured @ rotation.T + shift. ``scale`` [-]
    is that of the similarity fit, shown and not used; ``scale_doubt`` its standard deviation.
    ``is_mirrored`` says that a mirror image would fit better.
    """

    rotation: Floats
    shift_m: Floats
    deviations_m: Floats
    rms_m: float
    scale: float
    scale_doubt: float
    is_mirrored: bool

    def placed(self, points: Floats) -> Floats:
        """Give points in the reference's axes, shape (k, 3) [m]."""
        found: Floats = points @ self.rotation.T + self.shift_m
        return found

    @property
    def is_scaled(self) -> bool:
        """Whether the scale differs from 1 by more than chance."""
        return abs(self.scale - 1) > max(3.29 * self.scale_doubt, 1e-9)


def rigid_fit(measured: Floats, reference: Floats, *, in_plane: bool = False) -> Fit:
    """Fit points on others, one by one, with equal weights.

    Parameters
    ----------
    measured, reference : ndarray, shape (k, 3)
        Where points lie and where they ought to, [m].
    in_plane : bool
        Whether it is turned about z only.

    Returns
    -------
    Fit
        Deviations are measured, as placed, less reference, shape (k, 3), [m].
    """
    to, at = reference.mean(axis=0), measured.mean(axis=0)
    b, a = reference - to, measured - at
    product = b.T @ a
    if in_plane:
        product[2] = product[:, 2] = 0.0
        product[2, 2] = 1.0 + np.abs(product).sum()
    left, sizes, right = np.linalg.svd(product)
    sense = float(np.sign(np.linalg.det(left) * np.linalg.det(right))) or 1.0
    rotation: Floats = left @ np.diag((1.0, 1.0, sense)) @ right
    deviations: Floats = a @ rotation.T - b
    spread = float((a**2).sum())
    scale = float((b * (a @ rotation.T)).sum()) / spread if spread else 1.0
    spare = max(3 * len(a) - 7, 1)
    square = float((deviations**2).sum())
    after = float(((scale * (a @ rotation.T) - b) ** 2).sum())
    return Fit(
        rotation,
        to - rotation @ at,
        deviations,
        sqrt(square / max(len(a), 1)),
        scale,
        sqrt(after / spare / spread) if spread else 0.0,
        sense < 0 and float(sizes[2]) > 1e-9 * float(sizes[0]),
    )
