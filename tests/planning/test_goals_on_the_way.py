"""Goals reached one after the other: what stays on until then, and what is done in one go."""

from dataclasses import replace

import pytest
from hypothesis import assume, event, given
from hypothesis import strategies as st

from putback.errors import ImpossibleGoal
from putback.planning.again.differ import Aspect, differences
from putback.planning.again.reached import Reached, reached
from putback.planning.alternatives import plan_alternatives
from putback.planning.check import check_strip
from putback.planning.ordering.task import set_task
from putback.planning.ordering.way import arranged, choose_stages
from putback.planning.plan import USUAL, Action
from putback.planning.replan import replan
from putback.planning.search.choose import Contradiction
from putback.planning.strip import plan_strip
from putback.progress import NoProgress
from putback.vehicle.assembly import Assembly
from putback.vehicle.goal import Goal
from tests.makers import vehicle
from tests.planning.hand_made import state_of
from tests.planning.stripping import STANDS, WHEELS, place, planned
from tests.planning.test_put_off import put_off
from tests.strategies.planning import cases

ROLLING = Goal("rolling", "rolling", "frame", off=("body",), on=("axle",))
BARE = Goal("bare", "bare", "frame", off=("body", "axle"), after="rolling")


def of_two_goals(*lines, first=ROLLING, last=BARE):
    """A vehicle with a goal on the way to another."""
    return vehicle(*lines, first, last)


def test_a_goal_on_the_way_is_reached_first():
    """The axle stays on until the body is off, though it could come off at once."""
    v = of_two_goals("body - frame", "axle - frame: 1 clip; 1 min")
    plan = planned(v, BARE)
    assert [step.what for step in plan.steps][:2] == ["joint:body-frame", "part:body"]
    assert place(plan, "part:axle") == 3


def test_where_a_goal_on_the_way_cannot_be_reached_first_both_are_reached_together():
    """The axle would have to stay on meanwhile, and is in the body's way: it comes off first."""
    v = of_two_goals("body - frame", "axle - frame", "axle blocks body")
    plan = planned(v, BARE)
    assert place(plan, "part:axle") < place(plan, "part:body")


TO_AND_FRO = (
    "pump - frame: 1 clip; 5 min; in stands",
    "body - frame: 1 clip; 5 min; in wheels",
    "pump before body: it drips",
    "axle - frame: 1 clip; 5 min; in stands",
    WHEELS,
    STANDS,
)
"""For the body it is stood on stands and back on the wheels; for the axle on stands as well."""


def test_what_is_wanted_later_is_done_before_where_that_spares_a_change():
    """On the stands for the pump, the axle comes off there and then: one change less."""
    free = replace(ROLLING, on=())
    v = of_two_goals(*TO_AND_FRO, first=free)
    plan = planned(v, BARE, standing="stands")
    assert [step.standing for step in plan.steps] == ["stands"] * 4 + ["wheels"] * 2
    assert place(plan, "part:axle") < place(plan, "part:body")
    assert plan.setup_minutes == 30.0
    kept = replan(v, state_of(v, standing="stands"), BARE, plan)
    assert kept.kept
    assert kept.changes == ()
    assert kept.plan.steps == plan.steps


def test_what_the_goal_on_the_way_keeps_on_waits_though_a_change_were_spared():
    """The axle is to stay on until the body is off, so it is stood on the stands twice."""
    v = of_two_goals(*TO_AND_FRO)
    plan = planned(v, BARE, standing="stands")
    assert place(plan, "part:axle") > place(plan, "part:body")
    assert plan.setup_minutes == 60.0


def test_what_needs_what_is_kept_on_waits_and_the_rest_does_not():
    """The hub comes off behind the axle, which waits; the tank, on stands as well, need not."""
    last = replace(BARE, off=("body", "axle", "hub", "tank"))
    v = of_two_goals(
        *TO_AND_FRO,
        "hub - frame: 1 clip; in stands",
        "tank - frame: 1 clip; in stands",
        "axle before hub: behind it",
        last=last,
    )
    plan = planned(v, last, standing="stands")
    assert place(plan, "part:hub") > place(plan, "part:axle") > place(plan, "part:body")
    assert plan.setup_minutes == 60.0


def test_where_no_change_is_spared_goal_comes_after_goal():
    """Both are under the same cover and near each other, but one is asked for before the other."""
    first = Goal("one", "one off", "frame", off=("p0", "p2"))
    last = Goal("all", "all off", "frame", off=("p0", "p1", "p2", "p3"), after="one")
    v = of_two_goals(*(f"p{n} - frame: 1 clip; 5 min" for n in range(4)), first=first, last=last)
    plan = planned(v, last)
    assert [s.what for s in plan.steps if s.action is Action.TAKE_OFF][:2] == [
        "part:p0",
        "part:p2",
    ]


def test_what_is_put_off_comes_last_of_all_goals_done_in_one_go():
    """The pump is put off: the axle need not wait for it, the body must."""
    free = replace(ROLLING, on=())
    v = of_two_goals(*TO_AND_FRO, first=free)
    state = put_off(state_of(v, standing="stands"), "part:pump")
    plan = plan_strip(v, state, BARE)
    assert check_strip(v, state, BARE, plan) == ()
    assert place(plan, "part:axle") < place(plan, "part:pump") < place(plan, "part:body")


def test_goal_after_goal_is_offered_where_that_reaches_the_first_much_sooner():
    """Twenty things on the stands are wanted later: the body off first costs one more change."""
    free = replace(ROLLING, on=())
    more = [f"p{n}" for n in range(20)]
    last = replace(BARE, off=("body", *more))
    v = of_two_goals(
        *TO_AND_FRO,
        *(f"{part} - frame: 1 clip; 5 min; in stands" for part in more),
        first=free,
        last=last,
    )
    state = state_of(v, standing="stands")
    usual = planned(v, last, standing="stands")
    assert usual.setup_minutes == 30.0
    found = plan_alternatives(v, state, last, usual=usual)
    (sooner,) = (each for each in found if each.aspect is Aspect.GOALS)
    assert check_strip(v, state, last, sooner.plan) == ()
    assert sooner.minutes_more == 30.0
    assert sooner.words.startswith("rolling reached after 40 min, not 2 h 20 min")
    assert "1 change of standing more" in sooner.words


def test_when_goals_on_the_way_are_reached():
    """In minutes, by what each asks for; a part in a whole is off with it."""
    chain = (
        Goal("one", "one", "frame", off=("a",)),
        Goal("two", "two", "frame", off_rest=True, on=("c",), after="one"),
        Goal("three", "three", "frame", off_rest=True, after="two"),
    )
    v = vehicle(
        "a - b: 1 clip; 1 min",
        "b - frame: 1 clip; 2 min",
        "c - frame: 1 clip; 4 min",
        Assembly("ab", "a and b", ("a", "b")),
        *chain,
    )
    plan = planned(v, v.goals["three"])
    assert plan.setup_minutes == 0.0
    whole = place(plan, "assembly:ab")
    one, two = reached(v, plan)
    assert (one, two) == (Reached("one", whole + 1, 2.0), Reached("two", whole + 1, 2.0))
    assert whole < place(plan, "part:c")
    assert reached(v, planned(v, v.goals["one"])) == ()
    assert [each.goal for each in reached(v, planned(v, v.goals["three"], off=["a"]))] == ["two"]
    assert not [d for d in differences(v, plan, plan) if d.aspect is Aspect.GOALS]


@pytest.mark.slow
@given(cases(largest=5), st.data())
def test_what_a_goal_keeps_on_stays_on_until_it_is_reached(case, data):
    """Drawn vehicles and goals; it need not where one after the other did not work out."""
    v, some = case.vehicle, st.sampled_from(sorted(case.vehicle.parts)[1:])
    off = data.draw(st.lists(some, min_size=1, max_size=2, unique=True), label="off first")
    kept = data.draw(st.lists(some, max_size=2, unique=True), label="kept till then")
    on = [part for part in kept if part not in off]
    first = Goal("first", "first", case.goal.datum, off=tuple(off), on=tuple(on))
    last = replace(case.goal, after="first", off=(*case.goal.off, *on))
    assume(last.datum not in off and not set(last.on) & set(on))
    both = v.with_records(goals={"first": first, last.id: last})
    state = replace(case.state, vehicle=both)
    try:
        plan = plan_strip(both, state, last)
    except ImpossibleGoal:
        event("impossible")
        return
    assert check_strip(both, state, last, plan) == ()
    is_kept = keeps(both, state, first, plan)
    event("kept" if is_kept else "not kept")
    assert is_kept or not goes_from_goal_to_goal(both, state, last)


def keeps(v, state, first, plan) -> bool:
    """Whether nothing that the first goal keeps on comes off before it is reached."""
    off = set(state.parts_off)
    for step in plan.steps:
        if off.issuperset(first.off):
            return True
        if step.action is Action.TAKE_OFF:
            kind, _, identity = step.what.partition(":")
            gone = v.assemblies[identity].parts if kind == "assembly" else (identity,)
            if set(gone) & {*first.on, first.datum}:
                return False
            off.update(gone)
    return True


def goes_from_goal_to_goal(v, state, last) -> bool:
    """Whether one goal after the other could be arranged, chosen by least work each."""
    task = set_task(v, state, last, USUAL)
    try:
        chosen = choose_stages(task.problem, task.stages, NoProgress())
    except Contradiction:
        return False
    return arranged(task.problem, task.stages, chosen, USUAL) is not None
