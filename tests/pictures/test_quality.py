"""How well one sees something in a picture: figures against SciPy's own Laplacian."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import ndimage

from putback.pictures.quality import LEAST_SHARPNESS, evenness, laplacian, quality_of


@given(st.integers(0, 2**32 - 1), st.integers(3, 40), st.integers(3, 40))
def test_the_laplacian_is_scipys(seed, rows, columns):
    """`scipy.ndimage.laplace`, away from the edges."""
    grey = np.random.default_rng(seed).uniform(0, 255, (rows, columns))
    assert laplacian(grey) == pytest.approx(ndimage.laplace(grey)[1:-1, 1:-1])


def test_a_picture_without_edges_has_no_sharpness():
    """One grey, or a straight slope from dark to bright: nothing in it is sharp."""
    slope = np.tile(np.linspace(0.0, 200.0, 50), (50, 1))
    assert quality_of(np.full((50, 50), 90.0)).sharpness == 0.0
    assert quality_of(slope).sharpness == pytest.approx(0.0, abs=1e-18)
    assert quality_of(slope).brightness == pytest.approx(100.0)


def test_a_chessboard_is_as_sharp_as_can_be():
    """Points of 0 and 255 in turn: the Laplacian is ±1020, its variance 1020²."""
    board = np.indices((20, 20)).sum(axis=0) % 2 * 255.0
    assert quality_of(board).sharpness == pytest.approx(1020.0**2)


def test_a_sliver_or_nothing_can_be_judged():
    """Too small for an edge."""
    assert quality_of(np.zeros((0, 0))).is_black
    assert quality_of(np.full((2, 90), 200.0)).sharpness == 0.0


LINES = {(0, 1): "rows", (1, 0): "columns", (1, 1): "one diagonal", (1, -1): "the other"}


@given(st.integers(0, 2**32 - 1), st.integers(3, 20), st.integers(3, 20))
def test_evenness_is_that_of_scipys_convolutions(seed, rows, columns):
    """The second difference along each of four lines, by another program."""
    grey = np.random.default_rng(seed).uniform(0, 255, (rows, columns))
    found = []
    for down, right in LINES:
        kernel = np.zeros((3, 3))
        kernel[1 - down, 1 - right] = kernel[1 + down, 1 + right] = 1
        kernel[1, 1] = -2
        found.append(ndimage.convolve(grey, kernel)[1:-1, 1:-1].var())
    expected = min(found) / max(found) if max(found) else 1.0
    assert evenness(grey) == pytest.approx(expected)


@pytest.mark.parametrize("axis", [0, 1])
def test_a_picture_shaken_along_a_line_looks_blurred(axis):
    """Though sharp across it; still, the same picture looks well, and soft all over it is soft."""
    still = np.random.default_rng(7).uniform(0, 255, (200, 300))
    shaken = ndimage.uniform_filter1d(still, 15, axis=axis)
    assert not quality_of(still).is_blurred
    assert quality_of(shaken).sharpness > LEAST_SHARPNESS
    assert quality_of(shaken).is_blurred
