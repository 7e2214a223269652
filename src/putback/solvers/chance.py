"""Chance for compiled loops: the same sequence everywhere, from one whole number.

The minimal standard of Park and Miller (Comm. ACM 36, 1993, p. 108).
"""

from typing import Any

import numpy as np

from putback.solvers.compiled import inlined

_MODULUS, _FACTOR = 2**31 - 1, 48271


def chance_from(seed: int) -> np.ndarray[Any, Any]:
    """Begin a sequence: one number, shape (1,), that each draw moves on."""
    return np.array([seed % (_MODULUS - 1) + 1], np.int64)


@inlined
def draw(chance: np.ndarray[Any, Any]) -> float:
    """Draw a number from 0 up to and without 1."""
    chance[0] = chance[0] * _FACTOR % _MODULUS
    return float(chance[0] / _MODULUS)
