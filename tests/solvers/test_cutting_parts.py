"""What the cutting solver is made of: swaps between bins, and the best pattern at given prices."""

from itertools import product
from random import Random

import numpy as np
import pytest

from putback.solvers.cutting_knapsack import MOST_UNITS, Knapsack
from putback.solvers.cutting_swaps import laid_out, pack


def triplets(rnd: Random, bins: int) -> list[int]:
    """Three pieces a bin of 1000 without any waste, so that first fit needs more bins."""
    pieces = []
    for _ in range(bins):
        large = rnd.randint(380, 490)
        middle = rnd.randint(250, 750 - large)
        pieces += [large, middle, 1000 - large - middle]
    return pieces


@pytest.mark.parametrize("seed", range(3))
def test_swaps_pack_what_leaves_no_waste(seed):
    """Every piece is in one bin, and every bin is full to the last."""
    pieces = triplets(Random(seed), 12)
    packing = laid_out(pieces, 1000, 12, seed + 1)
    assert pack(packing, 100_000)
    inside = [row[:many] for row, many in zip(packing.inside, packing.many, strict=True)]
    assert sorted(np.concatenate(inside)) == list(range(36))
    assert sorted(packing.sizes) == sorted(pieces)
    assert [int(packing.sizes[row].sum()) for row in inside] == [1000] * 12


def test_swaps_never_pack_into_too_few_bins():
    """Where one unit is too much they go on in vain, and what they hold stays true."""
    pieces = [*triplets(Random(4), 5), 1]
    packing = laid_out(pieces, 1000, 5)
    for _ in range(20):
        assert not pack(packing, 500)
        loads = [
            int(packing.sizes[row[:many]].sum())
            for row, many in zip(packing.inside, packing.many, strict=True)
        ]
        assert loads == packing.loads.tolist()
        assert max(loads) <= 1000
        out = packing.out[: packing.state[0]]
        assert int(packing.sizes[out].sum()) + sum(loads) == sum(pieces)
        assert packing.state[1] == int(packing.sizes[out].sum())


@pytest.mark.parametrize("scale", [1, 3 * MOST_UNITS // 30 + 7])
def test_the_best_pattern_is_that_of_all_patterns(scale):
    """Against every pattern there is, with a table of single units and with a coarse one."""
    rnd = Random(scale)
    for _ in range(40):
        length = 30 * scale + rnd.randint(0, scale - 1)
        sizes = sorted({rnd.randint(4 * scale, 20 * scale) for _ in range(5)}, reverse=True)
        at_most = [rnd.randint(1, 3) for _ in sizes]
        prices = np.array([rnd.choice([0.0, rnd.random()]) for _ in sizes])
        truth = max(
            float(np.dot(counts, prices))
            for counts in product(*(range(most + 1) for most in at_most))
            if np.dot(counts, sizes) <= length
        )
        patterns, bound = Knapsack(sizes, at_most, prices, length).patterns(length, 0.0)
        assert bound == pytest.approx(truth)
        assert all(np.dot(pattern, sizes) <= length for pattern in patterns)
        assert all(n <= most for p in patterns for n, most in zip(p, at_most, strict=True))
        best = max((float(np.dot(pattern, prices)) for pattern in patterns), default=0.0)
        assert best == pytest.approx(truth)
