"""Solving normal equations block by block, each small enough that no library starts threads.

A survey of a chassis has some hundred unknowns. At that size a threaded library spends its time
waiting for cores that are busy otherwise; blocks of a dozen are quick on one.
"""

import numpy as np

from putback.bench.survey.network import Floats

_BLOCK = 12


def solve_definite(matrix: Floats, right: Floats) -> Floats:
    """Solve A x = b for a symmetric positive definite A, by Cholesky's blocks.

    Parameters
    ----------
    matrix : ndarray, shape (u, u)
        A; it is not changed, [-].
    right : ndarray, shape (u,)
        b, [-].

    Returns
    -------
    ndarray, shape (u,)
        x, [-].

    Raises
    ------
    numpy.linalg.LinAlgError
        A is singular.
    """
    left, found = matrix.copy(), right.copy()
    size = len(found)
    factors: list[tuple[int, int, Floats, Floats]] = []
    for at in range(0, size, _BLOCK):
        end = min(at + _BLOCK, size)
        corner = left[at:end, at:end]
        below = left[end:, at:end]
        inverse: Floats = np.linalg.inv(corner).astype(np.float64)
        share: Floats = below @ inverse
        left[end:, end:] -= share @ below.T
        found[end:] -= share @ found[at:end]
        factors.append((at, end, inverse, share))
    for at, end, inverse, share in reversed(factors):
        found[at:end] = inverse @ found[at:end] - share.T @ found[end:]
    return found
