"""Hoses at full droop and full bump: rule 17 of the rebuild."""

from dataclasses import replace

import pytest

from putback.logbook.common import Common
from putback.logbook.entries.rebuilding import Tightness
from putback.logbook.state import FluidState, JobState, JointState, PartState
from putback.planning.check import RebuildRule, check_rebuild
from putback.vehicle.facts import Before, Phase
from putback.vehicle.job import Job, JobKind
from putback.vehicle.joint import FinalWhen
from putback.vehicle.opening import Fluid, Opening
from putback.vehicle.part import PartKind
from putback.vehicle.standing import Zone
from tests.makers import vehicle
from tests.planning.hand_made import said
from tests.planning.rebuilding import (
    apart,
    assert_order,
    lines,
    plan_of,
    step_in,
    with_joint,
    with_part,
    with_states,
)

LOOK = "check hose"


def car(*jobs: Job, kind=PartKind.HOSE):
    """A brake hose from the frame to an arm that is final at laden height."""
    of = vehicle(
        "arm - frame: 1 bolt M12x1.75x60",
        "top = hose - frame: 1 union M10",
        "end = hose - arm: 1 union M10",
        Job("bleed", "bleed", JobKind.BLEED, Phase.REBUILD, fluid="f"),
        Opening("o", "o", "hose", ("top",), needs_closing=False, fluid="f"),
        Fluid("f", "fluid", "frame"),
        *jobs,
        datum="frame",
    )
    of = with_joint(of, "arm-frame", final_when=FinalWhen.LADEN)
    return with_part(of, "hose", kind=kind)


def in_pieces(of):
    """Hose and arm are off."""
    return apart(of, "end", "top", "hose", "arm-frame", "arm")


def test_a_brake_hose_that_was_apart_is_looked_at_as_it_moves():
    """After its joints and those of the arm; with what to look for, and the caution."""
    plan = plan_of(car(), in_pieces(car()))
    assert_order(plan, "tighten top", LOOK)
    assert_order(plan, "tighten arm-frame", LOOK)
    step = step_in(plan, LOOK)
    assert "full droop" in step.notes[0]
    assert "one corner at a time" in step.cautions[0]


@pytest.mark.parametrize("when", [FinalWhen.LADEN, FinalWhen.AS_FITTED])
def test_it_is_looked_at_when_all_that_moves_is_together(when):
    """A spring at the other end: with it the suspension cannot be moved before it is tight."""
    front = Zone("front", "front")
    of = vehicle(
        "leaf = spring - frame: 1 bolt M12x1.75x60; zone here",
        "top = hose - frame: 1 union M10; zone front",
        "end = hose - caliper: 1 union M10; zone front",
        Job("bleed", "bleed", JobKind.BLEED, Phase.REBUILD, fluid="f"),
        Opening("o", "o", "hose", ("top",), needs_closing=False, fluid="f"),
        Fluid("f", "fluid", "frame"),
        front,
        datum="frame",
    )
    of = with_part(
        with_joint(of, "leaf", final_when=when), "hose", kind=PartKind.HOSE, zone="front"
    )
    plan = plan_of(of, apart(of, "leaf", "spring", "end", "top", "hose"))
    if when is FinalWhen.LADEN:
        assert_order(plan, "tighten leaf", LOOK)
    else:  # what does not move with the suspension is not waited for
        assert_order(plan, LOOK, "put on spring")
        laden = with_joint(of, "leaf", final_when=FinalWhen.LADEN)
        state = apart(laden, "leaf", "spring", "end", "top", "hose")
        told = check_rebuild(laden, state, plan)
        assert RebuildRule.DROOP in {fault.rule for fault in told}


def test_it_is_looked_at_before_the_first_run():
    """Nothing runs before somebody looked."""
    start = Job("start", "start", JobKind.RUN, Phase.REBUILD)
    assert_order(plan_of(car(start), in_pieces(car(start))), LOOK, "do start")


@pytest.mark.parametrize(
    "more",
    [{"parts": ("hose",)}, {"joints": ("top",)}, {"name": "Every corner at full droop"}],
    ids=str,
)
def test_a_declared_look_stands_for_it(more):
    """One that names the hose or its joint, or says that it is of this sort."""
    look = Job("look", more.pop("name", "look"), JobKind.CHECK, Phase.REBUILD, **more)
    found = lines(plan_of(car(look), in_pieces(car(look))))
    assert LOOK not in found
    assert "do look" in found


def test_a_declared_look_waits_for_what_it_looks_at():
    """It names the hose: not before that is on and tight, nor before the arm is; facts win."""
    look = Job("look", "hoses at droop and bump", JobKind.CHECK, Phase.REBUILD, parts=("hose",))
    of = car(look)
    plan = plan_of(of, in_pieces(of))
    assert LOOK not in lines(plan)
    for each in ("top", "end", "arm-frame"):
        assert_order(plan, f"tighten {each}", "do look")
    early = Before("b", "job:look", "joint:top", "it is offered up", Phase.REBUILD)
    of = replace(of, befores={"b": early})
    assert_order(plan_of(of, in_pieces(of)), "do look", "make top")


def test_a_pipe_and_a_hose_of_another_circuit_want_none():
    """Rigid lines do not move, and a coolant hose carries no pedal."""
    pipe = car(kind=PartKind.PIPE)
    assert LOOK not in lines(plan_of(pipe, in_pieces(pipe)))
    coolant = car().with_records(jobs={})
    assert LOOK not in lines(plan_of(coolant, in_pieces(coolant)))


def made(of, *, prepared: int | None = None, done: int | None = None, noted: int = 5):
    """All is together again; the hose's joint was made last, and its torque noted maybe later."""
    state = apart(of)
    joint = JointState(
        "top", made=said(noted), closed=said(5), tightness=Tightness.FINAL, times_made=1
    )
    looked = Common(prepared=(said(prepared),) if prepared else ())
    state = with_states(state, "joints", [joint])
    state = with_states(state, "parts", [PartState("hose", common=looked)])
    bled = FluidState("f", filled=said(6), bled=said(7))
    state = with_states(state, "fluids", [bled])
    return replace(state, jobs={"look": JobState("look", done=said(done))}) if done else state


def test_a_torque_noted_later_opens_nothing():
    """Neither is the hose looked at once more, nor the circuit bled; the checker agrees."""
    of = car()
    plan = plan_of(of, made(of, prepared=8, noted=9))
    assert lines(plan) == []
    noted = JointState("top", made=said(9), closed=said(9), tightness=Tightness.FINAL)
    as_found = with_states(made(of), "joints", [noted])
    assert lines(plan_of(of, as_found)) == []
    cracked = with_states(made(of), "joints", [replace(noted, cracked=said(8))])
    assert any("bleed" in each for each in lines(plan_of(of, cracked)))


@pytest.mark.parametrize(
    ("prepared", "done", "asked"),
    [(None, None, True), (4, None, True), (8, None, False), (None, 4, True), (None, 8, False)],
)
def test_who_looked_since_need_not(prepared, done, asked):
    """A look before the joint was made again does not count."""
    look = Job("look", "droop", JobKind.CHECK, Phase.REBUILD)
    of = car(look) if done else car()
    assert (LOOK in lines(plan_of(of, made(of, prepared=prepared, done=done)))) == asked


@pytest.mark.parametrize("late", [True, False])
def test_the_checker_tells_a_hose_that_nobody_looks_at_in_time(late):
    """Left out, or before the arm is there to be moved."""
    of, state = car(), in_pieces(car())
    plan = plan_of(of, state)
    look = step_in(plan, LOOK)
    others = tuple(step for step in plan.steps if step is not look)
    steps = (look, *others) if late else others
    faults = check_rebuild(of, state, replace(plan, steps=steps))
    assert {fault.rule for fault in faults} == {RebuildRule.DROOP}
