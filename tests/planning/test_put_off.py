"""What is put off, and all that needs it, is planned behind everything that does not."""

from dataclasses import replace
from datetime import date

import pytest
from hypothesis import assume, event, given
from hypothesis import strategies as st

from putback.errors import ImpossibleGoal
from putback.logbook.common import Common, NotNow, Said
from putback.logbook.entries.judging import Hindrance
from putback.planning.check import StripRule, check_strip
from putback.planning.ordering.put_off import in_force
from putback.planning.plan import PlanSettings
from putback.planning.strip import plan_strip
from putback.vehicle.ids import split_ref
from tests.makers import standing, vehicle
from tests.planning.hand_made import state_of
from tests.strategies.planning import cases

LATER = Said("late", "somebody", ((9, 0, 0, "late"),))


def put_off(state, *things: str, until: str = ""):
    """The same state, with these put off."""
    not_now = NotNow(LATER, Hindrance.NO_PART, until=until)
    others = {thing: Common(put_off=not_now) for thing in things}
    return replace(state, others={**state.others, **others})


def order(plan) -> list[str]:
    """What the plan deals with, in its order."""
    return [step.what for step in plan.steps]


PUMP = vehicle(
    "lid - frame", "pump - frame", "bracket - frame", "lid blocks pump - frame", datum="frame"
)


def test_a_part_put_off_comes_last_with_what_needs_it():
    """The lid covers the pump, so both wait; the bracket, that comes last by itself, does not."""
    (goal,) = PUMP.goals.values()
    usual = plan_strip(PUMP, state_of(PUMP), goal)
    assert order(usual)[2] == "part:lid"
    plan = plan_strip(PUMP, put_off(state_of(PUMP), "part:lid"), goal)
    assert set(order(plan)[:3]) == {"joint:lid-frame", "joint:bracket-frame", "part:bracket"}
    assert order(plan)[3:] == ["part:lid", "joint:pump-frame", "part:pump"]


def test_what_was_put_off_until_a_day_is_planned_as_usual_from_that_day():
    """The day before it is late; on the day itself it is not any more."""
    (goal,) = PUMP.goals.values()
    state = put_off(state_of(PUMP), "joint:lid-frame", until="2031-06-02")
    usual = order(plan_strip(PUMP, state_of(PUMP), goal))
    days = [date(2031, 6, 1), date(2031, 6, 2), None]
    plans = [order(plan_strip(PUMP, state, goal, PlanSettings(today=day))) for day in days]
    assert [plan == usual for plan in plans] == [False, True, False]
    assert in_force(state, days[0]) == {"joint:lid-frame"}
    assert in_force(state, days[1]) == frozenset()


def test_what_ends_the_standing_that_a_late_job_needs_is_late_as_well():
    """On the stands under the arm only: so the arm stays on until the late joint is undone."""
    v = vehicle(
        "arm - frame",
        "pipe - frame; in low",
        "lamp - frame",
        standing("low", "arm", high=5.0),
        standing("high", "frame", low=5.0),
        datum="frame",
    )
    (goal,) = v.goals.values()
    state = put_off(state_of(v, standing="low"), "joint:pipe-frame")
    plan = plan_strip(v, state, goal)
    assert check_strip(v, state, goal, plan) == ()
    steps = order(plan)
    assert steps.index("part:lamp") < steps.index("joint:pipe-frame") < steps.index("part:arm")


@given(cases(standings=False, jobs=1), st.data())
def test_nothing_that_could_come_first_waits_for_what_is_put_off(case, data):
    """Each step behind the first late one breaks a rule if it is moved before it.

    Where nothing is begun that must be ended in one standing: that waits for its end.
    """
    assume(not case.vehicle.temporary_supports)
    things = [f"joint:{each}" for each in case.vehicle.joints]
    things += [f"part:{each}" for each in case.vehicle.parts]
    chosen = data.draw(st.sets(st.sampled_from(things), min_size=1, max_size=2))
    state = put_off(case.state, *chosen)
    try:
        plan = plan_strip(case.vehicle, state, case.goal)
    except ImpossibleGoal:
        return
    assert check_strip(case.vehicle, state, case.goal, plan) == ()
    late = [at for at, step in enumerate(plan.steps) if chosen & clears(case.vehicle, step.what)]
    assume(late)
    event(f"{len(plan.steps) - late[0] - 1} steps behind the first late one")
    for at in range(late[0] + 1, len(plan.steps)):
        if at in late:
            continue
        step, rest = plan.steps[at], plan.steps[:at] + plan.steps[at + 1 :]
        moved = replace(plan, steps=(*rest[: late[0]], step, *rest[late[0] :]))
        faults = check_strip(case.vehicle, state, case.goal, moved)
        assert any(fault.rule is not StripRule.COST for fault in faults)


def clears(v, what: str) -> set[str]:
    """The thing itself; of a whole, its parts as well."""
    kind, identity = split_ref(what)
    parts = v.assemblies[identity].parts if kind == "assembly" else ()
    return {what, *(f"part:{part}" for part in parts)}


@given(cases(), st.data())
def test_to_put_off_makes_no_goal_impossible(case, data):
    """With standings, jacks and sittings as well: what can be planned still can, rightly."""
    things = [f"joint:{each}" for each in case.vehicle.joints]
    things += [f"job:{each}" for each in case.vehicle.jobs]
    state = put_off(case.state, *data.draw(st.sets(st.sampled_from(things), max_size=3)))
    try:
        plan_strip(case.vehicle, case.state, case.goal)
    except ImpossibleGoal:
        with pytest.raises(ImpossibleGoal):
            plan_strip(case.vehicle, state, case.goal)
        return
    plan = plan_strip(case.vehicle, state, case.goal)
    assert check_strip(case.vehicle, state, case.goal, plan) == ()
