"""What a plan keeps to: with all of that the goal is in reach, by trying every order."""

import pytest
from hypothesis import event, given

from putback.planning.impossible.relax import facts_of, relaxed
from putback.planning.impossible.witness import broken_by
from putback.planning.plan import USUAL
from putback.planning.posing.fact import Fact, Sort
from putback.planning.posing.pose import pose, targets_of
from putback.planning.search.arrange import Bout, arrange
from putback.planning.search.choose import Contradiction, cheapest
from putback.planning.search.exhaust import NoOrderFound, exhaust
from putback.planning.search.field import Rules
from putback.vehicle.goal import Goal
from putback.vehicle.standing import TemporarySupport
from tests.makers import standing, vehicle
from tests.planning.brute import TooMany
from tests.planning.brute_facts import in_reach
from tests.planning.hand_made import state_of
from tests.planning.test_contradict import posed
from tests.strategies.planning import cases


def plans(problem, targets):
    """Plans for a problem, found in two ways, each with the rules it keeps to."""
    try:
        chosen = cheapest(problem, targets, minutes=lambda node: node.minutes)
        rules = Rules(problem, [chosen.nodes], watched=False, settings=USUAL)
        bouts = arrange(rules)
        if bouts is not None:
            yield rules, bouts
        tried = exhaust(problem, targets, USUAL, patience=500)
        if tried is not None:
            yield tried
    except (Contradiction, NoOrderFound):
        event("no plan")


@pytest.mark.timeout(300)
@given(cases(jobs=1, largest=3))
def test_with_all_that_a_plan_keeps_to_the_goal_is_in_reach(case):
    """Whatever was so when it was planned: nothing, or one half of the facts."""
    problem, targets = posed(case)
    facts = facts_of(problem, targets)
    for some in ((), facts[::2], facts[1::2]):
        for rules, bouts in plans(*relaxed(problem, targets, frozenset(some))):
            broken = broken_by(problem, targets, rules, bouts)
            if broken is not None:
                kept = set(facts) - broken
                event(f"{len(kept)} of {len(facts)} facts kept to")
                try:
                    assert in_reach(case.vehicle, case.state, case.goal, kept)
                except TooMany:
                    event("too many positions to try")


def broken(v, moves, standing, off) -> set[Fact]:
    """What an order of things breaks, each with the standing it is done in."""
    state = state_of(v, standing=standing)
    goal = Goal("g", "off", "frame", off=off)
    problem = pose(v, state, ["frame"])
    targets = targets_of(problem, state, goal)
    bouts = [Bout(stood, problem.providers[ref]) for ref, stood in moves]
    nodes = [node for bout in bouts for node in bout.moves]
    rules = Rules(problem, [nodes], watched=False, settings=USUAL)
    return set(broken_by(problem, targets, rules, bouts))


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
