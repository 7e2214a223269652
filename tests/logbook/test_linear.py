"""Small matrices: against numpy."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from putback.logbook.linear import cholesky, forward, null_space

whole = st.integers(-3, 3).map(float)


@given(st.integers(1, 4), st.integers(1, 6), st.data())
def test_the_null_space_is_all_of_it(rows, columns, data):
    """What is found is taken to nought, is independent, and is as much as numpy's rank leaves."""
    matrix = [[data.draw(whole) for _ in range(columns)] for _ in range(rows)]
    found = null_space(matrix, columns)
    assert len(found) == columns - np.linalg.matrix_rank(np.array(matrix))
    for vector in found:
        assert np.array(matrix) @ vector == pytest.approx(np.zeros(rows), abs=1e-9)
    if found:
        assert np.linalg.matrix_rank(np.array(found)) == len(found)


@given(st.integers(1, 5), st.data())
def test_the_root_solves_and_multiplies_back(size, data):
    """L times its transpose is the matrix, and L is solved from the first row down."""
    factor = np.array([[data.draw(whole) for _ in range(size)] for _ in range(size)])
    matrix = factor @ factor.T + np.eye(size)
    lower = cholesky(matrix.tolist())
    full = np.array([row + [0.0] * (size - len(row)) for row in lower])
    assert full @ full.T == pytest.approx(matrix)
    right = [data.draw(whole) for _ in range(size)]
    assert full @ forward(lower, right) == pytest.approx(right)


def test_what_has_no_root_is_refused():
    """A matrix that is not positive definite has none."""
    with pytest.raises(ValueError, match="not positive definite"):
        cholesky([[1.0, 2.0], [2.0, 1.0]])
