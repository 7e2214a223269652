"""What is put off goes back late, with all that needs it, and says so; never a bar."""

from dataclasses import replace
from datetime import date

import pytest

from putback.planning.check import check_rebuild
from putback.planning.not_now import what_it_costs_in_rebuild
from putback.planning.plan import Action, PlanSettings
from putback.planning.rebuild import plan_rebuild
from putback.vehicle.assembly import Assembly
from tests.makers import vehicle
from tests.planning.hand_made import likely, table
from tests.planning.rebuilding import apart, lines, plan_of, step_in
from tests.planning.test_check_generated_rebuild import CASES, stripped
from tests.planning.test_put_off import put_off

CAR = vehicle(
    "pump - frame; 5 min",
    "lid - pump; 5 min",
    "lamp - frame; 5 min",
    "horn - frame; 5 min",
    datum="frame",
)
APART = apart(
    CAR, "lid-pump", "lid", "lamp-frame", "lamp", "horn-frame", "horn", "pump-frame", "pump"
)


def test_a_part_put_off_goes_back_last_with_what_goes_onto_it():
    """The pump comes first by itself; put off, it and the lid on it come behind lamp and horn."""
    assert lines(plan_of(CAR, APART))[0] == "put on pump"
    late = lines(plan_of(CAR, put_off(APART, "part:pump")))
    assert {line.split()[-1].split("-")[0] for line in late[:6]} == {"lamp", "horn"}
    assert late[6] == "put on pump"
    assert set(late) == set(lines(plan_of(CAR, APART)))


def test_a_joint_put_off_holds_up_only_what_waits_for_it():
    """Made it is, to hold the lamp, but tightened behind all that is free of it."""
    late = lines(plan_of(CAR, put_off(APART, "joint:lamp-frame")))
    assert late[-1] == "tighten lamp-frame"
    assert lines(plan_of(CAR, APART))[-1] != "tighten lamp-frame"


def test_the_step_says_why_it_is_late_and_until_when():
    """As it was logged; nothing else does."""
    plan = plan_of(CAR, put_off(APART, "part:pump", until="2031-06-02"))
    assert step_in(plan, "put on pump").notes[-1] == "put off until 2 Jun 2031, no part"
    assert not any("put off" in " ".join(s.notes) for s in plan.steps if "pump" not in s.what)
    assert step_in(plan_of(CAR, put_off(APART, "part:pump")), "put on pump").notes[-1] == (
        "put off, no part"
    )


def test_from_its_day_on_it_is_planned_as_usual():
    """The day before it is late; on the day itself it is not any more, and says nothing."""
    state = put_off(APART, "part:pump", until="2031-06-02")
    usual = plan_rebuild(CAR, APART)
    days = [date(2031, 6, 1), date(2031, 6, 2), None]
    plans = [plan_rebuild(CAR, state, PlanSettings(today=day)) for day in days]
    assert [plan.steps == usual.steps for plan in plans] == [False, True, False]


def test_where_all_needs_it_all_is_planned_as_ever():
    """It is a preference: what everything waits for still comes first."""
    v = vehicle("sub - frame", "pump - sub", "lid - pump", datum="frame")
    state = apart(v, "lid-pump", "lid", "pump-sub", "pump", "sub-frame", "sub")
    late = lines(plan_of(v, put_off(state, "part:sub")))
    assert late[0] == "put on sub"
    assert set(late) == set(lines(plan_of(v, state)))


def test_a_whole_is_late_where_one_of_its_parts_is_put_off():
    """It went off as one and goes back as one, so all of it waits."""
    v = vehicle(
        "engine - gearbox; 5 min",
        "gearbox - frame; 5 min",
        "lamp - frame; 5 min",
        datum="frame",
    )
    v = replace(v, assemblies=table(Assembly("unit", "unit", ("engine", "gearbox"), likely(9))))
    state = apart(v, "lamp-frame", "lamp", "gearbox-frame", "unit=engine+gearbox")
    assert lines(plan_of(v, state))[0] == "put on unit"
    late = plan_of(v, put_off(state, "part:engine"))
    assert lines(late)[0] == "put on lamp"
    assert "put off, no part" in step_in(late, "put on unit").notes


@pytest.mark.parametrize("case", CASES[:3], ids=str)
def test_generated_rebuilds_stay_right_and_what_is_put_off_comes_no_earlier(case):
    """Whatever is put off: the checker accepts the plan, and it has the same steps."""
    state, usual = stripped(*case)
    first = next(step.what for step in usual.steps if step.action is Action.PUT_ON)
    late = put_off(state, first)
    plan = plan_rebuild(state.vehicle, late)
    assert check_rebuild(state.vehicle, late, plan) == ()
    assert sorted(lines(plan)) == sorted(lines(usual))
    at = lines(plan).index(f"put on {first.partition(':')[2]}")
    assert at >= lines(usual).index(f"put on {first.partition(':')[2]}")


def test_what_putting_off_costs_is_told_of_a_rebuild_too():
    """The lid waits; lamp and horn can be done first, and the rebuild takes no longer."""
    cost = what_it_costs_in_rebuild(CAR, APART, "part:pump")
    assert set(cost.waiting) == {"joint:pump-frame", "part:lid", "joint:lid-pump"}
    assert cost.next.what in {"part:lamp", "part:horn"}
    assert cost.other_minutes == sum(
        step.minutes + step.setup_minutes for step in cost.plan.steps[:6]
    )
    usual = plan_rebuild(CAR, APART)
    assert cost.minutes_more == pytest.approx(cost.plan.total_minutes - usual.total_minutes)
    assert what_it_costs_in_rebuild(CAR, APART, "part:frame").in_plan is False
