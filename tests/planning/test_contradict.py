"""The smallest set of facts that make a goal impossible, against trying all sets of them."""

from itertools import combinations, pairwise
from math import comb

import pytest
from hypothesis import event, given
from hypothesis import strategies as st

from putback.errors import ImpossibleGoal
from putback.planning.impossible.contradict import smallest_contradiction
from putback.planning.impossible.facts import facts_of
from putback.planning.posing.fact import Fact, Sort
from putback.planning.posing.pose import pose, targets_of
from putback.planning.strip import plan_strip
from putback.vehicle.goal import Goal
from tests.makers import standing, vehicle
from tests.planning.brute import TooMany
from tests.planning.brute_facts import in_reach
from tests.planning.hand_made import state_of
from tests.strategies.planning import Case, cases

MOST_SETS = 300


def posed(case: Case):
    """The problem of a case, and what is asked for."""
    problem = pose(case.vehicle, case.state, {*case.goal.on, case.goal.datum})
    return problem, targets_of(problem, case.state, case.goal)


@pytest.mark.timeout(300)
@given(cases(jobs=1, largest=3))
def test_no_smaller_set_contradicts_itself_and_no_smaller_change_would_do(case):
    """Of all sets with one fact less, with each the goal is in reach; and as for the change."""
    problem, targets = posed(case)
    facts = facts_of(problem, targets)

    def reaches(only) -> bool:
        return in_reach(case.vehicle, case.state, case.goal, set(only))

    try:
        if not reaches(facts):
            look_at(facts, smallest_contradiction(problem, targets), reaches)
    except TooMany:
        event("too many positions to try")


LINKS = (
    "{} blocks {} - frame",
    "{} - frame before {} - frame: so",
    "{} or {other} blocks {} - frame",
)


@st.composite
def rows(draw):
    """Parts in a row, each barring the next in some way; the last is asked for, one is kept.

    It takes four facts and more to say why the last cannot come off.
    """
    names = ("a", "b", "c", "d")[: draw(st.integers(3, 4))]
    links = [
        draw(st.sampled_from(LINKS)).format(first, then, other=draw(st.sampled_from(names)))
        for first, then in pairwise(names)
    ]
    stood = draw(st.booleans())
    standings = (
        standing("wheels", "a", stands=5.0),
        standing("stands", "frame", wheels=5.0),
    )
    where = "; in stands" if stood else ""
    of = vehicle(
        f"a - frame: 1 clip{where}",
        *(f"{name} - frame: 1 clip" for name in names[1:]),
        *links,
        *(standings if stood else ()),
        datum="frame",
    )
    goal = Goal("g", "last off", "frame", off=(names[-1],), on=("frame", "a"))
    return of, state_of(of, standing="wheels" if stood else None), goal


@given(rows())
def test_so_it_is_where_it_takes_four_facts_and_more(row):
    """Of all sets with one fact less, with each the goal is in reach."""
    hold_against_every_set(*row)


RING = (
    "{0} blocks {1}",
    "{0} before {1}: so",
    "{0} never after {1}",
    "{0} or {2} blocks {1} - frame",
)


@st.composite
def rings(draw):
    """Parts in a ring, each to be off before the next in some way; several are asked for.

    Where each may only not come after the next, no one of them is shut out by itself.
    """
    names = ("a", "b", "c", "d")[: draw(st.integers(2, 4))]
    links = [
        draw(st.sampled_from(RING)).format(first, then, draw(st.sampled_from(names)))
        for first, then in pairwise((*names, names[0]))
    ]
    of = vehicle(*(f"{name} - frame: 1 clip" for name in names), *links, datum="frame")
    asked = draw(st.lists(st.sampled_from(names), min_size=1, max_size=4, unique=True))
    kept = draw(st.lists(st.sampled_from(names), max_size=1))
    off = tuple(each for each in asked if each not in kept)
    return of, state_of(of), Goal("g", "off", "frame", off=off, on=("frame", *kept))


@given(rings())
def test_so_it_is_where_orders_close_a_ring(ring):
    """Of all sets with one fact less, with each the goal is in reach."""
    hold_against_every_set(*ring)


def hold_against_every_set(of, state, goal) -> None:
    """Pose it, and look at what contradicts where the goal is out of reach."""
    problem = pose(of, state, {*goal.on, goal.datum})
    targets = targets_of(problem, state, goal)
    facts = facts_of(problem, targets)

    def reaches(only) -> bool:
        return in_reach(of, state, goal, set(only))

    if not reaches(facts):
        found = smallest_contradiction(problem, targets)
        look_at(facts, found, reaches, most=1500)
        event(f"{len(found.facts)} facts")


def look_at(facts, found, reaches, most=MOST_SETS) -> None:
    """Whether what was found is what trying every set finds."""
    assert found.smallest
    assert not reaches(found.facts)
    event(f"{len(found.facts)} of {len(facts)} facts, {len(found.changes[0])} to change")
    if comb(len(facts), len(found.facts) - 1) <= most:
        assert all(map(reaches, combinations(facts, len(found.facts) - 1)))
    for change in found.changes:
        assert reaches(set(facts).difference(change))
    fewer = len(found.changes[0]) - 1
    if comb(len(facts), fewer) <= most:
        for change in combinations(facts, fewer):
            assert not reaches(set(facts).difference(change))


def test_a_standing_that_is_opened_bears_on_parts_as_any_other():
    """What comes off anywhere but in the standing that is marked wrong does not come off there."""
    v = vehicle(
        "a - frame: 1 clip",
        "b - frame: 1 clip",
        standing("one", "b", other=5.0),
        standing("other", "a", one=5.0, wrong=True),
        datum="frame",
    )
    state, goal = state_of(v), v.goals["bare"]
    problem = pose(v, state, ["frame"])
    targets = targets_of(problem, state, goal)
    found = smallest_contradiction(problem, targets)
    facts = facts_of(problem, targets)
    enough = [f for f in found.facts if in_reach(v, state, goal, set(facts) - {f})]
    asked, bears = Fact(Sort.ASKED, "part:b"), Fact(Sort.BEARS, "one", "b")
    assert set(enough) == {asked, bears}
    assert found.changes == ((bears,),)


def test_what_keeps_from_standing_as_now_again_is_among_the_facts():
    """To be back in one, b would have to be off, which is to stay on: so nothing alone will do."""
    v = vehicle(
        "a - frame: 1 clip; crack in other",
        "b - a - frame: 1 clip",
        "a - d: 1 clip",
        "a blocks a - d",
        standing("one", other=5.0, needs_off=("b",)),
        standing("other", "d", one=5.0),
        datum="frame",
    )
    goal = Goal("g", "off", "frame", off=("a",), on=("b",), off_rest=True)
    state = state_of(v, standing="one")
    problem = pose(v, state, ["frame", "b"])
    targets = targets_of(problem, state, goal)
    facts = facts_of(problem, targets)
    assert Fact(Sort.KEPT, "b") in facts
    assert not any(in_reach(v, state, goal, set(facts) - {fact}) for fact in facts)
    (change,) = smallest_contradiction(problem, targets).changes
    assert len(change) == 2
    assert in_reach(v, state, goal, set(facts).difference(change))


def test_where_the_effort_is_spent_the_set_is_not_called_the_smallest():
    """It contradicts itself all the same: here all facts there are, none of them tried."""
    v = vehicle(
        "wheel - frame: 1 clip; in stands",
        "axle - frame: 1 clip; in wheels",
        "wheel before axle - frame: so",
        standing("wheels", "wheel", stands=5.0),
        standing("stands", "frame", wheels=5.0),
        datum="frame",
    )
    state, goal = state_of(v, standing="wheels"), v.goals["bare"]
    problem = pose(v, state, ["frame"])
    targets = targets_of(problem, state, goal)
    found = smallest_contradiction(problem, targets, effort=0)
    assert not found.smallest
    assert set(smallest_contradiction(problem, targets).facts) < set(found.facts)
    assert not in_reach(v, state, goal, set(found.facts))


def test_a_standing_that_nobody_described_is_named_as_it_was_said():
    """A joint may name it before it is described, or after it was taken back."""
    v = vehicle(
        "a - frame: 1 clip; in pit",
        "b - frame: 1 clip",
        standing("wheels", "frame"),
        datum="frame",
    )
    with pytest.raises(ImpossibleGoal) as told:
        plan_strip(v, state_of(v, standing="wheels"), v.goals["bare"])
    assert "“pit”" in str(told.value)
