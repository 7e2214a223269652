"""A part that a run passes through: off when an end of it is free, and on before that is made."""

from dataclasses import replace

import pytest
from hypothesis import assume, event, given
from hypothesis import strategies as st

from putback.errors import ImpossibleGoal
from putback.planning.check import RebuildRule, StripRule, check_rebuild, check_strip
from putback.planning.plan import Action
from putback.planning.reach import reach
from putback.planning.rebuild import plan_rebuild
from putback.vehicle.assembly import Assembly
from putback.vehicle.goal import Goal
from putback.vehicle.run import Passage, Run, RunEnd
from tests.makers import vehicle
from tests.planning.brute import Brute, TooMany
from tests.planning.hand_made import USUAL, likely, state_of
from tests.planning.rebuilding import apart, plan_of
from tests.planning.rebuilding import lines as lines_of
from tests.planning.stripping import lines, place, planned, refusal
from tests.strategies.planning import cases
from tests.strategies.rebuilds import torn_vehicles

BRACKET_OFF = Goal("g", "bracket off", "frame", off=("bracket",), on=("frame", "lamp"))


def wired(*ends: RunEnd, more=(), goal=BRACKET_OFF):
    """A wire from a lamp to a switch, through a bracket that is bolted to the frame."""
    ends = ends or (RunEnd("lamp end"), RunEnd("switch end", passes=False))
    return vehicle(
        "bracket - frame: 2 bolt M6x1.0x16; 5 min",
        "lamp end = wire - lamp: 1 clip; 3 min",
        "switch end = wire - switch: 1 clip; 1 min",
        "lamp - frame: 1 clip",
        "switch - frame: 1 clip",
        Run("wire", ends, passages=(Passage("a grommet", "bracket"),)),
        goal,
        *more,
    )


def test_the_end_that_passes_is_free_before_the_part_comes_away():
    """The plug is small enough, the other end is not: the plug is undone, and it says why."""
    plan = planned(wired())
    assert set(lines(plan)[:-1]) == {"undo joint:lamp end", "undo joint:bracket-frame"}
    (why,) = (r for r in plan.steps[-1].reasons if r.first == "joint:lamp end")
    assert why.words == "wire passes through a grommet"


def test_of_two_ends_that_pass_the_quicker_one_does():
    """Either side will do."""
    plan = planned(wired(RunEnd("lamp end"), RunEnd("switch end")))
    assert "undo joint:switch end" in lines(plan)
    assert "undo joint:lamp end" not in lines(plan)


def test_of_a_loom_all_ends_that_pass_are_free():
    """With three ends nobody says which two go through together."""
    third = ("horn end = wire - horn: 1 clip", "horn - frame: 1 clip")
    ends = (RunEnd("lamp end"), RunEnd("horn end"), RunEnd("switch end", passes=False))
    undone = {each for each in lines(planned(wired(*ends, more=third))) if "end" in each}
    assert undone == {"undo joint:lamp end", "undo joint:horn end"}


def test_where_no_end_passes_the_run_comes_off():
    """Nothing else is left; with no end described at all as well."""
    stuck = wired(RunEnd("lamp end", passes=False), RunEnd("switch end", passes=False))
    bare = wired().with_records(runs={"wire": replace(wired().runs["wire"], ends=())})
    for car in (stuck, bare):
        assert "take off part:wire" in lines(planned(car))


def test_what_comes_off_together_needs_nothing():
    """Bracket and wire as one whole, an end of the wire inside; and a wire that is off already."""
    car = vehicle(
        "bracket - frame: 2 bolt M6x1.0x16; 5 min",
        "inner end = wire - bracket: 1 clip; 3 min",
        "clip = wire - frame: 1 clip; 1 min",
        Assembly("unit", "unit", ("bracket", "wire"), likely(1)),
        Run("wire", (RunEnd("inner end"),), passages=(Passage("a grommet", "bracket"),)),
        replace(BRACKET_OFF, off=("bracket", "wire"), on=("frame",)),
    )
    assert lines(planned(car))[-1] == "take off assembly:unit"
    assert "undo joint:inner end" not in lines(planned(car))
    rest = ("lamp end", "switch end")
    assert lines(planned(wired(), off=["wire"], undone=rest)) == [
        "undo joint:bracket-frame",
        "take off part:bracket",
    ]


def test_an_end_that_is_free_already_is_enough():
    """Nothing more of the wire is asked for."""
    assert lines(planned(wired(), undone=["lamp end"])) == [
        "undo joint:bracket-frame",
        "take off part:bracket",
    ]


def test_reach_counts_it_too():
    """The bracket costs its bolts and the plug."""
    car = wired()
    found = reach(car, state_of(car), "part:bracket", USUAL)
    assert found.minutes == pytest.approx(5 + 3)


def test_an_impossible_goal_names_it():
    """The end that passes is only got at with the bracket off."""
    car = wired(more=("bracket blocks lamp end: it covers it", "wire blocks frame: so"))
    keep = replace(BRACKET_OFF, on=("frame", "lamp", "wire"))
    refused = refusal(car.with_records(goals={"g": keep}), goal=keep)
    assert "wire passes through bracket" in refused.reasons
    assert any("wire did not pass through bracket" in each for each in refused.changes)


def test_the_checker_tells_a_part_taken_off_over_a_run():
    """The same plan without the plug undone, and with the wrong end."""
    car = wired()
    plan = planned(car)
    kept = [step for step in plan.steps if step.what != "joint:lamp end"]
    wrong = [
        replace(step, what="joint:switch end", minutes=1.0)
        if step.what == "joint:lamp end"
        else step
        for step in plan.steps
    ]
    for steps in (kept, wrong):
        work = sum(step.minutes for step in steps)
        setup = sum(step.setup_minutes for step in steps)
        spoilt = replace(plan, steps=tuple(steps), work_minutes=work, setup_minutes=setup)
        faults = check_strip(car, state_of(car), BRACKET_OFF, spoilt)
        said = [fault.words for fault in faults if fault.rule is StripRule.TAKE_OFF]
        assert said == ["wire still passes through the bracket"], faults


@given(cases(jobs=1), st.data())
def test_no_plan_does_what_trying_everything_cannot(case, data):
    """A run through what is to come off: possible at all, and reach the least work."""
    parts = [part for part in case.vehicle.parts if part not in case.state.parts_off]
    assume(len(parts) > 2)
    target = data.draw(st.sampled_from(parts[1:]))
    thread = data.draw(st.sampled_from([part for part in parts if part != target]))
    ends = [j.id for j in case.vehicle.joints.values() if thread in j.parts]
    passes = st.integers(0, 2)
    run = Run(
        thread,
        tuple(RunEnd(each, passes=data.draw(passes) > 0) for each in ends),
        passages=(Passage("a hole", target),),
    )
    car = case.vehicle.with_records(runs={thread: run})
    at_it = {f"part:{target}", *(f"joint:{each}" for each in car.joints_of[target])}
    brute = Brute(car, case.state, USUAL, plain=True)
    try:
        best = brute.least(lambda at: at_it <= at.cleared)
    except TooMany:
        return
    if best is None:
        event("impossible")
        with pytest.raises(ImpossibleGoal):
            reach(car, case.state, f"part:{target}", USUAL)
        return
    found = reach(car, case.state, f"part:{target}", USUAL)
    event("dearer" if found.minutes > reach_without(car, case, target) else "as before")
    assert found.minutes >= best - 1e-6
    assert not found.optimal or found.minutes <= best + 1e-6


def reach_without(car, case, target) -> float:
    """The least work if no run passed through anything."""
    return reach(car.with_records(runs={}), case.state, f"part:{target}", USUAL).minutes


# -- back on ----------------------------------------------------------------------------------


def test_the_part_slides_on_before_the_end_is_made():
    """The wire hangs there with its plug free: bracket first, then the plug."""
    car = wired()
    state = apart(car, "lamp end", "bracket-frame", "bracket")
    plan = plan_of(car, state)
    assert place(plan, "part:bracket") < place(plan, "joint:lamp end", Action.MAKE)
    step = next(step for step in plan.steps if step.what == "joint:lamp end")
    said = "it slides on over the wire, which passes through a grommet"
    assert said in [reason.words for reason in step.reasons]


def test_without_the_passage_the_plug_could_come_first():
    """The order of the strip, turned round, has the plug last; so it is turned here."""
    car = wired()
    state = apart(car, "bracket-frame", "bracket", "lamp end")
    assert place(plan_of(car, state), "part:bracket") == 0
    free = car.with_records(runs={})
    assert place(plan_of(free, replace(state, vehicle=free)), "joint:lamp end") == 0


def test_facts_go_before_it():
    """Where the plug must be made first, the bracket follows: somebody will open the grommet."""
    car = wired(more=("lamp end before bracket: so (rebuild)",))
    state = apart(car, "lamp end", "bracket-frame", "bracket")
    plan = plan_of(car, state)
    assert place(plan, "joint:lamp end") < place(plan, "part:bracket")


def test_a_joint_is_tightened_before_an_end_that_has_to_wait():
    """The bracket shuts off the lamp's joint, and slides over the plug before that is made."""
    car = wired(more=("bracket blocks lamp - frame",))
    state = apart(car, "bracket-frame", "bracket", "lamp end", "lamp-frame", "lamp")
    plan = plan_of(car, state)
    assert place(plan, "joint:lamp-frame") < place(plan, "part:bracket")
    assert place(plan, "part:bracket") < place(plan, "joint:lamp end")


def test_of_two_free_ends_one_waits():
    """Whichever; the one that was undone first, where both do."""
    car = wired(RunEnd("lamp end"), RunEnd("switch end"))
    state = apart(car, "switch end", "lamp end", "bracket-frame", "bracket")
    plan = plan_of(car, state)
    assert place(plan, "part:bracket") < place(plan, "joint:switch end")


def test_the_checker_tells_what_can_no_longer_slide_on():
    """The plug made and tight, and the bracket still in the hand."""
    car = wired()
    state = apart(car, "lamp end", "bracket-frame", "bracket")
    plan = plan_of(car, state)
    plug = [step for step in plan.steps if step.what == "joint:lamp end"]
    rest = [step for step in plan.steps if step.what != "joint:lamp end"]
    faults = check_rebuild(car, state, replace(plan, steps=(*plug, *rest)))
    assert [fault.words for fault in faults if fault.rule is RebuildRule.IN_THE_WAY] == [
        "no end of the wire is free, which passes through it"
    ]
    assert {f.rule for f in faults} <= {RebuildRule.IN_THE_WAY, RebuildRule.COST}


@given(torn_vehicles(rebuild_facts=True), st.data())
def test_random_runs_through_random_parts_go_back(torn, data):
    """Whatever was logged: where there is a plan, it slides on what it can."""
    of, state = torn
    parts = list(of.parts)
    on = [part for part in parts if part not in state.parts_off]
    assume(on)
    thread = data.draw(st.sampled_from(on))
    through = data.draw(st.lists(st.sampled_from(parts[1:]), min_size=1, max_size=2, unique=True))
    ends = [j.id for j in of.joints.values() if thread in j.parts]
    run = Run(
        thread,
        tuple(RunEnd(each, passes=data.draw(st.booleans())) for each in ends),
        passages=tuple(Passage("a hole", each) for each in through),
    )
    of = of.with_records(runs={thread: run})
    state = replace(state, vehicle=of)
    try:
        plan = plan_rebuild(of, state)
    except ImpossibleGoal:
        assume(False)
    assert check_rebuild(of, state, plan) == (), lines_of(plan)
