"""What a fresh plan could save is never less than what is said of it, and spares making one."""

from dataclasses import replace

import pytest
from hypothesis import assume, event, given, settings
from hypothesis import strategies as st

from putback.errors import ImpossibleGoal
from putback.logbook.entries.base import Entry
from putback.logbook.entries.judging import Hindrance, PutOff
from putback.logbook.entries.rebuilding import JointMade, Tightness
from putback.logbook.entries.working import JobDone, JointCracked, JointUndone, NoteMade, PartOff
from putback.planning import replan as replanning
from putback.planning.again.prospect import Prospect, could_save
from putback.planning.check import StripRule, check_strip
from putback.planning.ordering.task import set_task
from putback.planning.plan import Action, Plan, PlanSettings
from putback.planning.replan import Steadiness, replan
from putback.planning.strip import plan_strip
from putback.vehicle.generate import generate
from putback.vehicle.ids import split_ref
from tests.makers import vehicle
from tests.makers_logbook import Story
from tests.planning.brute import Brute, TooMany
from tests.planning.hand_made import state_of
from tests.planning.logging import did, logged
from tests.planning.test_put_off import put_off
from tests.strategies.planning import Case, cases

SETTINGS = PlanSettings(zone_minutes=3.0, tool_minutes=1.0, helper_minutes=4.0)
NOTHING = Prospect.of(0.0, frozenset(), SETTINGS)


def entries(*bodies) -> list[Entry]:
    """Bodies, logged by somebody."""
    story = Story()
    for body in bodies:
        story.says("A", body)
    return story.entries


def body_of(step):
    """What is logged when a step is done."""
    identity = split_ref(step.what)[1]
    match step.action:
        case Action.CRACK:
            return JointCracked(joint=identity)
        case Action.UNDO:
            return JointUndone(joint=identity)
        case Action.DO:
            return JobDone(job=identity)
        case _:
            return PartOff(part=identity)


def least(case: Case) -> float:
    """What the best plan of all takes [min]."""
    brute = Brute(case.vehicle, case.state, SETTINGS, {*case.goal.on, case.goal.datum})
    try:
        best = brute.least(brute.reached(case.goal))
    except TooMany:
        best = None
    assume(best is not None)
    return best


def planned(case: Case) -> Plan:
    """The plan of a case, if there is one of any length."""
    try:
        plan = plan_strip(case.vehicle, case.state, case.goal, SETTINGS)
    except ImpossibleGoal:
        plan = Plan(None, (), 0.0, 0.0)
    assume(plan.steps)
    return plan


def may_be_first(case: Case, plan: Plan, at: int) -> bool:
    """Whether a step could be done at once by all rules, held against them by the checker."""
    step = replace(plan.steps[at], standing=plan.start, setup_minutes=0.0)
    alone = replace(plan, steps=(step,))
    rest = {StripRule.GOAL, StripRule.COST}
    faults = check_strip(case.vehicle, case.state, case.goal, alone, SETTINGS)
    return {fault.rule for fault in faults} <= rest


# -- how much could be saved --------------------------------------------------------------------


@settings(max_examples=20)
@given(cases(largest=3, jobs=1), st.data())
def test_no_order_of_all_saves_more_than_is_said(case, data):
    """What could be done first is done out of turn: the least order is looked for among all."""
    plan = planned(case)
    before = Prospect.of(plan.total_minutes - least(case), frozenset(), SETTINGS)
    at = data.draw(st.sampled_from(range(len(plan.steps))))
    step = plan.steps[at]
    assume(step.what.split(":")[0] != "assembly" and may_be_first(case, plan, at))
    state = logged(case.state, step.what, crack=step.action is Action.CRACK)
    if state.standing.standing is None and plan.start is not None:
        state = replace(state, standing=replace(state.standing, standing=plan.start))
    try:
        kept = replan(
            case.vehicle, state, case.goal, plan, SETTINGS, steadiness=Steadiness(pinned=True)
        )
    except ImpossibleGoal:
        return
    task = set_task(case.vehicle, state, case.goal, SETTINGS)
    longer = kept.plan.total_minutes - plan.total_minutes
    said = could_save(before, task.problem, plan, longer, entries(body_of(step)), SETTINGS)
    event("out of turn" if at else "in turn")
    saves = kept.plan.total_minutes - least(replace(case, state=state))
    event("something could be saved" if saves > 1e-6 else "nothing could be saved")
    walk = SETTINGS.zone_minutes + SETTINGS.tool_minutes  # the first of a plan is not counted
    assert saves <= said + walk + 1e-6


ZONES = vehicle(
    *(f"{zone}{n} - frame; zone {zone}; 5 min" for n in range(3) for zone in "ab"),
    "b0-frame harder after a2 x 2",
    datum="frame",
)


def said_of(*bodies, about=ZONES, before=NOTHING, state=None, longer=0.0, rules=SETTINGS):
    """What could be saved after some entries, when the order takes so much longer."""
    (goal,) = about.goals.values()
    now = state or state_of(about)
    plan = plan_strip(about, state_of(about), goal, SETTINGS)
    problem = set_task(about, now, goal, rules).problem
    return could_save(before, problem, plan, longer, entries(*bodies), rules)


UNDONE = JointUndone(joint="b1-frame")


def test_who_does_what_is_next_leaves_as_much_to_be_saved_as_there_was():
    """Step by step as planned: whatever was known before is still so."""
    (goal,) = ZONES.goals.values()
    plan = plan_strip(ZONES, state_of(ZONES), goal, SETTINGS)
    state = state_of(ZONES)
    for number, step in enumerate(plan.steps, start=1):
        state = did(state, step)
        since = entries(*(body_of(each) for each in plan.steps[:number]))
        known = replace(NOTHING, minutes=1.0)
        again = replan(ZONES, state, goal, plan, SETTINGS, since=since, prospect=known)
        assert again.prospect.minutes == min(
            1.0, again.plan.total_minutes - again.plan.bound_minutes
        )


def test_what_is_done_out_of_turn_counts_its_work_and_the_walk_to_it():
    """Five minutes and a walk of three; a joint that gets harder counts at its hardest."""
    assert said_of(UNDONE) == 8.0
    assert said_of(UNDONE, longer=-5.0) == 3.0
    assert said_of(UNDONE, longer=-50.0) == 0.0
    assert said_of(JointUndone(joint="b0-frame")) == 13.0
    assert said_of(UNDONE, before=replace(NOTHING, minutes=2.5)) == 10.5
    assert said_of(UNDONE, NoteMade(text="rusty")) == 8.0


def test_the_walk_counts_twice_where_something_had_to_come_before():
    """Its joint still held the part that somebody took off; told with it, each counts once."""
    assert said_of(PartOff(part="b1")) == 2 * 3.0
    assert said_of(UNDONE, PartOff(part="b1")) == 8.0 + 3.0


@pytest.mark.parametrize(
    "body",
    [
        JointMade(joint="b1-frame", tightness=Tightness.TIGHTENED),
        JointUndone(joint="nobody-knows"),
        PartOff(part="b1", whole="body"),
    ],
)
def test_of_anything_but_planned_work_nothing_is_known(body):
    """Then a fresh plan is made, to see."""
    assert said_of(UNDONE, body) == float("inf")


def test_nothing_is_known_of_other_settings_or_of_what_is_put_off_no_more():
    """It was known for these settings, and with that put off; more put off saves nothing."""
    dearer = replace(SETTINGS, zone_minutes=30.0)
    assert said_of(UNDONE, rules=dearer) == float("inf")
    assert said_of(UNDONE, before=None) == float("inf")
    assert said_of() == float("inf")
    late = Prospect.of(0.0, frozenset({"part:a1"}), SETTINGS)
    assert said_of(UNDONE, before=late) == float("inf")
    off = put_off(state_of(ZONES), "part:a1")
    body = PutOff(what="part:a1", why=Hindrance.NO_PART)
    assert said_of(UNDONE, body, state=off) == 8.0
    assert said_of(UNDONE, before=late, state=off) == 8.0


# -- when a fresh plan is made ------------------------------------------------------------------


def test_no_fresh_plan_is_made_as_long_as_it_could_not_save_enough(monkeypatch):
    """The order walks to and fro; only where it is known what that could save it is let be."""
    (goal,) = ZONES.goals.values()
    good = plan_strip(ZONES, state_of(ZONES), goal, SETTINGS)
    number = {step.what: split_ref(step.what)[1][1] for step in good.steps}
    in_turns = sorted(good.steps, key=lambda s: (s.action == "take off", number[s.what], s.what))
    plan = replace(good, steps=tuple(in_turns))
    plan = replan(
        ZONES, state_of(ZONES), goal, plan, SETTINGS, steadiness=Steadiness(pinned=True)
    ).plan
    state = logged(state_of(ZONES), "joint:b1-frame")
    made = []

    def counted(*given):
        made.append(given)
        return plan_strip(*given)

    monkeypatch.setattr(replanning, "plan_strip", counted)

    def fresh_plans(minutes: float, prospect: Prospect | None) -> int:
        made.clear()
        steadiness = Steadiness(share=0.0, minutes=minutes)
        replan(
            ZONES,
            state,
            goal,
            plan,
            SETTINGS,
            since=entries(UNDONE),
            steadiness=steadiness,
            prospect=prospect,
        )
        return len(made)

    assert fresh_plans(4.0, None) == 1
    assert fresh_plans(4.0, NOTHING) == 0
    assert fresh_plans(4.0, replace(NOTHING, minutes=5.0)) == 1


@pytest.mark.slow
@pytest.mark.parametrize("seed", [0, pytest.param(1, marks=pytest.mark.soak)])
def test_a_generated_vehicle_stripped_out_of_turn_keeps_right_and_is_seldom_planned_afresh(
    seed, monkeypatch
):
    """Every third piece of work is not the next one: each plan is right, few are made afresh."""
    v = generate(40, seed=seed)
    goal = max(v.goals.values(), key=lambda each: (each.off_rest, len(each.off)))
    state, last, known = state_of(v), plan_strip(v, state_of(v), goal, SETTINGS), NOTHING
    made = []

    def counted(*given):
        made.append(given)
        return plan_strip(*given)

    monkeypatch.setattr(replanning, "plan_strip", counted)
    for asked in range(24):
        left = {step.what for step in last.steps}
        singles = (step for step in last.steps if not step.what.startswith("assembly"))
        free = [s for s in singles if left.isdisjoint(reason.first for reason in s.reasons)]
        step = free[-1] if asked % 3 == 2 else free[0]
        state = logged(state, step.what) if asked % 3 == 2 else did(state, step)
        again = replan(
            v, state, goal, last, SETTINGS, since=entries(body_of(step)), prospect=known
        )
        last, known = again.plan, again.prospect
        if asked % 8 == 7:
            assert check_strip(v, state, goal, last, SETTINGS) == ()
    assert len(made) <= 4
