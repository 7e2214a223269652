"""Prices of items in the sequence solver, against networkx and the cheapest orders."""

from random import Random

import networkx as nx
import numpy as np
import pytest

from putback.solvers.sequence import lay_out, trees
from putback.solvers.sequence.problem import BARRED
from putback.solvers.sequence.start import first_order
from tests.solvers.test_sequence import both_ways, least


def laid_out(rnd: Random, count: int, bonds: int):
    """A problem whose costs are the same both ways, what its best order costs, and one order."""
    costs, pairs = both_ways(rnd, count, bonds)
    problem = lay_out(costs, pairs)
    return problem, least(costs, pairs), first_order(problem, np.zeros(problem.size))


@pytest.mark.parametrize("seed", range(20))
def test_the_cheapest_tree_is_that_of_networkx(seed):
    """At prices drawn at random; its neighbours are twice its arcs."""
    rnd = Random(seed)
    count = rnd.randint(2, 30)
    costs = np.array([[rnd.random() for _ in range(count)] for _ in range(count)])
    costs = np.minimum(costs, costs.T)
    price = np.array([rnd.uniform(-1, 1) for _ in range(count)])
    graph = nx.Graph()
    for a in range(count):
        for b in range(a):
            graph.add_edge(a, b, weight=costs[a, b] + price[a] + price[b])
    neighbours = np.zeros(count, np.int64)
    found = trees._cheapest_tree(costs, price, neighbours)
    tree = nx.minimum_spanning_tree(graph)
    assert found == pytest.approx(tree.size(weight="weight"))
    assert neighbours.tolist() == [tree.degree(item) for item in range(count)]


@pytest.mark.parametrize("seed", range(60))
def test_no_order_costs_less_than_the_bound(seed):
    """With and without precedence, costs below nothing among them."""
    rnd = Random(seed)
    count = rnd.randint(2, 9)
    problem, truth, order = laid_out(rnd, count, rnd.randint(0, count))
    *_, bound = trees.with_prices(problem, problem.cost_of(order))
    assert bound <= truth + 1e-6


def test_the_bound_is_the_best_where_the_cheapest_tree_is_an_order():
    """Items in a line: no prices are wanted."""
    costs = [[abs(a - b) for b in range(12)] for a in range(12)]
    bonds = [(0, item) for item in range(1, 12)] + [(item, 11) for item in range(11)]
    assert trees.with_prices(lay_out(costs, bonds), 40)[2] == pytest.approx(11)


@pytest.mark.parametrize("seed", range(10))
def test_prices_put_the_same_on_every_order(seed):
    """To the last part of a unit, and no arc costs less than nothing; what is barred stays so."""
    rnd = Random(seed)
    problem, _, order = laid_out(rnd, 9, rnd.randint(0, 6))
    priced, parts, _ = trees.with_prices(problem, problem.cost_of(order))
    barred = problem.costs >= BARRED
    assert ((priced.costs >= BARRED) == barred).all()
    assert priced.costs.min() >= 0
    more = set()
    for _ in range(30):
        other = first_order(problem, np.array([rnd.uniform(0, 2000) for _ in range(problem.size)]))
        more.add(priced.cost_of(other) - parts * problem.cost_of(other))
    assert len(more) == 1


def test_costs_as_large_as_may_be_are_not_barred_by_their_prices():
    """There a unit has but one part."""
    rnd = Random(1)
    most = BARRED // 8
    costs = [[rnd.randint(0, most) for _ in range(12)] for _ in range(12)]
    costs = [[costs[min(a, b)][max(a, b)] for b in range(12)] for a in range(12)]
    problem = lay_out(costs, [(0, 1), (2, 5)])
    known = problem.cost_of(first_order(problem, np.zeros(problem.size)))
    priced, parts, _ = trees.with_prices(problem, known)
    assert parts == 1
    assert ((priced.costs >= BARRED) == (problem.costs >= BARRED)).all()


def test_what_is_compiled_does_what_its_python_does(monkeypatch):
    """The same prices and the same bound."""
    problem, _, order = laid_out(Random(3), 9, 4)
    compiled = trees.with_prices(problem, problem.cost_of(order))
    monkeypatch.setattr(trees, "_raised", trees._raised.py_func)
    monkeypatch.setattr(trees, "_cheapest_tree", trees._cheapest_tree.py_func)
    plain = trees.with_prices(problem, problem.cost_of(order))
    assert plain[0].costs.tolist() == compiled[0].costs.tolist()
    assert plain[1:] == pytest.approx(compiled[1:])
