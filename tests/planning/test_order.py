"""Orders of few items against all permutations, and what a good order may never do."""

from itertools import permutations
from random import Random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from putback.planning.ordering.anneal import improve_order
from putback.planning.ordering.least_order import least_order
from putback.planning.ordering.order import (
    NONE,
    Late,
    Layer,
    OneOf,
    Ordering,
    Sorting,
    cost_of,
)


def front(group: set[int]) -> OneOf:
    """The last waits for one of the others."""
    return OneOf(max(group), tuple(sorted(group - {max(group)})))


def rear(group: set[int]) -> OneOf:
    """One in the middle, or the first, has one before it or the last behind it."""
    first, *_, last = ordered = sorted(group)
    return OneOf(ordered[len(ordered) // 2 - 1], (first,) if len(ordered) > 3 else (), (last,))


@st.composite
def orderings(draw) -> Ordering:
    """A few items with every sort of bond and cost; the order 0, 1, 2 ... always works."""
    count = draw(st.integers(1, 6))
    item = st.integers(0, count - 1)
    drawn = draw(st.lists(st.tuples(item, item), max_size=4))
    pairs = [(min(pair), max(pair)) for pair in drawn if pair[0] != pair[1]]
    any_of = (
        [
            draw(st.sampled_from((front(group), rear(group))))
            for group in draw(st.lists(st.sets(item, min_size=2, max_size=3), max_size=2))
        ]
        if count > 1
        else []
    )
    price = st.sampled_from((0.0, 1.0, 2.0, 5.0))
    layers = []
    for _ in range(draw(st.integers(1, 2))):
        label = st.integers(NONE, 2)
        table = [[draw(price) for _ in range(3)] for _ in range(3)]
        layers.append(Layer([draw(label) for _ in range(count)], table, draw(label)))
    late = [
        Late(one, (other,), draw(st.sampled_from((-2.0, 3.0))))
        for one, other in draw(st.lists(st.tuples(item, item), max_size=2))
        if one != other
    ]
    marks = (draw(item),) if draw(st.booleans()) else ()
    periods = [
        draw(st.sampled_from((3, 1 << sum(mark < each for mark in marks)))) if marks else 1
        for each in range(count)
    ]
    for mark in marks:
        periods[mark] = 3
    return Ordering(count, pairs, layers, any_of, late, marks, periods)


def works(ordering: Ordering, order) -> bool:
    """Whether an order keeps every bond."""
    place = {each: at for at, each in enumerate(order)}
    period = {each: sum(place[m] < place[each] for m in ordering.marks) for each in order}
    return (
        sorted(order) == list(range(ordering.count))
        and all(place[a] < place[b] for a, b in ordering.pairs)
        and all(
            any(place[by] < place[each.item] for by in each.before)
            or any(place[by] > place[each.item] for by in each.behind)
            for each in ordering.any_of
        )
        and all(ordering.periods[each] >> period[each] & 1 for each in order)
    )


@given(orderings())
def test_the_least_order_is_the_least_of_all_permutations(ordering):
    """Trying every permutation finds nothing cheaper, and the order keeps every bond."""
    order = least_order(ordering)
    assert works(ordering, order)
    every = permutations(range(ordering.count))
    least = min(cost_of(ordering, each) for each in every if works(ordering, each))
    assert cost_of(ordering, order) == pytest.approx(least)


@given(orderings(), st.integers(0, 3))
def test_an_improved_order_keeps_every_bond_and_is_no_dearer(ordering, seed):
    """Annealing starts from an order that works, and gives one that works and costs no more."""
    start = list(range(ordering.count))
    sortings = [Sorting(ordering.layers[0].labels, 0.5), Sorting(start, 0.5)]
    order = improve_order(ordering, start, sortings, 400, (2.0, 0.2), seed)
    assert works(ordering, order)
    assert cost_of(ordering, order) <= cost_of(ordering, start) + 1e-9
    assert order == improve_order(ordering, start, sortings, 400, (2.0, 0.2), seed)


@pytest.mark.parametrize("seed", range(6))
def test_long_orders_keep_every_bond(seed):
    """Forty items, three in hand, many bonds: whatever is swapped, all of them hold."""
    rnd = Random(seed)
    count, mark = 40, 20
    pairs = [tuple(sorted(rnd.sample(range(count), 2))) for _ in range(30)]
    groups = [sorted(rnd.sample(range(count), 3)) for _ in range(10)]
    any_of = [rnd.choice((front, rear))(set(group)) for group in groups]
    kind = [rnd.randrange(3) for _ in range(count)]
    table = [[2.0 * (a != b) for b in range(3)] for a in range(3)]
    here = [1 << (item > mark) if rnd.random() < 0.3 else 3 for item in range(count)]
    here[mark] = 3
    layers = [Layer(kind, table), Layer([k if k else NONE for k in kind], table)]
    ordering = Ordering(count, pairs, layers, any_of, (), (mark,), here)
    order = improve_order(ordering, list(range(count)), [Sorting(kind)], 5000, (2.0, 0.2), seed)
    assert works(ordering, order)
    assert cost_of(ordering, order) < cost_of(ordering, list(range(count)))


def test_too_many_positions_are_not_looked_at():
    """Where patience ends there is no answer, not a wrong one."""
    free = Ordering(6, [], [Layer(range(6), [[1.0] * 6] * 6)])
    assert least_order(free, most=10) is None


def test_precedence_in_a_circle_has_no_order():
    """It is said, not looped over."""
    with pytest.raises(ValueError, match="precedence runs in a circle"):
        least_order(Ordering(2, [(0, 1), (1, 0)], []))
