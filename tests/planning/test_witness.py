"""What a plan keeps to: with all of that the goal is in reach, by trying every order."""

import pytest
from hypothesis import event, given
from hypothesis import strategies as st

from putback.planning.impossible.attempt import Unknown, attempt
from putback.planning.impossible.facts import facts_of
from putback.planning.impossible.laid import Laid
from putback.planning.impossible.witness import broken_by
from putback.planning.posing.fact import Fact, Sort
from putback.planning.posing.pose import pose, targets_of
from putback.planning.search.arrange import Bout
from putback.vehicle.goal import Goal
from putback.vehicle.standing import TemporarySupport
from tests.makers import standing, vehicle
from tests.planning.brute import TooMany
from tests.planning.brute_facts import in_reach
from tests.planning.hand_made import state_of
from tests.planning.test_contradict import posed
from tests.strategies.planning import cases


@pytest.mark.timeout(300)
@given(cases(jobs=1, largest=3), st.randoms(use_true_random=False))
def test_there_is_a_plan_where_trying_every_order_finds_one_and_it_keeps_to_what_it_says(
    case, draw
):
    """Whatever is given up: all of it, some, or nothing; and what it breaks is of that."""
    problem, targets = posed(case)
    facts = facts_of(problem, targets)
    laid = Laid(problem, targets, facts)
    for share in (1.0, 0.5, 0.2, 0.1, 0.0):
        given_up = {fact for fact in facts if draw.random() < share}
        so = set(facts) - given_up
        try:
            reached = in_reach(case.vehicle, case.state, case.goal, so)
            bouts = attempt(laid, given_up, patience=500).bouts
            assert (bouts is not None) == reached
            if bouts is not None:
                broken = broken_by(problem, targets, bouts, so)
                event(f"{len(broken)} of {len(given_up)} given up are broken")
                assert broken <= given_up
                assert in_reach(case.vehicle, case.state, case.goal, set(facts) - broken)
        except TooMany:
            event("too many positions to try")
        except Unknown:
            event("nobody knows")


def test_where_so_few_states_do_not_tell_nobody_knows():
    """None at all tell nothing; one is enough where nothing does harm."""
    v = vehicle("a - frame: 1 clip", datum="frame")
    problem = pose(v, state_of(v), ["frame"])
    targets = targets_of(problem, state_of(v), v.goals["bare"])
    laid = Laid(problem, targets, facts_of(problem, targets))
    with pytest.raises(Unknown):
        attempt(laid, (), patience=0)
    moves = (*problem.providers["joint:a-frame"], *problem.providers["part:a"])
    assert attempt(laid, (), patience=1)[:2] == ([Bout(None, moves)], 1)


def broken(v, moves, standing, off) -> set[Fact]:
    """What an order of things breaks, each with the standing it is done in."""
    state = state_of(v, standing=standing)
    goal = Goal("g", "off", "frame", off=off)
    problem = pose(v, state, ["frame"])
    targets = targets_of(problem, state, goal)
    bouts = [Bout(stood, problem.providers[ref]) for ref, stood in moves]
    return set(broken_by(problem, targets, bouts))


def test_an_order_that_never_stands_where_a_joint_is_cracked_breaks_that():
    """It keeps to all else, and to all where it stood so at first."""
    v = vehicle(
        "wheel - frame: 4 nut M12; in stands; crack in wheels",
        standing("wheels", stands=30.0),
        standing("stands", wheels=30.0),
        datum="frame",
    )
    moves = [("joint:wheel-frame", "stands"), ("part:wheel", "stands")]
    assert broken(v, moves, "stands", ("wheel",)) == {Fact(Sort.CRACK_FIRST, "wheel-frame")}
    assert broken(v, moves, "wheels", ("wheel",)) == set()


def test_an_order_that_changes_the_standing_over_a_jack_breaks_that():
    """The tank is on the jack from its strap on until its own joint is undone."""
    v = vehicle(
        "strap - frame: 1 clip",
        "tank - frame: 1 clip",
        TemporarySupport("x", "jack", "tank", "joint:strap-frame", "joint:tank-frame"),
        standing("wheels", stands=30.0),
        standing("stands", wheels=30.0),
        datum="frame",
    )
    first, last = "joint:strap-frame", "joint:tank-frame"
    assert broken(v, [(first, "wheels"), (last, "stands")], "wheels", ()) == {Fact(Sort.SPAN, "x")}
    assert broken(v, [(first, "wheels"), (last, "wheels")], "wheels", ()) == set()
