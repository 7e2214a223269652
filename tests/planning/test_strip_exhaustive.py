"""Strip, bound and reach against trying everything: tiny vehicles with every sort of fact."""

import pytest
from hypothesis import event, given
from hypothesis import strategies as st

from putback.errors import ImpossibleGoal
from putback.planning.check import check_strip
from putback.planning.plan import PlanSettings
from putback.planning.reach import reach
from putback.planning.strip import plan_strip
from tests.planning.brute import Brute, TooMany
from tests.strategies.planning import Case, cases

SETTINGS = PlanSettings(zone_minutes=3.0, tool_minutes=1.0, helper_minutes=4.0)
ROUNDING = 1e-6


def least(case: Case) -> float | None:
    """What the best plan of all takes [min]; ``None`` if the goal is impossible."""
    kept = {*case.goal.on, case.goal.datum}
    brute = Brute(case.vehicle, case.state, SETTINGS, kept)
    return brute.least(brute.reached(case.goal))


@given(cases())
def test_a_plan_is_found_exactly_where_there_is_one_and_lies_above_its_bound(case):
    """It breaks no rule and costs no less than the best of all; the bound costs no more."""
    try:
        best = least(case)
    except TooMany:
        event("too many positions to try")
        return
    if best is None:
        event("impossible")
        with pytest.raises(ImpossibleGoal) as refused:
            plan_strip(case.vehicle, case.state, case.goal, SETTINGS)
        assert refused.value.reasons
        return
    plan = plan_strip(case.vehicle, case.state, case.goal, SETTINGS)
    assert check_strip(case.vehicle, case.state, case.goal, plan, SETTINGS) == ()
    assert plan.unavoidable_minutes <= plan.bound_minutes <= best + ROUNDING
    assert plan.total_minutes >= best - ROUNDING
    over = plan.total_minutes - best
    event("as good as the best of all" if over < ROUNDING else "dearer than the best of all")


@given(cases(), st.data())
def test_reach_takes_exactly_the_least_work(case, data):
    """No way of getting at a thing is less work than what reach gives, wherever there is a way."""
    vehicle = case.vehicle
    things = [f"part:{part}" for part in vehicle.parts]
    things += [f"joint:{joint}" for joint in vehicle.joints]
    things += [f"job:{job}" for job in vehicle.jobs]
    target = data.draw(st.sampled_from(things))
    at_it = {target}
    if target.startswith("part:"):
        joints = vehicle.joints_of[target.removeprefix("part:")]
        at_it |= {f"joint:{joint}" for joint in joints}
    brute = Brute(vehicle, case.state, SETTINGS, plain=True)
    try:
        best = brute.least(lambda at: at_it <= at.cleared)
    except TooMany:
        return
    if best is None:
        with pytest.raises(ImpossibleGoal):
            reach(vehicle, case.state, target, SETTINGS)
        return
    found = reach(vehicle, case.state, target, SETTINGS)
    assert found.minutes >= best - ROUNDING
    assert not found.optimal or found.minutes <= best + ROUNDING
    event("proved the least" if found.optimal else "not proved the least")
