"""What it costs to put a thing off: counted anew from the plans."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from putback.errors import ImpossibleGoal
from putback.planning.check import check_strip
from putback.planning.not_now import what_it_costs
from putback.planning.plan import PlanSettings
from putback.planning.strip import plan_strip
from tests.makers import vehicle
from tests.planning.hand_made import state_of
from tests.strategies.planning import cases

SETTINGS = PlanSettings(zone_minutes=3.0, tool_minutes=1.0)


def test_what_waits_and_what_can_be_done_first():
    """The pump waits for the lid; the bracket does not, and is next."""
    v = vehicle(
        "lid - frame; 4 min",
        "pump - frame; 5 min",
        "bracket - frame; 6 min",
        "lid blocks pump - frame",
        datum="frame",
    )
    (goal,) = v.goals.values()
    cost = what_it_costs(v, state_of(v), goal, "joint:lid-frame", SETTINGS)
    assert cost.waiting == ("part:lid", "joint:pump-frame", "part:pump")
    assert (cost.minutes_more, cost.standings_more, cost.all_waits) == (0, 0, False)
    assert cost.next is not None
    assert cost.next.what == "joint:bracket-frame"
    assert cost.other_minutes == sum(step.minutes for step in cost.plan.steps[:2])
    assert cost.other_jobs == 2


def test_where_all_waits_nothing_is_next():
    """One joint, and one part behind it."""
    v = vehicle("lid - frame", datum="frame")
    (goal,) = v.goals.values()
    cost = what_it_costs(v, state_of(v), goal, "joint:lid-frame", SETTINGS)
    assert (cost.all_waits, cost.next, cost.other_minutes, cost.other_jobs) == (True, None, 0, 0)
    assert cost.is_timed
    untimed = vehicle("lid - frame; 0 min", datum="frame")
    assert not what_it_costs(untimed, state_of(untimed), goal, "joint:lid-frame").is_timed


def test_what_is_not_in_the_plan_costs_nothing():
    """Nobody needs what is undone already."""
    v = vehicle("lid - frame", "lamp - frame", datum="frame")
    (goal,) = v.goals.values()
    now = state_of(v, undone=["lid-frame"], off=["lid"])
    cost = what_it_costs(v, now, goal, "part:lid", SETTINGS)
    assert (cost.in_plan, cost.waiting, cost.minutes_more, cost.all_waits) == (False, (), 0, False)


@given(cases(), st.data())
def test_the_plan_without_it_is_right_and_its_cost_is_the_difference(case, data):
    """Minutes, changes of standing and other work are those of the two plans."""
    try:
        usual = plan_strip(case.vehicle, case.state, case.goal, SETTINGS)
    except ImpossibleGoal:
        return
    if not usual.steps:
        return
    what = data.draw(st.sampled_from([step.what for step in usual.steps]))
    cost = what_it_costs(case.vehicle, case.state, case.goal, what, SETTINGS, usual=usual)
    assert check_strip(case.vehicle, case.state, case.goal, cost.plan, SETTINGS) == ()
    more = cost.plan.total_minutes - usual.total_minutes
    assert cost.minutes_more == pytest.approx(more)
    held = {what, *cost.waiting}
    places = [at for at, step in enumerate(cost.plan.steps) if step.what in held]
    done = [step for step in cost.plan.steps if step.action != "crack" and step.what in held]
    assert {step.what for step in done} <= held
    if cost.next is not None:
        first = next(at for at in places if cost.plan.steps[at].action != "crack")
        ahead = cost.plan.steps[:first]
        assert cost.next == ahead[0]
        assert cost.other_minutes == pytest.approx(
            sum(step.minutes + step.setup_minutes for step in ahead)
        )
