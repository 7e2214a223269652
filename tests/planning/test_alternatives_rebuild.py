"""Other orders of a rebuild: right plans of the same steps that gain something one cares about."""

from collections import Counter
from dataclasses import replace

import pytest
from hypothesis import given

from putback.errors import ImpossibleGoal
from putback.planning.again.differ import Aspect, differences, figures
from putback.planning.alternatives import MOST, WORST, Alternative
from putback.planning.alternatives_rebuild import rebuild_alternatives
from putback.planning.check import check_rebuild
from putback.planning.plan import Plan, PlanSettings
from putback.planning.rebuild import plan_rebuild
from putback.planning.replan import Steadiness
from putback.planning.replan_rebuild import replan_rebuild
from putback.vehicle.standing import Zone
from tests.makers import standing, vehicle
from tests.planning.hand_made import likely
from tests.planning.rebuilding import apart
from tests.planning.test_check_generated_rebuild import CASES, stripped
from tests.strategies.rebuilds import torn_vehicles

SETTINGS = PlanSettings(zone_minutes=3.0, tool_minutes=1.0)


def steps_of(plan: Plan) -> Counter[tuple[str, str]]:
    """What is done, in whatever order."""
    return Counter((step.action, step.what) for step in plan.steps)


def looked_for(v, state, settings=SETTINGS) -> tuple[Plan, tuple[Alternative, ...]]:
    """The usual plan and its alternatives, of the same steps, each with a gain told from both."""
    usual = plan_rebuild(v, state, settings)
    found = rebuild_alternatives(v, state, settings, usual=usual)
    assert len(found) <= MOST
    for number, each in enumerate(found):
        assert steps_of(each.plan) == steps_of(usual)
        assert each.plan.work_minutes == pytest.approx(usual.work_minutes)
        assert each.plan.bound_minutes == usual.bound_minutes
        assert each.plan.total_minutes <= WORST * usual.total_minutes + 1e-6
        assert each.minutes_more == pytest.approx(each.plan.total_minutes - usual.total_minutes)
        for other in (usual, *(one.plan for one in found[:number])):
            assert any(line.is_gain for line in differences(v, other, each.plan))
    return usual, found


@given(torn_vehicles())
def test_every_other_order_keeps_to_the_rules(torn):
    """Whatever came apart: the independent checker finds nothing, its accounts included."""
    v, state = torn
    for each in looked_for(v, state)[1]:
        assert check_rebuild(v, state, each.plan, SETTINGS) == ()


@given(torn_vehicles(rebuild_facts=True))
def test_every_other_order_under_facts_of_the_rebuild_keeps_to_them(torn):
    """Trial builds, runs, parts that wait: as the usual plan."""
    v, state = torn
    try:
        _, found = looked_for(v, state)
    except ImpossibleGoal:
        return
    for each in found:
        assert check_rebuild(v, state, each.plan, SETTINGS) == ()


def test_larger_vehicles_have_other_orders_that_keep_to_the_rules():
    """Of generated vehicles with several zones and helpers some have any."""
    found = 0
    for case in CASES[:2]:
        state, _ = stripped(*case)
        for each in looked_for(state.vehicle, state)[1]:
            assert check_rebuild(state.vehicle, state, each.plan, SETTINGS) == ()
            found += 1
    assert found > 0


def test_who_is_alone_gets_on_before_helpers_are_wanted():
    """The heavy part goes on first by the strip turned round; another order leaves it for last."""
    v = vehicle(
        Zone("front", "front"),
        Zone("rear", "rear"),
        "engine - frame: 2 bolt M12 x 40",
        "lamp - frame: 2 bolt M5 x 10",
        "tank - frame: 2 bolt M8 x 20",
    )
    parts = {
        part.id: replace(
            part,
            crew=2 if part.id == "engine" else 1,
            zone="front" if part.id in ("engine", "lamp") else "rear",
            minutes=likely(40),
        )
        for part in v.parts.values()
        if part.id != "frame"
    }
    v = v.with_records(parts=dict(v.parts) | parts)
    state = apart(v, "tank-frame", "tank", "lamp-frame", "lamp", "engine-frame", "engine")
    usual, found = looked_for(v, state)
    first = next(at for at, step in enumerate(usual.steps) if step.crew > 1)
    assert first < 3
    alone = [each for each in found if any(g.aspect is Aspect.ALONE for g in each.gains)]
    other = max((each.plan for each in alone), key=lambda plan: figures(plan).alone_minutes)
    assert figures(other).alone_minutes >= 80
    assert check_rebuild(v, state, other, SETTINGS) == ()

    kept = replan_rebuild(v, state, other, SETTINGS, steadiness=Steadiness(pinned=True))
    assert kept.kept
    assert [step.what for step in kept.plan.steps] == [step.what for step in other.steps]


def test_an_order_that_begins_otherwise_stood_is_kept_where_nobody_said_how_it_stands():
    """Chosen, it is followed as it is; where somebody said how it stands, it is not."""
    v = vehicle(
        "lamp - frame: 2 bolt M5 x 10",
        standing("high", "frame", low=5.0),
        standing("low", "frame", high=5.0),
    )
    state = apart(v, "lamp-frame", "lamp")
    usual = plan_rebuild(v, state)
    other = next(each for each in v.standings if each != usual.start)
    steps = tuple(replace(step, standing=other) for step in usual.steps)
    chosen = replace(usual, start=other, steps=steps)
    kept = replan_rebuild(v, state, chosen, steadiness=Steadiness(pinned=True))
    assert (kept.kept, kept.plan.start) == (True, other)
    assert [step.standing for step in kept.plan.steps] == [other] * len(steps)
    told = apart(v, "lamp-frame", "lamp", standing=usual.start)
    assert not replan_rebuild(v, told, chosen, steadiness=Steadiness(pinned=True)).kept
