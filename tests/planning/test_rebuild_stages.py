"""The stages of a rebuild, and the trial build before paint: rule 16 of the rebuild."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from putback.logbook.common import Away, Common
from putback.planning.check import RebuildRule, check_rebuild
from putback.planning.plan import Action, Stage
from putback.vehicle.facts import Phase
from putback.vehicle.ids import JobId
from putback.vehicle.job import Job, JobKind
from tests.makers import standing, vehicle
from tests.planning.hand_made import said
from tests.planning.rebuilding import apart, assert_order, lines, plan_of, step_in, with_states
from tests.strategies.rebuilds import torn_vehicles


def job(name: str, kind: JobKind, **more) -> Job:
    """A job of the rebuild."""
    return Job(JobId(name), more.pop("says", name), kind, Phase.REBUILD, **more)


def car(*more):
    """A door on a shell on a frame, with a trial, paint, a run and a look after it."""
    return vehicle(
        "shell - frame: 4 bolt M8x1.25x20",
        "door - shell: 2 bolt M8x1.25x20",
        "seat - shell: 2 bolt M8x1.25x20",
        job("trial", JobKind.PROVE, joints=("door-shell",)),
        job("spray", JobKind.PREPARE, says="Spray the shell", parts=("shell",)),
        job("start", JobKind.RUN),
        job("look", JobKind.CHECK, says="Look again"),
        "trial before spray: what does not fit is found before paint (rebuild)",
        "start before look: when it has run (rebuild)",
        *more,
        datum="frame",
    )


def in_pieces(of):
    """All of it is off."""
    return apart(of, "seat-shell", "seat", "door-shell", "door", "shell-frame", "shell")


def test_every_step_says_its_stage():
    """Trial, paint, final build, first run and after, in this order."""
    plan = plan_of(car(), in_pieces(car()))
    stages = list(dict.fromkeys(step.stage for step in plan.steps))
    assert stages == [Stage.TRIAL, Stage.PAINT, Stage.BUILD, Stage.RUN, Stage.AFTER]
    assert step_in(plan, "do trial").stage is Stage.TRIAL
    assert step_in(plan, "do look").stage is Stage.AFTER


def test_the_trial_build_comes_before_all_that_is_for_good():
    """Also before what no fact puts after it: the seat waits."""
    free = vehicle(
        "door - frame: 2 bolt M8x1.25x20",
        "seat - frame: 2 bolt M8x1.25x20",
        job("trial", JobKind.PROVE, joints=("door-frame",)),
        datum="frame",
    )
    plan = plan_of(free, apart(free, "seat-frame", "seat", "door-frame", "door"))
    assert lines(plan)[0] == "do trial"


def test_what_leads_to_the_trial_belongs_to_it():
    """A wheel that must be on for the trial goes on first, as part of it."""
    of = car("hub - frame: 1 clip", "hub before trial: it stands on it (rebuild)")
    state = apart(of, "seat-shell", "seat", "shell-frame", "shell", "hub-frame", "hub")
    plan = plan_of(of, state)
    assert_order(plan, "put on hub", "do trial", "put on shell")
    assert step_in(plan, "put on hub").stage is Stage.TRIAL


def test_a_trial_that_waits_for_a_part_holds_nothing_up():
    """What can be done without the part on order goes on; the trial comes when it is there."""
    of = car("hub - frame: 1 clip", "hub before trial: it stands on it (rebuild)")
    of = of.with_records(befores={k: v for k, v in of.befores.items() if v.first == "part:hub"})
    state = apart(of, "seat-shell", "seat", "door-shell", "door", "hub-frame", "hub")
    hub = replace(state.parts["hub"], common=Common(ordered=(Away(said(9), "a firm"),)))
    plan = plan_of(of, with_states(state, "parts", [hub]))
    assert_order(plan, "put on seat", "put on hub", "do trial", "make door-shell")


def test_what_is_away_cannot_be_offered_up():
    """A door at the painter's when the trial is due: the job says so."""
    state = in_pieces(car())
    away = Common(sent_out=Away(said(9), "Painter", "paint", "May"))
    door = replace(state.parts["door"], common=away)
    step = step_in(plan_of(car(), with_states(state, "parts", [door])), "do trial")
    assert any("door is not here to be offered up: at Painter" in each for each in step.cautions)


def test_without_a_trial_there_is_none():
    """A plan without a declared trial has no such stage."""
    of = vehicle("lid - frame: 1 clip", datum="frame")
    plan = plan_of(of, apart(of, "lid-frame", "lid"))
    assert {step.stage for step in plan.steps} == {Stage.BUILD}


def faults_of(of, state, plan, *steps):
    """What the checker says to these steps, but for their cost."""
    faults = check_rebuild(of, state, replace(plan, steps=tuple(steps)))
    return {fault.rule for fault in faults} - {RebuildRule.COST}


def test_the_checker_tells_a_wrong_stage():
    """A step that says it belongs elsewhere is told."""
    of, state = car(), in_pieces(car())
    plan = plan_of(of, state)
    for at, step in enumerate(plan.steps):
        others = [each for each in Stage if each not in (step.stage, Stage.TRIAL)]
        wrong = replace(step, stage=others[at % len(others)])
        steps = (*plan.steps[:at], wrong, *plan.steps[at + 1 :])
        assert faults_of(of, state, plan, *steps) == {RebuildRule.TRIAL}


def test_the_checker_tells_what_goes_on_before_it_is_proved():
    """A seat put on for good while the trial could be done."""
    of, state = car(), in_pieces(car())
    of = of.with_records(jobs={"trial": of.jobs["trial"]}, befores={})
    state = replace(state, vehicle=of)
    plan = plan_of(of, state)
    first, *others = plan.steps
    assert first.what == "job:trial"
    at = next(i for i, step in enumerate(others) if step.action is Action.PUT_ON)
    moved = [replace(others[at], stage=Stage.BUILD), first, *others[:at], *others[at + 1 :]]
    assert faults_of(of, state, plan, *moved) == {RebuildRule.TRIAL}


@pytest.mark.parametrize("in_standing", ["stands", "wheels"])
def test_a_trial_is_done_where_it_can_be(in_standing):
    """In its own standing, and still first."""
    of = vehicle(
        "door - frame: 2 bolt M8x1.25x20",
        "seat - frame: 2 bolt M8x1.25x20",
        standing("stands", "frame", wheels=10.0),
        standing("wheels", "frame", stands=10.0),
        job("trial", JobKind.PROVE, joints=("door-frame",), standings=(in_standing,)),
        datum="frame",
    )
    state = apart(of, "seat-frame", "seat", "door-frame", "door", standing="stands")
    first = plan_of(of, state).steps[0]
    assert (first.what, first.standing) == ("job:trial", in_standing)


@given(torn_vehicles(), st.data())
def test_whatever_is_to_be_proved_is_proved_first(torn, data):
    """Random trials on random vehicles: the plan passes, and its stages come once each but one."""
    of, state = torn
    joints = data.draw(st.lists(st.sampled_from(list(of.joints)), max_size=3, unique=True))
    trial = job("trial", JobKind.PROVE, joints=tuple(joints))
    start = job("start", JobKind.RUN)
    of = of.with_records(jobs={**of.jobs, "trial": trial, "start": start})
    plan = plan_of(of, replace(state, vehicle=of))
    stages = [step.stage for step in plan.steps]
    if Stage.RUN in stages:
        after = stages[stages.index(Stage.RUN) :]
        assert set(after) <= {Stage.RUN, Stage.AFTER}
