"""The rebuild as a whole: contradictions named, set-up counted, the same plan each time."""

import pytest

from putback.errors import ImpossibleGoal, Stopped
from putback.planning.plan import Action, PlanSettings
from putback.planning.rebuild import plan_rebuild
from putback.progress import Stoppable
from tests.makers import vehicle
from tests.planning.rebuilding import apart, plan_of, unit, with_part


def test_facts_that_contradict_each_other_are_named():
    """Each of the smallest set in words, with its reason."""
    car = vehicle(
        "a - frame",
        "b - frame",
        "c - frame",
        "a before b: one (rebuild)",
        "b before a: other (rebuild)",
        datum="frame",
    )
    with pytest.raises(ImpossibleGoal) as told:
        plan_rebuild(car, apart(car, "a-frame", "a", "b-frame", "b", "c-frame", "c"))
    assert set(told.value.reasons) == {
        "“a” goes on before “b” goes on (a comes first: one)",
        "“b” goes on before “a” goes on (b comes first: other)",
    }


def test_no_way_out_of_two_is_told():
    """Each of two covers has to go on before the pump, and either would do later."""
    car = vehicle(
        "a - frame",
        "b - frame",
        "pump - frame",
        "a or b blocks pump: no room",
        "a before pump: it carries it (rebuild)",
        "b before pump: it guides it (rebuild)",
        datum="frame",
    )
    order = ["a-frame", "a", "pump-frame", "pump", "b-frame", "b"]
    with pytest.raises(ImpossibleGoal, match="in the way of the pump: no room"):
        plan_rebuild(car, apart(car, *order))


def test_set_up_is_counted_as_a_person_walks():
    """Each change of zone and tool costs what the settings say, and the bound is below."""
    car = vehicle("a - frame; zone front; tool key", "b - frame; zone rear", datum="frame")
    car = with_part(with_part(car, "a", zone="front"), "b", zone="rear")
    state = apart(car, "a-frame", "a", "b-frame", "b")
    plan = plan_rebuild(car, state, PlanSettings(zone_minutes=7, tool_minutes=1))
    assert plan.setup_minutes == 7
    assert plan.bound_minutes == plan.work_minutes + 7
    assert plan.work_minutes == 20


def test_the_plan_is_always_the_same():
    """The same state gives the same plan."""
    car = unit()
    state = apart(car, "engine-frame", "unit=engine+clutch+gearbox", "gearbox-engine")
    assert plan_rebuild(car, state) == plan_rebuild(car, state)


def test_the_planning_can_be_stopped():
    """Whoever waits may give up."""
    car = vehicle("lid - frame", datum="frame")
    with pytest.raises(Stopped):
        plan_rebuild(car, apart(car, "lid-frame", "lid"), progress=Stoppable(lambda: True))


def test_actions_are_those_of_the_rebuild():
    """Nothing is undone on the way back."""
    car = unit()
    plan = plan_of(car, apart(car, "engine-frame", "unit=engine+clutch+gearbox"))
    assert not {step.action for step in plan.steps} & {Action.UNDO, Action.TAKE_OFF, Action.CRACK}
