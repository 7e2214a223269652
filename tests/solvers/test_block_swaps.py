"""What is compiled does what its Python does, and the running sum of costs is true."""

from dataclasses import replace
from random import Random

import pytest

from putback.planning.ordering import anneal
from putback.planning.ordering.order import NONE, Late, Layer, OneOf, Ordering, Sorting, cost_of
from putback.solvers import block_swaps, gathers
from putback.solvers.swapping import Run, Swapping


def ordering_of(rnd: Random) -> Ordering:
    """Thirty items with every sort of bond and cost; the order 0, 1, 2 ... works."""
    count, mark = 30, 15
    pairs = [tuple(sorted(rnd.sample(range(count), 2))) for _ in range(20)]
    groups = [sorted(rnd.sample(range(count), 3)) for _ in range(12)]
    any_of = [OneOf(c, (a, b)) if rnd.random() < 0.5 else OneOf(b, (), (c,)) for a, b, c in groups]
    table = [[rnd.choice((0.0, 1.0, 3.0)) for _ in range(4)] for _ in range(4)]
    layers = [
        Layer([rnd.randrange(4) for _ in range(count)], table, 2),
        Layer([rnd.choice((NONE, 0, 1)) for _ in range(count)], [[0.0, 2.0], [2.0, 0.0]]),
    ]
    late = [Late(a, (b, c), rnd.choice((-2.0, 4.0))) for a, b, c in groups[:5]]
    periods = [1 << (item > mark) if rnd.random() < 0.3 else 3 for item in range(count)]
    periods[mark] = 3
    return Ordering(count, pairs, layers, any_of, late, (mark,), periods)


def run_of(ordering: Ordering, seed: int) -> tuple[Swapping, Run]:
    """The arrays of a search that begins with 0, 1, 2 ..."""
    sorts = [Sorting([item % 5 for item in range(ordering.count)], 0.6)]
    sorts.append(Sorting(ordering.layers[0].labels, 0.4))
    swapping = anneal._laid_out(ordering, sorts)
    return swapping, anneal._begun(ordering, range(ordering.count), 2.0, seed)


@pytest.mark.twins
@pytest.mark.parametrize("seed", range(6))
def test_what_is_compiled_does_what_its_python_does(seed, monkeypatch):
    """Both go through the same orders, and end at the same cost and chance."""
    ordering = ordering_of(Random(seed))
    swapping, compiled = run_of(ordering, seed)
    block_swaps.swap_blocks(swapping, compiled, 3000, 0.9)
    for module in (block_swaps, gathers):
        for name, function in vars(module).items():
            if hasattr(function, "py_func"):
                monkeypatch.setattr(module, name, function.py_func)
    _, plain = run_of(ordering, seed)
    block_swaps.swap_blocks(swapping, plain, 3000, 0.9)
    for one, other in zip(compiled, plain, strict=True):
        assert one.tolist() == pytest.approx(other.tolist())
    assert compiled.cost[1] < 0


@pytest.mark.parametrize("seed", range(6))
def test_the_running_cost_is_the_cost_of_the_order(seed):
    """After thousands of swaps the sum of all differences is the difference."""
    ordering = ordering_of(Random(seed))
    swapping, run = run_of(ordering, seed)
    begun = cost_of(ordering, range(ordering.count))
    block_swaps.swap_blocks(swapping, run, 20_000, 0.95)
    now, best = ([int(i) for i in order[1:-1]] for order in (run.order, run.best))
    assert cost_of(ordering, now) == pytest.approx(begun + run.cost[0])
    assert cost_of(ordering, best) == pytest.approx(begun + run.cost[1])


@pytest.mark.parametrize("seed", range(6))
def test_fines_count_with_the_cost_and_what_is_broken_is_mended(seed):
    """Of clauses that may be broken fewer are in the end, and pairs still bind."""
    rnd = Random(seed)
    plain = ordering_of(rnd)
    drawn = [sorted(rnd.sample(range(plain.count), 2)) for _ in range(8)]
    fined = [OneOf(first, (then,), (), 5.0) for first, then in drawn]
    ordering = replace(plain, any_of=[*plain.any_of, *fined])
    swapping, run = run_of(ordering, seed)
    block_swaps.swap_blocks(swapping, run, 20_000, 0.95)

    def owed(order):
        place = {item: at for at, item in enumerate(order)}
        assert all(place[first] < place[then] for first, then in ordering.pairs)
        assert all(each.is_kept(place) for each in plain.any_of)
        return sum(each.fine for each in fined if not each.is_kept(place))

    begun = cost_of(ordering, range(ordering.count))
    now, best = ([int(i) for i in order[1:-1]] for order in (run.order, run.best))
    assert cost_of(ordering, now) + owed(now) == pytest.approx(begun + run.cost[0])
    assert cost_of(ordering, best) + owed(best) == pytest.approx(begun + run.cost[1])
    assert run.cost[2] == owed(now)
    assert owed(best) < owed(range(ordering.count)) == 40.0
