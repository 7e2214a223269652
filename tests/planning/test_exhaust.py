"""Trying every order: only where arranging gets stuck, and honest where patience ends."""

from dataclasses import replace

import pytest

from putback.errors import ImpossibleGoal
from putback.planning.check import check_strip
from putback.planning.impossible.attempt import attempt
from putback.planning.impossible.exhaust import NoOrderFound, exhaust
from putback.planning.impossible.facts import facts_of
from putback.planning.impossible.laid import Laid
from putback.planning.impossible.witness import broken_by
from putback.planning.ordering.price import price, total_minutes
from putback.planning.plan import USUAL
from putback.planning.posing.pose import pose, targets_of
from putback.planning.reach import reach
from putback.planning.search.arrange import Bout, without_needless_cracks
from putback.planning.search.field import Rules
from putback.planning.strip import plan_strip
from putback.vehicle.goal import Goal
from putback.vehicle.standing import TemporarySupport
from tests.makers import standing, vehicle
from tests.planning.hand_made import state_of

# Taking the wheel off ends the wheels for good, and any of three parts may come before it.
V = vehicle(
    "wheel - frame: 1 clip; in stands",
    *(f"p{n} - frame: 1 clip; in wheels" for n in range(3)),
    "wheel before p0 - frame: so",
    standing("wheels", "wheel", "p1", stands=30.0),
    standing("stands", "p2", wheels=30.0),
    datum="frame",
)


def posed(v, standing="wheels"):
    """The vehicle's goal as a problem, and what it asks for."""
    state = state_of(v, standing=standing)
    problem = pose(v, state, ["frame"])
    return problem, targets_of(problem, state, v.goals["bare"])


def tried(v, **more):
    """What trying every order gives for the vehicle's goal."""
    return exhaust(*posed(v), USUAL, goal="bare", **more)


def test_where_every_order_fails_there_is_none():
    """The parts can only come off on the wheels, of which one is to be off before."""
    assert tried(V) is None


def test_where_patience_ends_first_nobody_knows():
    """The error says how far it got, and does not call the goal impossible."""
    with pytest.raises(
        NoOrderFound, match="no order was found for 'bare' among the first 0 tried"
    ):
        tried(V, patience=1)


def test_an_order_that_is_found_leaves_out_what_is_not_needed():
    """The other cover is not taken off, though it could have been."""
    v = vehicle("a - frame", "b - frame", "c - frame", "a or b blocks c", "d - frame")
    v = v.with_records(goals={"bare": vehicle("c - frame", datum="frame").goals["bare"]})
    state = state_of(v)
    goal = replace(v.goals["bare"], off=("c",), off_rest=False)
    problem = pose(v, state, ["frame"])
    rules, bouts = exhaust(problem, targets_of(problem, state, goal), USUAL)
    taken = [problem.nodes[move].what for bout in bouts for move in bout.moves]
    assert len(taken) == len(rules.steps) == 4
    assert taken[-1] == "part:c"


@pytest.mark.parametrize(
    ("pump", "standings"),
    [
        (
            "pump - frame: 1 clip; crack in ramp",
            (
                standing("wheels", ramp=5.0, low=5.0),
                standing("ramp", wheels=5.0, needs_off=("lid",)),
                standing("low", wheels=5.0, needs_off=("step",)),
            ),
        ),
        (
            "pump - frame: 1 clip; in stands",
            (
                standing("wheels", ramp=5.0),
                standing("ramp", wheels=5.0, stands=5.0, needs_off=("lid",)),
                standing("stands", ramp=5.0),
            ),
        ),
    ],
    ids=["only to crack a joint", "only to get to another"],
)
def test_what_must_be_off_to_stand_somewhere_for_a_moment_is_not_left_out(pump, standings):
    """The lid comes off before the ramp, though nothing but a crack is done there, or nothing.

    The step stays on, that would have to be off to stand low.
    """
    v = vehicle("lid - frame: 1 clip", "step - frame: 1 clip", pump, *standings, datum="frame")
    goal = Goal("g", "pump off", "frame", off=("pump",))
    state = state_of(v, standing="wheels")
    problem = pose(v, state, ["frame"])
    targets = targets_of(problem, state, goal)
    rules, bouts = exhaust(problem, targets, USUAL)
    assert total_minutes(price(rules, bouts, USUAL)) > 0
    done = [problem.nodes[move].what for each in bouts for move in each.moves if move >= 0]
    assert [what for what in done if "part:" in what] == ["part:lid", "part:pump"]
    found = attempt(Laid(problem, targets, facts_of(problem, targets)), (), patience=50).bouts
    assert broken_by(problem, targets, found) == frozenset()


def test_the_planner_falls_back_on_it_where_the_cheapest_way_gets_stuck():
    """The wheels bear on the cheap cover: without it nobody stands on them to undo the pump."""
    v = vehicle(
        "cheap - frame: 1 clip; 1 min; in stands",
        "dear - frame: 1 clip; 9 min; in stands",
        "pump - frame: 1 clip; in wheels",
        "cheap or dear blocks pump - frame",
        standing("wheels", "cheap", stands=30.0),
        standing("stands", wheels=30.0),
    )
    goal = Goal("g", "pump off", "frame", off=("pump",))
    state = state_of(v, standing="stands")
    plan = plan_strip(v, state, goal)
    assert check_strip(v, state, goal, plan) == ()
    assert "part:dear" in {step.what for step in plan.steps}
    found = reach(v, state, "part:pump")
    assert (found.minutes, found.optimal) == (19.0, False)


def test_what_binds_to_standings_that_shut_each_other_out_is_told():
    """Jacks, needs, what is borne and what is cracked: all that may be at the bottom of it."""
    v = vehicle(
        "a - frame: 1 clip; in wheels",
        "b - frame: 1 clip; in trolley; crack in wheels",
        "c - frame",
        standing("wheels", "c", trolley=30.0),
        standing("trolley", wheels=30.0, needs_off=("c",)),
        TemporarySupport("x", "jack", "a", "joint:a-frame", "joint:b-frame"),
        datum="frame",
    )
    with pytest.raises(ImpossibleGoal) as refused:
        plan_strip(v, state_of(v, standing="trolley"), v.goals["bare"])
    reasons = set(refused.value.reasons)
    both = {"to stand “trolley”, c must be off", "“wheels” bears on c"}
    on_the_trolley = {
        "b is to be off",
        "b-frame holds b and frame together",
        "b-frame is cracked “wheels” first",
    }
    on_the_wheels = {
        "a is to be off",
        "a-frame holds a and frame together",
        "a-frame is done only “wheels”",
    }
    back, rest = "b-frame is done only “trolley”", "c is to be off"  # no way back is open
    assert reasons - both in (
        on_the_trolley | {back},
        on_the_trolley | {rest},
        on_the_wheels | {rest},
    )


def test_what_is_cracked_and_need_not_be_undone_is_not_cracked_either():
    """The goal does without the joint: what the search cracked on the way is left out."""
    v = vehicle("pin - frame", standing("stands", "frame"), datum="frame")
    pin = replace(v.joints["pin-frame"], crack_in="stands")
    v = v.with_records(joints={pin.id: pin})
    problem = pose(v, state_of(v, standing="stands"))
    crack = next(~n for n, node in enumerate(problem.nodes) if node.what == "joint:pin-frame")
    rules = Rules(problem, [range(len(problem.nodes))], settings=USUAL)
    assert [b.moves for b in without_needless_cracks(rules, [Bout("stands", (crack,))])] == [()]
