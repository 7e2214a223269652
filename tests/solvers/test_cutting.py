"""Cutting pieces from stock: always a true plan, and the cheapest where it says so."""

from collections import Counter
from functools import cache

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from putback.errors import Stopped
from putback.progress import Stoppable
from putback.solvers.cutting import Cutting, Stock, cut

piece_lists = st.lists(st.integers(1, 12), min_size=1, max_size=7)


def cheapest(pieces, stocks):
    """Cost of the cheapest plan by trying every set of pieces for every stock; None if none."""

    @cache
    def best(left, used):
        if not left:
            return 0
        first = left & -left
        rest = left ^ first
        found = None
        part = rest
        while True:
            group = part | first
            size = sum(pieces[i] for i in range(len(pieces)) if group >> i & 1)
            for number, stock in enumerate(stocks):
                if size > stock.length or (
                    stock.count is not None and used[number] >= stock.count
                ):
                    continue
                more = tuple(each + (n == number) for n, each in enumerate(used))
                after = best(left ^ group, more)
                if after is not None and (found is None or after + stock.price < found):
                    found = after + stock.price
            if not part:
                return found
            part = (part - 1) & rest

    return best((1 << len(pieces)) - 1, (0,) * len(stocks))


def assert_true(plan, sizes, wanted, stocks):
    """A plan cuts every piece so often as wanted, and no stock beyond its length or number."""
    cut_out = Counter(piece for each in plan.cuts for piece in each.pieces)
    assert cut_out == Counter(dict(enumerate(wanted)))
    assert all(
        sum(sizes[piece] for piece in each.pieces) <= stocks[each.stock].length
        for each in plan.cuts
    )
    taken = Counter(each.stock for each in plan.cuts)
    for number, stock in enumerate(stocks):
        assert stock.count is None or taken[number] <= stock.count
    assert plan.cost == sum(stocks[each.stock].price for each in plan.cuts)
    assert plan.bound <= plan.cost


@settings(max_examples=25, deadline=None)
@given(piece_lists, st.integers(12, 20))
def test_one_kind_of_stock_is_cut_as_cheaply_as_can_be(pieces, length):
    """Against every way to share pieces out."""
    stocks = [Stock(length)]
    plan = cut(pieces, [1] * len(pieces), stocks)
    assert_true(plan, pieces, [1] * len(pieces), stocks)
    assert plan.optimal
    assert plan.cost == cheapest(pieces, stocks)


@settings(max_examples=25, deadline=None)
@given(
    piece_lists,
    st.integers(12, 20),
    st.integers(3, 15),
    st.integers(1, 2),
    st.integers(1, 30),
)
def test_several_kinds_are_chosen_among(pieces, length, other, count, cost):
    """An offcut of which there are few, at any price."""
    stocks = [Stock(length), Stock(other, cost=cost, count=count)]
    plan = cut(pieces, [1] * len(pieces), stocks)
    assert_true(plan, pieces, [1] * len(pieces), stocks)
    assert plan.optimal
    assert plan.cost == cheapest(pieces, stocks)


@settings(max_examples=25, deadline=None)
@given(piece_lists, st.integers(12, 16), st.integers(1, 3))
def test_too_little_stock_is_said(pieces, length, count):
    """Possible exactly where some plan is."""
    stocks = [Stock(length, count=count)]
    plan = cut(pieces, [1] * len(pieces), stocks)
    least = cheapest(pieces, stocks)
    assert plan.possible == (least is not None)
    if least is not None:
        assert plan.cost == least


def test_a_piece_longer_than_all_stock_is_impossible():
    """No plan at all, rather than part of one."""
    assert cut([5, 30], [1, 1], [Stock(20)]) == Cutting((), 0, 0, possible=False)


def test_nothing_to_cut_costs_nothing():
    """No piece, no stock."""
    assert cut([], [], [Stock(20)]) == Cutting((), 0, 0)


def test_the_doc_example_holds():
    """Four of 450 and six of 300 need four lengths of 1000: 3,600 do not fit in three."""
    plan = cut([450, 300], [4, 6], [Stock(1000)])
    assert (plan.cost, plan.bound) == (4000, 4000)
    assert_true(plan, [450, 300], [4, 6], [Stock(1000)])


GREEDY_WASTES = [44, 24, 24, 22, 21, 17, 8, 8, 6, 6]
"""Largest first takes four lengths of 61: 44+17, 24+24+8, 22+21+8+6 and 6."""


def test_greedy_is_beaten_where_it_wastes():
    """Three are enough: 44+8+8, 24+24+6+6 and 22+21+17."""
    plan = cut(GREEDY_WASTES, [1] * 10, [Stock(61)])
    assert plan.cost == 3 * 61
    assert plan.optimal


def test_very_fine_lengths_still_give_a_true_plan():
    """Units a thousand times finer than are looked at: rounded so that it can be cut."""
    sizes, wanted = [3_333_333, 2_500_001, 1_234_567], [7, 5, 9]
    stocks = [Stock(10_000_000)]
    plan = cut(sizes, wanted, stocks)
    assert_true(plan, sizes, wanted, stocks)
    assert plan.cost <= 6 * 10_000_000


def test_the_same_order_is_cut_the_same_way():
    """No chance in it that is not fixed."""
    sizes, wanted, stocks = [37, 29, 23, 17, 11], [5, 6, 7, 8, 9], [Stock(100), Stock(60, count=3)]
    assert cut(sizes, wanted, stocks) == cut(sizes, wanted, stocks)


def test_a_person_can_stop_it():
    """By the same port as all long work."""
    with pytest.raises(Stopped):
        cut(GREEDY_WASTES, [1] * 10, [Stock(61)], progress=Stoppable(lambda: True))
