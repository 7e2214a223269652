"""What a rebuild has to do: what came off, what is not here, what only the logbook knows."""

from dataclasses import replace
from itertools import pairwise

import pytest

from putback.logbook.common import Away, Common
from putback.logbook.entries.judging import Choice
from putback.logbook.entries.rebuilding import Tightness
from putback.logbook.state import Check, FluidState, Gone, JobState, JointState
from putback.planning.plan import Because
from putback.vehicle.job import Job, JobKind
from putback.vehicle.joint import FinalWhen
from putback.vehicle.opening import Fluid, Opening
from putback.vehicle.part import Part
from tests.makers import vehicle
from tests.planning.hand_made import said
from tests.planning.rebuilding import (
    apart,
    assert_order,
    job,
    lines,
    plan_of,
    step_in,
    with_joint,
    with_part,
    with_states,
)

# -- what has to be done --------------------------------------------------------------------------


def test_a_whole_vehicle_asks_for_nothing():
    """Where nothing is apart, the plan is empty and costs nothing."""
    car = vehicle("lid - frame", job("start", JobKind.RUN), datum="frame")
    plan = plan_of(car, apart(car))
    assert plan.steps == ()
    assert plan.total_minutes == plan.bound_minutes == 0


def test_what_came_off_goes_back():
    """A part is put on, its joint made, then tightened."""
    car = vehicle("lid - frame: 2 bolt M8; 10 min", datum="frame")
    plan = plan_of(car, apart(car, "lid-frame", "lid"))
    assert lines(plan) == ["put on lid", "make lid-frame", "tighten lid-frame"]
    assert [step.minutes for step in plan.steps] == [0, 5, 5]
    assert all(step.reasons for step in plan.steps)


def test_a_part_that_nobody_saw_undone_is_fastened_all_the_same():
    """Off is off: the joint was undone, though nobody wrote it down."""
    car = vehicle("lid - frame", datum="frame")
    assert "make lid-frame" in lines(plan_of(car, apart(car, "lid")))


def test_half_of_the_bolts_are_out():
    """A joint of which three of four fixings are out is made and tightened again."""
    car = vehicle("lid - frame: 4 bolt M8", datum="frame")
    state = with_states(apart(car), "joints", [JointState("lid-frame", of=4, out=3)])
    assert lines(plan_of(car, state)) == ["make lid-frame", "tighten lid-frame"]


def test_a_rebuild_begun_goes_on_where_it_stands():
    """Finger tight is tightened, tight is left, nipped and waiting is finished."""
    car = vehicle("a - frame", "b - frame", "c - frame", "d - frame; critical", datum="frame")
    car = with_joint(car, "c-frame", final_when=FinalWhen.GAPS_SET)
    made = [
        JointState("a-frame", made=said(), tightness=Tightness.FINGER_TIGHT),
        JointState("b-frame", made=said(), tightness=Tightness.FINAL),
        JointState("c-frame", made=said(), tightness=Tightness.NIPPED),
        JointState("d-frame", made=said(), tightness=Tightness.FINAL),
    ]
    state = with_states(apart(car), "joints", made)
    assert sorted(lines(plan_of(car, state))) == [
        "check d-frame",
        "finish c-frame",
        "tighten a-frame",
    ]


def test_a_checked_joint_is_not_checked_again():
    """A critical joint that somebody found right asks for nothing."""
    car = vehicle("d - frame; critical", datum="frame")
    right = Check(said(), right=True, second_person=True, note="")
    done = JointState("d-frame", made=said(), tightness=Tightness.FINAL, checks=(right,))
    assert plan_of(car, with_states(apart(car), "joints", [done])).steps == ()


def test_a_finishing_job_done_since_has_finished_the_joint():
    """A nipped joint is not finished twice, once the job that names it is done."""
    car = vehicle(
        "lid - frame", job("torque", JobKind.TIGHTEN, joints=("lid-frame",)), datum="frame"
    )
    car = with_joint(car, "lid-frame", final_when=FinalWhen.GAPS_SET)
    nipped = JointState("lid-frame", made=said(1), tightness=Tightness.NIPPED)
    state = with_states(apart(car), "joints", [nipped])
    assert lines(plan_of(car, state)) == ["do torque"]
    state = with_states(state, "jobs", [JobState("torque", done=said(2))])
    assert plan_of(car, state).steps == ()


def test_jobs_on_what_was_never_touched_are_left_out():
    """A job belongs to the plan if it names nothing, or something that is worked on."""
    car = vehicle(
        "lid - frame",
        "pump - frame",
        job("chase threads", JobKind.PREPARE),
        job("set the lid", JobKind.SET, joints=("lid-frame",)),
        job("set the pump", JobKind.SET, joints=("pump-frame",)),
        job("look at the pump", JobKind.CHECK, parts=("pump",)),
        "set the pump before set the lid (rebuild)",
        datum="frame",
    )
    done = lines(plan_of(car, apart(car, "lid-frame", "lid")))
    assert [each for each in done if each.startswith("do")] == [
        "do chase threads",
        "do set the lid",
    ]


def test_a_fact_asks_for_a_job_of_the_strip_that_was_skipped():
    """What comes first in strip and rebuild alike is done now, if nobody did it then."""
    car = vehicle(
        "lid - frame",
        Job("dead", "battery off", JobKind.PREPARE),
        "dead before lid - frame: no sparks (both)",
        datum="frame",
    )
    assert lines(plan_of(car, apart(car, "lid-frame", "lid")))[0] == "do dead"
    state = apart(car, "lid-frame", "lid", done=["dead"])
    assert "do dead" not in lines(plan_of(car, state))


# -- what is not here -----------------------------------------------------------------------------


def test_a_part_at_the_plater_is_planned_after_all_that_can_be_done_without_it():
    """Its step says what it waits for, and so does what is on order or to be made."""
    car = vehicle("a - frame", "b - frame", "c - frame", "d - frame", "e - frame", datum="frame")
    off = [name for part in "abcde" for name in (f"{part}-frame", part)]
    state = apart(car, *off)
    away = Away(said(), "the plater", "chrome", "2031-05-02")
    commons = {
        "e": Common(sent_out=away),
        "d": Common(ordered=(Away(said(), "the shop"),)),
        "c": Common(choice=Choice.MAKE),
        "b": Common(choice=Choice.REPLACE),
    }
    state = with_states(
        state, "parts", [replace(state.parts[p], common=each) for p, each in commons.items()]
    )
    plan = plan_of(car, state)
    assert lines(plan)[:3] == ["put on a", "make a-frame", "tighten a-frame"]
    assert {step.what: step.waits_for for step in plan.steps if step.waits_for} == {
        "part:e": "e: at the plater for chrome, due 2031-05-02",
        "part:d": "d: on order from the shop",
        "part:c": "c: to be made",
        "part:b": "b: a new one, not on order yet",
    }


def test_hardware_on_order_is_waited_for_too():
    """A joint that wants new bolts says so."""
    car = vehicle("a - frame", datum="frame")
    state = apart(car, "a-frame", "a")
    wanted = Common(ordered=(Away(said(), ""),))
    state = with_states(state, "joints", [replace(state.joints["a-frame"], common=wanted)])
    assert step_in(plan_of(car, state), "make a-frame").waits_for == "on order"


def test_what_is_gone_waits_with_all_that_hangs_on_it():
    """A lost bracket keeps its joint, its lamp and what facts put after it off the plan."""
    car = vehicle(
        "bracket - frame",
        "lamp - bracket",
        "lid - frame",
        "ready = lid - frame",
        "bracket before lid: it is reached from above (rebuild)",
        "pump - frame",
        job("mask", JobKind.PREPARE, parts=("trim",)),
        "bracket before mask: or it drips on it (rebuild)",
        "trim - frame",
        datum="frame",
    )
    off = "lid-frame ready lid lamp-bracket lamp bracket-frame bracket pump-frame pump"
    state = apart(car, *off.split(), "trim-frame", "trim", gone=["bracket"])
    plan = plan_of(car, state)
    assert sorted(lines(plan)) == ["make pump-frame", "put on pump", "tighten pump-frame"]
    assert {each.what: each.why for each in plan.waiting} == {
        "part:bracket": "lost, and no new one is in sight",
        "joint:bracket-frame": "the bracket waits",
        "joint:lamp-bracket": "the bracket waits",
        "part:lamp": "what it hangs on waits",
        "part:lid": "the bracket comes first: it is reached from above",
        "joint:lid-frame": "the lid waits",
        "joint:ready": "the lid waits",
        "job:mask": "the bracket comes first: or it drips on it",
        "part:trim": "mask comes first",
        "joint:trim-frame": "the trim waits",
    }


@pytest.mark.parametrize(
    "common",
    [Common(arrived=1), Common(ordered=(Away(said(), "the shop"),)), Common(choice=Choice.MAKE)],
)
def test_a_part_that_is_gone_and_renewed_goes_back(common):
    """A new one is there, on order, or to be made: it is planned."""
    car = vehicle("lid - frame", datum="frame")
    state = apart(car, "lid-frame", "lid")
    lost = replace(state.parts["lid"], gone=Gone.SCRAPPED, common=common)
    assert "put on lid" in lines(plan_of(car, with_states(state, "parts", [lost])))


def test_a_fluid_whose_circuit_cannot_be_closed_waits_and_so_does_the_first_start():
    """Nobody fills what runs out again, and nobody starts an engine without oil."""
    car = vehicle(
        "plug - sump",
        "sump - frame",
        Fluid("oil", "oil", "sump"),
        Opening("hole", "drain hole", "sump", ("plug-sump",), fluid="oil"),
        job("fill", JobKind.FILL, fluid="oil"),
        job("start", JobKind.RUN),
        datum="frame",
    )
    state = apart(car, "plug-sump", "plug", gone=["plug"])
    state = with_states(state, "fluids", [FluidState("oil", drained=said())])
    plan = plan_of(car, state)
    assert plan.steps == ()
    assert [each.what for each in plan.waiting] == [
        "part:plug",
        "joint:plug-sump",
        "fluid:oil",
        "job:fill",
        "job:start",
    ]


# -- what only the logbook knows ------------------------------------------------------------------


def test_what_nobody_described_keeps_its_place_in_the_order():
    """After all that came off later, before all that came off earlier."""
    car = vehicle("a - frame", "b - frame", Part("box", "box", "here"), datum="frame")
    state = apart(car, "a-frame", "a", "box", "b-frame", "b")
    plan = plan_of(car, state)
    assert_order(plan, "tighten b-frame", "put on box", "put on a")
    (reason, *_) = step_in(plan, "put on box").reasons
    assert reason.because is Because.ONLY_KNOWN_ORDER


def test_what_is_only_spoken_of_goes_back_too():
    """A part and a joint without any description, each by the name it was given."""
    car = vehicle("a - frame", datum="frame")
    plan = plan_of(car, apart(car, "j-9", "thing", "a-frame", "a"))
    assert lines(plan)[-3:] == ["put on thing", "make j-9", "tighten j-9"]


def test_what_is_described_is_bound_by_facts_alone():
    """Nothing ties them, so the zone at hand decides, not the strip."""
    car = vehicle(
        "a - frame; zone front", "b - frame; zone rear", "c - frame; zone front", datum="frame"
    )
    for part, zone in (("a", "front"), ("b", "rear"), ("c", "front")):
        car = with_part(car, part, zone=zone)
    plan = plan_of(car, apart(car, "a-frame", "a", "b-frame", "b", "c-frame", "c"))
    zones = [step.zone for step in plan.steps]
    assert sum(one != other for one, other in pairwise(zones)) == 1


def test_a_fact_outweighs_the_proven_order():
    """The rebuild says otherwise of two things, so the box between them gives way."""
    car = vehicle(
        "a - frame",
        "b - frame",
        Part("box", "box", "here"),
        "a before b: or b cannot be reached (rebuild)",
        datum="frame",
    )
    plan = plan_of(car, apart(car, "a-frame", "a", "box", "b-frame", "b"))
    assert_order(plan, "put on a", "put on b")
