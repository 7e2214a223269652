"""Why one thing comes before another in every plan: chains of facts, in the trade's words."""

from dataclasses import replace

import pytest
from hypothesis import event, given
from hypothesis import strategies as st

from putback.errors import BadInput
from putback.planning.always import always_before, freed_now
from putback.planning.plan import PlanSettings
from putback.planning.posing.pose import pose, targets_of
from putback.planning.strip import plan_strip
from putback.planning.why import why_before, why_not_next
from putback.vehicle.assembly import Assembly
from putback.vehicle.facts import Before
from putback.vehicle.goal import Goal
from putback.vehicle.standing import TemporarySupport
from tests.makers import standing, vehicle
from tests.planning.brute import Brute, TooMany
from tests.planning.hand_made import likely, state_of
from tests.strategies.planning import cases


def asked(v, first, then, goal=None, **state):
    """What is said of two things of a vehicle."""
    goal = goal or next(iter(v.goals.values()))
    s = state_of(v, **state)
    problem = pose(v, s, {*goal.on, goal.datum})
    return always_before(problem, targets_of(problem, s, goal), first, then)


def told(found) -> list[str]:
    """A chain in words."""
    return [str(link) for link in found.chain]


def test_a_chain_is_told_fact_by_fact_and_so_is_what_would_free_it():
    """The pump waits for the hose by its reason, the hose's joint for the lid over it."""
    v = vehicle(
        "lid - frame",
        "hose - frame",
        "pump - frame",
        "lid blocks hose - frame: over it",
        "hose before pump: it drips",
        datum="frame",
    )
    found = asked(v, "part:lid", "part:pump")
    assert told(found) == [
        "hose comes before pump: it drips",
        "hose-frame holds hose and frame together",
        "lid in the way of hose-frame: over it",
    ]
    assert len(found.change) == 1
    assert found.change[0] in {
        "pump did not have to wait for hose (before b1)",
        "hose-frame did not hold hose and frame together",
        "hose-frame could be undone without lid off first (obstruction o1)",
    }
    assert asked(v, "part:pump", "part:lid") is None


def test_of_two_chains_the_shorter_is_told():
    """The lid is in the way of the pump itself, too: no word of the hose."""
    v = vehicle(
        "lid - frame",
        "hose - frame",
        "pump - frame",
        "lid blocks hose - frame",
        "hose before pump: it drips",
        "lid blocks pump: no room",
        datum="frame",
    )
    found = asked(v, "part:lid", "part:pump")
    assert told(found) == ["lid in the way of pump: no room"]
    assert len(found.change) == 2


def test_where_one_of_two_is_enough_both_must_lead_there():
    """Whichever of cap and hood is off first, the catch was undone before."""
    said = (
        "cap - frame",
        "hood - frame",
        "catch = peg - frame",
        "strap = tank - frame",
        "cap or hood blocks strap: from above",
        "catch before hood: locked",
    )
    assert asked(vehicle(*said, datum="frame"), "joint:catch", "part:tank") is None
    v = vehicle(*said, "catch before cap: locked too", datum="frame")
    assert told(asked(v, "joint:catch", "part:tank"))[:2] == [
        "strap holds tank and frame together",
        "cap or hood in the way of strap: from above (whichever of cap or hood is taken)",
    ]


def test_a_standing_is_a_link():
    """The pipe is done only with the body off, so the body's mounting comes first."""
    v = vehicle(
        "body - frame",
        "pipe - frame: 1 clip; in bodyless",
        standing("wheels", bodyless=5.0),
        standing("bodyless", needs_off=("body",)),
        datum="frame",
    )
    found = asked(v, "joint:body-frame", "joint:pipe-frame", standing="wheels")
    assert told(found) == [
        "pipe-frame is done only “bodyless”",
        "to stand “bodyless”, body must be off",
        "body-frame holds body and frame together",
    ]


def test_what_the_supports_bear_on_goes_after_what_they_are_needed_for():
    """The nut is done on the wheels only, and nobody stands on them once they are off."""
    v = vehicle(
        "wheel - frame",
        "hub - frame: 1 nut M12; in wheels",
        standing("wheels", "wheel", stands=5.0),
        standing("stands", "frame", wheels=5.0),
        datum="frame",
    )
    found = asked(v, "joint:hub-frame", "part:wheel", standing="wheels")
    assert told(found) == ["“wheels” bears on wheel; hub-frame is done only “wheels”"]


def test_what_is_too_late_afterwards_comes_first():
    """The rod cannot be done after the lid, and both are asked for."""
    v = vehicle("rod - frame", "lid - frame", "rod never after lid", datum="frame")
    found = asked(v, "part:rod", "part:lid")
    assert told(found) == ["rod cannot be done any more after lid"]
    assert found.change == ("rod could still be done after lid (harder after h1)",)


def test_two_that_come_off_together_have_no_chain_of_facts():
    """Engine and gearbox come out as one here, since nothing else is possible."""
    v = vehicle(
        "engine - frame",
        "bell = engine - gearbox",
        "gearbox blocks bell",
        Assembly("unit", "the unit", ("engine", "gearbox"), likely(10)),
    )
    goal = Goal("g", "engine out", "frame", off=("engine", "gearbox"))
    found = asked(v, "joint:engine-frame", "part:gearbox", goal)
    assert "engine-frame holds engine and frame together" in told(found)


def test_what_would_have_to_change_for_a_thing_to_be_next():
    """The joint still holds it, and the lid is in its way: both, and no less."""
    v = vehicle("lid - frame", "pump - frame", "lid blocks pump: no room", datum="frame")
    s = state_of(v)
    assert set(why_not_next(v, s, v.goals["bare"], "part:pump")) == {
        "pump could come off without lid off first (obstruction o1)",
        "pump-frame did not hold pump and frame together",
    }
    assert why_not_next(v, s, v.goals["bare"], "joint:lid-frame") == ()


# -- where no fact says so ------------------------------------------------------------------


def test_what_of_cost_puts_it_first_is_told():
    """The rod takes three times as long without the lid to hold it by: the plan has it first."""
    v = vehicle("rod - frame", "lid - frame", "rod - frame harder after lid x 3", datum="frame")
    s, goal = state_of(v), v.goals["bare"]
    plan = plan_strip(v, s, goal)
    said = why_before(v, s, plan, goal, "joint:rod-frame", "part:lid")
    assert (said.always, said.never, said.first_in_plan) == (None, None, True)
    assert said.other.longer_minutes == said.other.more.work_minutes == 20.0
    assert [fact.id for fact in said.other.harder] == ["h1"]
    back = why_before(v, s, plan, goal, "part:lid", "joint:rod-frame")
    assert (back.first_in_plan, back.other, back.together) == (False, None, ())


def test_what_is_not_in_the_plan_comes_before_nothing():
    """A lid that is off already is refused, either way round, and so is a thing before itself."""
    v = vehicle("rod - frame", "lid - frame", "rod - frame harder after lid x 3", datum="frame")
    s, goal = state_of(v, undone=("lid-frame",), off=("lid",)), v.goals["bare"]
    plan = plan_strip(v, s, goal)
    for first, then in (("part:lid", "part:rod"), ("part:rod", "part:lid")):
        with pytest.raises(BadInput, match=r"lid is not in the plan.*still to be done"):
            why_before(v, s, plan, goal, first, then)
    with pytest.raises(BadInput, match="before itself"):
        why_before(v, s, plan, goal, "part:rod", "part:rod")


def test_a_part_of_a_whole_is_in_the_plan_where_the_whole_is():
    """Nobody takes the gearbox off by name; its unit comes off after the lid."""
    v = vehicle(
        "lid - frame",
        "engine - frame; 10 min",
        "engine - gearbox; 45 min",
        "gearbox - frame; 10 min",
        "lid blocks engine: over it",
        Assembly("unit", "unit", ("engine", "gearbox", "starter"), likely(20)),
        "starter - engine",
        datum="frame",
    )
    s = state_of(v, undone=("starter-engine",), off=("starter",))
    goal = Goal("out", "engine out", "frame", off=("engine", "gearbox"), on=("frame",))
    plan = plan_strip(v, s, goal)
    assert "assembly:unit" in {step.what for step in plan.steps}
    said = why_before(v, s, plan, goal, "part:lid", "part:gearbox")
    assert said.first_in_plan
    with pytest.raises(BadInput, match="starter is not in the plan"):
        why_before(v, s, plan, goal, "part:starter", "part:gearbox")


def test_facts_that_only_together_forbid_the_other_order_are_told():
    """Nothing may change while the engine hangs, so what is done elsewhere comes before it."""
    v = vehicle(
        "mount = engine - frame: 1 clip; in stands",
        "pan = cover - frame: 1 clip; in wheels",
        "pan before engine: so",
        standing("wheels", stands=5.0),
        standing("stands", wheels=5.0),
        TemporarySupport("x", "hoist", "engine", "joint:mount", "part:engine"),
        datum="frame",
    )
    s, goal = state_of(v, standing="wheels"), v.goals["bare"]
    said = why_before(v, s, plan_strip(v, s, goal), goal, "joint:pan", "joint:mount")
    assert said.always is None
    assert "engine is on a hoist: no change of standing meanwhile" in said.together


# -- against trying every order -------------------------------------------------------------


@pytest.mark.timeout(300)
@given(cases(jobs=1, largest=3), st.data())
def test_what_comes_first_in_every_plan_comes_first_in_every_order(case, data):
    """Where a chain is told, no order of steps at all reaches the goal the other way round."""
    v, s, goal = case.vehicle, case.state, case.goal
    problem = pose(v, s, {*goal.on, goal.datum})
    open_still = sorted(ref for ref, by in problem.providers.items() if by)
    if len(open_still) < 2:
        return
    pair = st.lists(st.sampled_from(open_still), min_size=2, max_size=2, unique=True)
    first, then = data.draw(pair)
    found = always_before(problem, targets_of(problem, s, goal), first, then)
    fact = Before("other way", then, first, "to see")
    other = v.with_records(befores={**v.befores, fact.id: fact})
    state = replace(s, vehicle=other)
    brute = Brute(other, state, PlanSettings(), {*goal.on, goal.datum}, plain=True)
    brute.most_positions = 20_000
    goal_reached = brute.reached(goal)

    def reached(at) -> bool:
        return {first, then} <= at.cleared and goal_reached(at)

    try:
        other_way = brute.comes_to(reached)
    except TooMany:
        return
    if found is not None:
        assert not other_way
    told = "a chain" if found else "free" if other_way else "no chain, and yet no order"
    event(told)


def test_what_is_freed_is_free_at_once():
    """A job that nothing holds up needs no change."""
    v = vehicle("lid - frame", datum="frame")
    s, goal = state_of(v), v.goals["bare"]
    problem = pose(v, s, {"frame"})
    assert freed_now(problem, targets_of(problem, s, goal), "joint:lid-frame") == ()
