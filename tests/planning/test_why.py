"""Why a step stands where it stands, and what it is good for."""

from putback.planning.strip import plan_strip
from putback.planning.why import what_for, why_not_before
from putback.vehicle.assembly import Assembly
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
