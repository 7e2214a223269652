"""Choosing the way: cheapest, without circles, and a contradiction where there is none."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from putback.planning.plan import Because
from putback.planning.posing.problem import Cause, Clause, Kind, Node, Order, Problem
from putback.planning.search.choose import Contradiction, cheapest, derive
from putback.vehicle.vehicle import About, Vehicle

CAUSE = Cause(Because.BEFORE, "so")
NOTHING = Vehicle(About("v", "v"))


def problem(clauses, minutes=None, orders=(), clears=None) -> Problem:
    """A bare problem: for each node what it asks for, each clause a tuple of nodes."""
    nodes = tuple(
        Node(
            Kind.JOB,
            f"job:{index}",
            clears=((clears or {}).get(index, f"job:{index}"),),
            clauses=tuple(Clause(tuple(any_of), CAUSE) for any_of in asked),
            minutes=(minutes or {}).get(index, 1.0),
        )
        for index, asked in enumerate(clauses)
    )
    return Problem(NOTHING, nodes, {}, orders=tuple(Order(a, b, CAUSE) for a, b in orders))


def choose(posed, *targets, **more):
    """The cheapest choice for targets, each a tuple of nodes."""
    clauses = [Clause(tuple(target), CAUSE) for target in targets]
    return cheapest(posed, clauses, minutes=lambda node: node.minutes, **more)


def test_where_there_is_one_way_it_is_taken_in_order():
    """Nothing is searched; what comes before stands before."""
    found = choose(problem([[(1,)], [(2,)], []]), (0,))
    assert (found.nodes, found.minutes, found.bound, found.optimal) == ((2, 1, 0), 3.0, 3.0, True)


def test_two_ways_that_hold_each_other_up_are_no_way():
    """Both cheap ways rest on one another, so the dear one is taken."""
    posed = problem([[(1, 3)], [(2,)], [(1, 3)], []], {3: 50.0})
    found = choose(posed, (0,), (1,))
    assert set(found.nodes) == {0, 1, 2, 3}
    lone = choose(problem([[(1, 2)], [(0, 2)], []], {2: 50.0}), (0,))
    assert lone.nodes == (2, 0)
    assert lone.optimal


def test_an_order_binds_only_where_both_are_chosen():
    """The cheap way may not follow what the goal asks for as well, so it comes first."""
    posed = problem([[(1,)], [], []], orders=[(1, 2)])
    assert choose(posed, (0,), (2,)).nodes.index(1) < choose(posed, (0,), (2,)).nodes.index(2)
    assert choose(posed, (0,)).nodes == (1, 0)


def test_orders_against_one_another_are_a_contradiction():
    """Each before the other, both asked for; one alone can be had."""
    posed = problem([[], [], [(0, 1)]], orders=[(0, 1), (1, 0)])
    with pytest.raises(Contradiction):
        choose(posed, (0,), (1,), (2,))
    assert choose(posed, (0,), (2,)).nodes == (0, 2)


def test_an_order_can_make_the_dear_way_the_only_one():
    """The cheap way comes after what it must come before, so the dear one is taken."""
    posed = problem([[(1, 2)], [(3,)], [], []], {2: 9.0}, orders=[(1, 3)])
    assert set(choose(posed, (0,)).nodes) == {0, 2}


def test_what_is_barred_or_done_is_not_chosen():
    """One way is barred, so the other is taken; what is done already costs nothing."""
    posed = problem([[(1, 2)], [], []], {2: 9.0})
    assert choose(posed, (0,), barred=[1]).nodes == (2, 0)
    assert choose(posed, (0,), before=[2]).nodes == (0,)


def test_one_thing_is_not_cleared_in_two_ways():
    """Both ways of clearing it are asked for, and only one can be had."""
    posed = problem([[], []], clears={0: "part:a", 1: "part:a"})
    with pytest.raises(Contradiction):
        choose(posed, (0,), (1,))


def test_what_comes_before_something_done_is_too_late():
    """After the second of an order is done, the first cannot be."""
    posed = problem([[], [], []], {1: 9.0}, orders=[(0, 2)])
    assert choose(posed, (0, 1), before=[2]).nodes == (1,)


def test_a_circle_without_a_way_in_is_a_contradiction():
    """Two that wait for one another wait for ever, and so does what waits for them."""
    with pytest.raises(Contradiction):
        choose(problem([[(1,)], [(2,)], [(1,)]]), (0,))


def test_a_search_that_ends_without_an_answer_is_given_more():
    """An effort of next to nothing is raised until there is an answer."""
    posed = problem([[(1, 2)], [(0, 2)], []], {2: 50.0})
    assert choose(posed, (0,), effort=1e-9).nodes == (2, 0)


CLAUSES = st.lists(st.lists(st.integers(0, 6), min_size=1, max_size=3), max_size=2)


@given(
    st.lists(CLAUSES, min_size=7, max_size=7),
    st.lists(st.integers(0, 5), min_size=7, max_size=7),
    st.lists(st.tuples(st.integers(0, 6), st.integers(0, 6)), max_size=3),
)
def test_the_choice_is_the_cheapest_of_all_subsets(clauses, costs, orders):
    """Of all sets of seven nodes that can be put in order, none with the target is cheaper."""
    orders = [(a, b) for a, b in orders if a != b]
    posed = problem(clauses, dict(enumerate(map(float, costs))), orders)
    sums = [
        sum(costs[i] for i in chosen)
        for bits in range(1, 128, 2)  # with node 0, the target
        if works(chosen := [i for i in range(7) if bits >> i & 1], clauses, orders)
    ]
    if sums:
        found = choose(posed, (0,))
        assert found.optimal
        assert found.minutes == found.bound == min(sums)
        assert works(list(found.nodes), clauses, orders)
        assert set(derive(posed, found.nodes)) == set(found.nodes)
    else:
        with pytest.raises(Contradiction):
            choose(posed, (0,))


def works(chosen, clauses, orders) -> bool:
    """Whether a set can be put in an order in which every clause and order is kept."""
    done: set[int] = set()
    while fresh := [
        i
        for i in chosen
        if i not in done
        and all(done & set(any_of) for any_of in clauses[i])
        and all(a in done or a not in chosen for a, b in orders if b == i)
    ]:
        done.update(fresh)
    return len(done) == len(chosen)
