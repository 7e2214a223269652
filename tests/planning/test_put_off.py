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
from putback.planning.plan import Action, Because, PlanSettings
from putback.planning.replan import replan
from putback.planning.strip import plan_strip
from putback.vehicle.generate import generate
from putback.vehicle.goal import Goal
from putback.vehicle.ids import split_ref
from putback.vehicle.part import Part, PartKind
from putback.vehicle.standing import TemporarySupport
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

    What is begun and must be ended in one standing waits for its end.
    """
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
    event(f"{len(case.vehicle.temporary_supports)} temporary supports")
    assert_all_behind_wait(case.vehicle, state, case.goal, plan, chosen)


def assert_all_behind_wait(v, state, goal, plan, chosen) -> None:
    """Moved before the first step of what is put off, any other behind it breaks a rule.

    Late with it is what a jack bears from, if it is away only after what is put off.

    No crack is looked at, of neither: those stay with their standing.
    """
    begun = {support.first for support in v.temporary_supports.values()}
    begun |= {f"job:{job.id}" for job in v.jobs.values() if job.same_sitting_as}
    begun |= {f"job:{job.same_sitting_as}" for job in v.jobs.values()}
    late = [
        at
        for at, step in enumerate(plan.steps)
        if chosen & clears(v, step.what) and step.action is not Action.CRACK
    ]
    late = [*began_before(v, plan, late[0]), *late]
    for at in range(late[0] + 1, len(plan.steps)):
        step, rest = plan.steps[at], plan.steps[:at] + plan.steps[at + 1 :]
        if at in late or step.action is Action.CRACK or begun & clears(v, step.what):
            continue
        moved = replace(plan, steps=(*rest[: late[0]], step, *rest[late[0] :]))
        faults = check_strip(v, state, goal, moved)
        assert any(fault.rule is not StripRule.COST for fault in faults), step


def began_before(v, plan, late: int) -> list[int]:
    """What a jack bears from, where it is away at the first late step or after: late as well."""
    at = {each: n for n, step in enumerate(plan.steps) for each in clears(v, step.what)}
    supports = v.temporary_supports.values()
    found = (at[e.first] for e in supports if at.get(e.first, late) < late <= at.get(e.last, -1))
    return sorted(found)


def first_of(plan) -> str:
    """What the first step that is no crack deals with."""
    return next(step.what for step in plan.steps if step.action is not Action.CRACK)


@pytest.mark.parametrize("seed", [2, 7])
def test_on_a_vehicle_with_standings_and_jacks_all_behind_it_waits_for_what_is_put_off(seed):
    """Each time the plan's next step is put off: another comes first, and it comes late.

    To crack a joint is not: that is bound to how the vehicle stands.
    """
    v = generate(20, seed)
    assert v.temporary_supports
    goal, state, chosen = replace(v.goals["all-off"], after=None), state_of(v), set()
    plan = plan_strip(v, state, goal)
    for _ in range(2):
        chosen.add(first_of(plan))
        state = put_off(state, *chosen)
        plan = plan_strip(v, state, goal)
        assert check_strip(v, state, goal, plan) == ()
        assert first_of(plan) not in chosen
        assert_all_behind_wait(v, state, goal, plan, chosen)


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


LENT = vehicle(
    "pipe - frame; in ramp",
    "lamp - frame",
    "sill - frame; in floor",
    "step - sill",
    standing("ramp", "frame", floor=10.0),
    standing("floor", "frame"),
    datum="frame",
)
"""It stands on a ramp that is lent: once down, it never gets up there again."""


def sooner(plan) -> dict[str, set[str]]:
    """What the plan says comes sooner though it is put off, each with what comes behind it."""
    found: dict[str, set[str]] = {}
    for step in plan.steps:
        for reason in step.reasons:
            if reason.because is Because.PUT_OFF:
                found.setdefault(reason.first, set()).add(step.what)
    return found


def test_what_cannot_come_last_comes_as_late_as_it_can_and_the_plan_says_so():
    """The lamp and the step come before the pipe; the sill, done once it is down, does not."""
    (goal,) = LENT.goals.values()
    state = put_off(state_of(LENT, standing="ramp"), "joint:pipe-frame")
    plan = plan_strip(LENT, state, goal)
    assert check_strip(LENT, state, goal, plan) == ()
    steps = order(plan)
    at = steps.index("joint:pipe-frame")
    assert set(steps[:at]) == {"joint:lamp-frame", "part:lamp", "joint:step-sill", "part:step"}
    assert sooner(plan) == {"joint:pipe-frame": {"joint:sill-frame"}}
    why = "no order was found in which it comes later"
    assert f"put off, and still before sill-frame: {why}" in plan.steps[at].notes
    words = {each.words for step in plan.steps for each in step.reasons}
    assert f"pipe-frame is put off, and still comes first: {why}" in words


def test_an_order_that_is_kept_to_has_it_as_late_as_it_can_as_well():
    """What was planned before it was put off: nothing but the sill comes behind the pipe."""
    (goal,) = LENT.goals.values()
    now = state_of(LENT, standing="ramp")
    hand_made = ["joint:pipe-frame", "part:pipe", "joint:lamp-frame", "part:lamp"]
    plan = plan_strip(LENT, now, goal)
    rest = [step for step in plan.steps if step.what not in hand_made]
    by_name = {step.what: step for step in plan.steps}
    last = replace(plan, steps=(*map(by_name.__getitem__, hand_made), *rest))
    again = replan(LENT, put_off(now, "joint:pipe-frame"), goal, last).plan
    steps = order(again)
    assert set(steps[steps.index("joint:pipe-frame") :]) == {
        *("joint:pipe-frame", "part:pipe", "joint:sill-frame", "part:sill")
    }
    assert sooner(again) == {"joint:pipe-frame": {"joint:sill-frame"}}


def test_what_would_have_something_hang_or_tip_if_it_came_last_comes_before_that():
    """The pipe comes off on the blocks, where it would not stand any more once its stay is off."""
    v = generate(11, 546243)
    goal, pipe = replace(v.goals["rolling"], after=None), "part:p11"
    state = put_off(state_of(v), pipe)
    plan = plan_strip(v, state, goal)
    assert check_strip(v, state, goal, plan) == ()
    assert_all_behind_wait(v, state, goal, plan, {pipe})
    steps = order(plan)
    early = {"job:drain-p3", "part:p3", "part:p4"}
    assert early <= set(steps[: steps.index(pipe)])
    (note,) = (n for step in plan.steps for n in step.notes if n.startswith("put off"))
    assert note.endswith(": else something would hang, or it would stand too near to tipping")


def test_where_any_order_had_to_be_looked_for_it_is_as_late_as_it_can_in_that_as_well():
    """Arranging gets stuck, whatever is put off: the wheels bear on the cheap cover."""
    v = vehicle(
        "pipe - frame; in ramp",
        "lamp - frame",
        "cheap - frame; 1 min; in stands",
        "dear - frame; 9 min; in stands",
        "pump - frame; in wheels",
        "cheap or dear blocks pump - frame",
        standing("ramp", "frame", stands=10.0),
        standing("wheels", "cheap", "frame", stands=30.0),
        standing("stands", "frame", wheels=30.0),
    )
    goal = Goal("g", "off", "frame", off=("pump", "lamp", "pipe"))
    state = put_off(state_of(v, standing="ramp"), "joint:pipe-frame")
    plan = plan_strip(v, state, goal)
    assert check_strip(v, state, goal, plan) == ()
    assert order(plan)[:3] == ["joint:lamp-frame", "part:lamp", "joint:pipe-frame"]
    assert sooner(plan) == {"joint:pipe-frame": {"joint:dear-frame"}}


SLAVE = vehicle(
    Part("hose", "hose", None, kind=PartKind.HOSE),
    "slave - housing: 2 bolt M8 x 30; in stands",
    "hose - slave; in stands",
    "hose - bracket; in stands",
    "strap - frame",
    "housing - frame: 4 bolt M10 x 60",
    "bracket - frame",
    "hose-bracket before hose-slave: its end at the bracket turns",
    standing("wheels", "frame", stands=10.0),
    standing("stands", "frame", wheels=10.0),
    datum="frame",
)
"""The slave hangs on its hose once its bolts are out; the hose comes off its bracket first."""

JACK = TemporarySupport("jack", "jack", "slave", "joint:slave-housing", "part:slave")
JACKED = replace(SLAVE, temporary_supports={JACK.id: JACK})


@pytest.mark.parametrize("now", ["wheels", "stands"])
@pytest.mark.parametrize(
    ("what", "late"),
    [
        ("joint:hose-bracket", {"joint:hose-bracket", "joint:hose-slave", "part:slave"}),
        ("joint:hose-slave", {"joint:hose-slave", "part:slave"}),
        ("part:slave", {"part:slave"}),
    ],
)
def test_what_an_early_step_frees_does_not_bring_forward_what_is_put_off(what, late, now):
    """The slave, let go early, stays on its hose until that may come off.

    With a jack under it from its bolts to its removal, its bolts wait as well: not so the strap.
    """
    bolts, strap = "joint:slave-housing", {"joint:strap-frame", "part:strap"}
    for v, early, behind in ((SLAVE, strap | {bolts}, late), (JACKED, strap, late | {bolts})):
        (goal,) = v.goals.values()
        state = put_off(state_of(v, standing=now), what)
        plan = plan_strip(v, state, goal)
        assert check_strip(v, state, goal, plan) == ()
        steps = order(plan)
        assert early <= set(steps[: min(steps.index(each) for each in behind)])
