"""The small face of the solver: right answers, the same every time, and it can be stopped."""

import itertools
import subprocess
import sys

import pytest
from hypothesis import given
from hypothesis import strategies as st

from putback.errors import Stopped
from putback.progress import Stoppable
from putback.solvers import Choice

LITERALS = st.integers(1, 6).flatmap(lambda n: st.sampled_from([n, -n]))
CLAUSES = st.lists(st.lists(LITERALS, min_size=1, max_size=3), max_size=8)


def holds(literal: int, values: tuple[bool, ...]) -> bool:
    return values[abs(literal) - 1] == (literal > 0)


@given(
    clauses=CLAUSES,
    exclusive=st.lists(LITERALS, max_size=3, unique_by=abs),
    weights=st.lists(st.integers(0, 9), min_size=6, max_size=6),
    sums=st.lists(st.tuples(st.dictionaries(LITERALS, st.integers(-5, 5)), st.integers(-5, 9))),
    at_once=st.booleans(),
)
def test_the_cheapest_choice_is_the_one_that_trying_all_finds(
    clauses, exclusive, weights, sums, at_once
):
    """Over all 64 choices of six variables, none that obeys clauses and sums costs less."""
    choice = Choice()
    variables = [choice.variable() for _ in range(6)]
    for clause in clauses:
        choice.any_of(clause)
    choice.at_most_one(exclusive)
    if at_once:
        choice.solve(at_once=True)  # what comes after goes on from there
    for gives, least in sums:
        choice.at_least(gives, least)
    choice.minimise(dict(zip(variables, weights, strict=True)))
    costs = [
        sum(w for w, value in zip(weights, values, strict=True) if value)
        for values in itertools.product((False, True), repeat=6)
        if all(any(holds(each, values) for each in clause) for clause in clauses)
        and sum(holds(each, values) for each in exclusive) <= 1
        and all(
            sum(each for literal, each in gives.items() if holds(literal, values)) >= least
            for gives, least in sums
        )
    ]
    answer = choice.solve(at_once=at_once)
    assert answer.feasible is bool(costs)
    if costs:
        assert answer.optimal
        assert answer.cost == answer.bound == min(costs)
        values = tuple(variable in answer.chosen for variable in variables)
        assert all(any(holds(each, values) for each in clause) for clause in clauses)


def test_an_implication_binds_only_where_its_condition_holds():
    """What is implied is left out, for it costs, until its condition is asked for."""
    choice = Choice()
    condition, cheap, dear = (choice.variable() for _ in range(3))
    choice.implies(condition, [cheap, dear])
    choice.minimise({cheap: 2, dear: 3})
    assert choice.solve().chosen.isdisjoint({cheap, dear})
    choice.any_of([condition])
    assert choice.solve().chosen == {condition, cheap}


def test_of_nothing_one_cannot_be_chosen():
    """An empty clause makes the whole model infeasible."""
    choice = Choice()
    choice.any_of([])
    answer = choice.solve()
    assert answer.feasible is False
    assert answer.chosen == frozenset()


def pigeons(count: int) -> Choice:
    """One more pigeon than holes: hard to refute by clauses alone."""
    choice = Choice()
    at = [[choice.variable() for _ in range(count)] for _ in range(count + 1)]
    for pigeon in at:
        choice.any_of(pigeon)
    for hole in range(count):
        for one, other in itertools.combinations(range(count + 1), 2):
            choice.any_of([-at[one][hole], -at[other][hole]])
    return choice


def test_a_search_without_effort_says_that_it_does_not_know():
    """Neither found nor refuted is a third answer, not a guess."""
    assert pigeons(14).solve(effort=1e-9).feasible is None


def test_a_search_can_be_stopped():
    """Who waits says stop, and the search ends with `Stopped`."""
    with pytest.raises(Stopped, match="the cheapest choice was stopped"):
        pigeons(40).solve(effort=1e6, seconds=50, progress=Stoppable(lambda: True))


def test_the_door_loads_nothing_heavy_before_something_is_solved():
    """Importing the door and building a model loads neither OR-Tools nor numpy."""
    code = (
        "import sys; from putback.solvers import Choice; Choice().variable();"
        "print([m for m in ('ortools', 'numpy', 'pandas') if m in sys.modules])"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"
