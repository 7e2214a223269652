"""Small dense matrices as rows of floats: what a weighing needs, of a dozen rows at most."""

from collections.abc import Sequence
from math import fsum, sqrt

Row = Sequence[float]
Matrix = Sequence[Row]

_ZERO = 1e-9
"""Below this share of the largest entry an entry is rounding [-]."""


def null_space(matrix: Matrix, columns: int) -> list[list[float]]:
    """Find independent vectors that a matrix takes to zero, by Gauss and Jordan's elimination.

    Each has a one in a column of its own that the earlier columns do not decide, and zeros in the
    other such columns.
    """
    rows = [list(row) for row in matrix]
    least = _ZERO * max((abs(entry) for row in rows for entry in row), default=0.0)
    pivots: list[int] = []
    for column in range(columns):
        top = len(pivots)
        best = max(range(top, len(rows)), key=lambda row: abs(rows[row][column]), default=None)
        if best is None or abs(rows[best][column]) <= least:
            continue
        rows[top], rows[best] = rows[best], rows[top]
        pivot = rows[top][column]
        rows[top] = [entry / pivot for entry in rows[top]]
        for at, row in enumerate(rows):
            if at != top and row[column]:
                share = row[column]
                rows[at] = [a - share * b for a, b in zip(row, rows[top], strict=True)]
        pivots.append(column)
    found = []
    for free in (column for column in range(columns) if column not in pivots):
        vector = [0.0] * columns
        vector[free] = 1.0
        for at, column in enumerate(pivots):
            vector[column] = -rows[at][free]
        found.append(vector)
    return found


def cholesky(matrix: Matrix) -> list[list[float]]:
    """Split a symmetric positive definite matrix into L and its transpose; gives L.

    Raises
    ------
    ValueError
        If it is not positive definite.
    """
    lower: list[list[float]] = []
    for at, row in enumerate(matrix):
        new: list[float] = []
        for column in range(at):
            rest = fsum(new[k] * lower[column][k] for k in range(column))
            new.append((row[column] - rest) / lower[column][column])
        square = row[at] - fsum(entry * entry for entry in new)
        if square <= 0:
            raise ValueError("not positive definite")
        new.append(sqrt(square))
        lower.append(new)
    return lower


def forward(lower: Matrix, right: Row) -> list[float]:
    """Solve L·x = right, from the first row down."""
    solved: list[float] = []
    for row, value in zip(lower, right, strict=True):
        rest = fsum(row[at] * each for at, each in enumerate(solved))
        solved.append((value - rest) / row[len(solved)])
    return solved
