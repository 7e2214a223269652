"""How well one sees something in a picture: sharp or blurred, bright or black.

Sharpness is the variance of the picture's Laplacian: edges make it large, blur makes it small. The
measure is *modified Laplacian, LAPV* in J. L. Pech-Pacheco et al., "Diatom autofocusing in
brightfield microscopy: a comparative study", ICPR 2000 (from memory). Both limits are conventions
of this project: a hint, never a refusal, as the person knows what they photographed.
"""

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

LOOKED_AT_PX = 640
"""Longer edge of what is judged, so that the limits hold for every camera [pixels]."""

LEAST_SHARPNESS = 30.0
"""Below this a picture looks blurred [squared steps of 255]."""

LEAST_EVENNESS = 0.1
"""Below this a picture looks shaken along a line."""

LEAST_BRIGHTNESS = 24.0
"""Below this a picture looks black [steps of 255]."""


@dataclass(frozen=True, slots=True)
class Quality:
    """Mean brightness [steps of 255] and variance of the Laplacian [squared steps of 255].

    ``evenness`` is how sharp it is along the line on which it is least sharp, as a share of the
    line on which it is most: a shaken picture keeps its edges along the way it was moved.
    """

    brightness: float
    sharpness: float
    evenness: float = 1.0

    @property
    def is_black(self) -> bool:
        """Whether hardly anything can be seen for darkness."""
        return self.brightness < LEAST_BRIGHTNESS

    @property
    def is_blurred(self) -> bool:
        """Whether no edge in it is sharp, or none across one line. A black picture is black."""
        is_soft = self.sharpness < LEAST_SHARPNESS or self.evenness < LEAST_EVENNESS
        return not self.is_black and is_soft

    @property
    def words(self) -> str:
        """What to say of it at once; empty if it looks well."""
        if self.is_black:
            return "looks black: more light, or the lens is covered"
        if self.is_blurred:
            return "looks blurred: hold still, wipe the lens, or step back"
        return ""


def quality_of(grey: NDArray[np.float64]) -> Quality:
    """Judge a picture.

    Parameters
    ----------
    grey : ndarray, shape (rows, columns), [steps of 255]
        Its brightness, point by point; `LOOKED_AT_PX` on its longer edge.

    Returns
    -------
    Quality
        A picture of less than three rows or columns has no edges: its sharpness is nought.
    """
    if not grey.size:
        return Quality(0.0, 0.0)
    if min(grey.shape) < 3:
        return Quality(float(grey.mean()), 0.0)
    return Quality(float(grey.mean()), float(laplacian(grey).var()), evenness(grey))


def laplacian(grey: NDArray[np.float64]) -> NDArray[Any]:
    """Give the discrete Laplacian (the four neighbours less four times the point), edges cut off.

    Parameters
    ----------
    grey : ndarray, shape (rows, columns), [steps of 255]
        Three of each at least.

    Returns
    -------
    ndarray, shape (rows - 2, columns - 2), [steps of 255]
    """
    middle = grey[1:-1, 1:-1]
    around = grey[:-2, 1:-1] + grey[2:, 1:-1] + grey[1:-1, :-2] + grey[1:-1, 2:]
    return np.asarray(around - 4.0 * middle)


def evenness(grey: NDArray[np.float64]) -> float:
    """Compare how sharp a picture is along rows, columns and both diagonals.

    Parameters
    ----------
    grey : ndarray, shape (rows, columns), [steps of 255]
        Three of each at least.

    Returns
    -------
    float
        The least variance of the second differences along one of the four lines, as a share of the
        most; 1 where there is nothing sharp at all.
    """
    twice = 2.0 * grey[1:-1, 1:-1]
    around = (
        grey[1:-1, :-2] + grey[1:-1, 2:],
        grey[:-2, 1:-1] + grey[2:, 1:-1],
        grey[:-2, :-2] + grey[2:, 2:],
        grey[:-2, 2:] + grey[2:, :-2],
    )
    found = [float((each - twice).var()) for each in around]
    return min(found) / max(found) if max(found) else 1.0
