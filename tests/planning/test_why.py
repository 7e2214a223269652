"""Why a step stands where it stands, and what it is good for."""

import pytest

from putback.planning.strip import plan_strip
from putback.planning.why import what_for, why_not_before
from putback.vehicle.assembly import Assembly
from putback.vehicle.generate import generate
from tests.makers import vehicle
from tests.planning.hand_made import likely, state_of


def plan_of(*said):
    """A plan that takes all of a vehicle off its frame."""
    v = vehicle(*said, datum="frame")
    return plan_strip(v, state_of(v), v.goals["bare"])


CHAIN = plan_of(
    "lid - frame",
    "hose - frame",
    "pump - frame",
    "lid blocks hose - frame: over it",
    "hose before pump: it drips",
)


def told(links) -> list[tuple[str, str]]:
    """The links as text."""
    return [(link.step.what, link.reason.words) for link in links]


def test_the_chain_leads_back_to_what_could_be_done_at_once():
    """The pump waits for the hose, that for the lid, that for its joint."""
    assert told(why_not_before(CHAIN, "part:pump"))[-4:] == [
        ("part:hose", "hose comes first: it drips"),
        ("joint:hose-frame", "hose-frame still holds it"),
        ("part:lid", "lid in the way: over it"),
        ("joint:lid-frame", "lid-frame still holds it"),
    ]


def test_what_waits_for_nothing_has_no_chain():
    """Neither the first step nor what is not in the plan."""
    assert why_not_before(CHAIN, CHAIN.steps[0].what) == ()
    assert why_not_before(CHAIN, "part:elsewhere") == ()


def test_the_chain_leads_on_to_what_the_goal_asks_for():
    """The lid's joint is undone for the lid; the lid is asked for itself."""
    assert told(what_for(CHAIN, "joint:lid-frame")) == [
        ("part:lid", "lid-frame still holds it"),
    ]
    assert what_for(CHAIN, "part:lid") == ()
    assert what_for(CHAIN, "part:elsewhere") == ()


def test_a_part_that_comes_off_with_a_whole_is_found_there():
    """Nobody took the gearbox off by name, but the unit it belongs to waits for the mounting."""
    plan = plan_of(
        "engine - frame",
        "engine - gearbox: 9 bolt M8; 90 min",
        Assembly("unit", "the unit", ("engine", "gearbox"), likely(10)),
    )
    assert told(why_not_before(plan, "part:gearbox")) == [
        ("joint:engine-frame", "engine-frame still holds it")
    ]


def test_the_shortest_way_to_what_the_goal_asks_for_is_told():
    """The catch holds the peg, which is asked for: no word of the lid's joint and the lid."""
    plan = plan_of("lid - frame", "catch = peg - frame", "catch before lid - frame: locked")
    assert told(what_for(plan, "joint:catch")) == [("part:peg", "catch still holds it")]


@pytest.mark.parametrize("seed", [1, 2])
def test_chains_go_from_fact_to_fact_through_a_generated_plan(seed):
    """Each link is a reason of the step before it; the first is the latest thing waited for."""
    v = generate(30, seed)
    goal = max(v.goals.values(), key=lambda each: (each.off_rest, len(each.off)))
    plan = plan_strip(v, state_of(v), goal)
    steps = {step.what: at for at, step in enumerate(plan.steps)}
    for step in plan.steps:
        at = steps[step.what]
        reasons = plan.steps[at].reasons
        chain = why_not_before(plan, step.what)
        waited = [steps[r.first] for r in reasons if steps.get(r.first, at) < at]
        if chain:
            assert steps[chain[0].step.what] == max(waited)
        for link in chain:
            assert link.reason in reasons
            reasons = link.step.reasons
