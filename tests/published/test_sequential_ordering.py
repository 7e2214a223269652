"""Orders against published instances of the sequential ordering problem (TSPLIB95)."""

from pathlib import Path

import pytest

from putback.planning.ordering.anneal import improve_order
from putback.planning.ordering.least_order import least_order
from putback.planning.ordering.order import Layer, Ordering, Sorting, cost_of

DATA = Path(__file__).parent / "data" / "sop"

OPTIMA = {"ESC07": 2125, "ESC12": 1675, "br17.10": 55, "ESC25": 1681}
"""Proved least costs, as SOURCES.md beside the data has them."""


def read(name: str) -> Ordering:
    """An instance: -1 at row j, column i says that i comes before j; other numbers are costs."""
    numbers = (DATA / f"{name}.sop").read_text().split("EDGE_WEIGHT_SECTION")[1].split()
    count = int(numbers[0])
    cost = [[int(n) for n in numbers[1 + r * count : 1 + (r + 1) * count]] for r in range(count)]
    pairs = [(i, j) for j, row in enumerate(cost) for i, each in enumerate(row) if each == -1]
    return Ordering(count, pairs, [Layer(range(count), cost)])


def start(ordering: Ordering) -> list[int]:
    """The first order that works, by number."""
    order: list[int] = []
    while len(order) < ordering.count:
        barred = {then for first, then in ordering.pairs if first not in order}
        order.append(min(set(range(ordering.count)) - barred - set(order)))
    return order


@pytest.mark.parametrize("name", ["ESC07", "ESC12"])
def test_the_least_order_costs_what_was_published(name):
    """TSPLIB95 (Reinelt 1991): dynamic programming finds the proved optimum."""
    ordering = read(name)
    assert cost_of(ordering, least_order(ordering, most=200_000)) == OPTIMA[name]


@pytest.mark.parametrize("name", ["ESC07", "ESC12", "br17.10", "ESC25"])
def test_annealing_finds_what_was_published(name):
    """TSPLIB95 (Reinelt 1991): the proved optimum is met by one of four chances."""
    ordering = read(name)
    first = start(ordering)
    mean = cost_of(ordering, first) / ordering.count
    sorts = [Sorting(range(ordering.count))]
    for seed in range(1, 5):
        order = improve_order(ordering, first, sorts, 3_000_000, (mean / 2, mean / 50), seed)
        place = {item: at for at, item in enumerate(order)}
        assert all(place[a] < place[b] for a, b in ordering.pairs)
        if cost_of(ordering, order) == OPTIMA[name]:
            break
    assert cost_of(ordering, order) == OPTIMA[name]
