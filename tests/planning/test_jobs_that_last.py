"""A job once done counts in the strip only until what it was done for is together again."""

from dataclasses import replace

import pytest

import putback
from putback.logbook.entries.rebuilding import Filled, JointMade, PartOn, Tightness
from putback.logbook.entries.working import JobDone, JointUndone, PartOff
from putback.logbook.fluids import fluids_out, is_fluid_out
from putback.logbook.state import FluidState, JobState, JointState, PartState
from putback.planning.check import StripRule, check_strip
from putback.planning.check.due import Due
from putback.planning.known import Known
from putback.planning.plan import Action, Plan
from putback.planning.strip import plan_strip
from putback.vehicle.facts import Before
from putback.vehicle.job import Job, JobKind
from putback.vehicle.opening import Fluid
from tests.planning.hand_made import BARE, buggy, said, state_of, table


def wet() -> putback.Vehicle:
    """The buggy with petrol, a job that cracks its nuts, and one that gears up the hoist."""
    v = buggy()
    more = table(
        Job("loosen", "crack the nuts", JobKind.CRACK, joints=("nuts",)),
        Job("lift", "take the weight", JobKind.PREPARE),
        Job("dead", "circuits dead", JobKind.PREPARE),
    )
    hoist = replace(v.temporary_supports["hoist"], first="job:lift")
    return replace(
        v,
        fluids=table(Fluid("petrol", "petrol", "tank", drained_by="drain")),
        jobs={**v.jobs, **more},
        befores={**v.befores, "b9": Before("b9", "job:dead", "joint:union", "no sparks")},
        temporary_supports={"hoist": hoist},
    )


def after(job: str, key: int = 2, **again):
    """The state when the job was done first, and things were put together at ``key``."""
    v = wet()
    jobs = {job: JobState(job, done=said(1))}
    state = replace(state_of(v), jobs=jobs)
    if "filled" in again:
        fluid = FluidState("petrol", filled=said(key))
        return replace(state, fluids={"petrol": fluid})
    if "made" in again:
        joint = JointState(again["made"], made=said(key), tightness=Tightness.FINAL)
        return replace(state, joints={joint.joint: joint})
    part = PartState(again["on"], on=said(key))
    return replace(state, parts={part.part: part})


ENDS = [
    ("drain", {"filled": "petrol"}),
    ("drain", {"on": "tank"}),
    ("dead", {"made": "union"}),
    ("loosen", {"made": "nuts"}),
    ("lift", {"on": "engine"}),
]


@pytest.mark.parametrize(("job", "again"), ENDS)
def test_what_is_put_together_later_makes_a_job_void(job, again):
    """Filled, made or put on after the job: planner and checker both take it as not done."""
    state = after(job, **again)
    assert job not in Known(state.vehicle, state).done
    plan = plan_strip(state.vehicle, state, replace(BARE, jobs=("survey", job)))
    assert (Action.DO, f"job:{job}") in {(s.action, s.what) for s in plan.steps}
    goal = replace(BARE, jobs=("survey", job))
    assert check_strip(state.vehicle, state, goal, plan) == ()


@pytest.mark.parametrize(("job", "again"), ENDS)
def test_what_was_put_together_before_leaves_a_job_done(job, again):
    """What was filled, made or put on before the job says nothing: to do it again is a fault."""
    state, void = after(job, key=0, **again), after(job, **again)
    assert job in Known(state.vehicle, state).done
    goal = replace(BARE, jobs=("survey", job))
    plan = plan_strip(void.vehicle, void, goal)
    faults = check_strip(state.vehicle, state, goal, plan)
    assert any(f.rule is StripRule.ONCE and f.what == f"job:{job}" for f in faults)


def test_a_plan_that_trusts_the_old_drain_is_at_fault():
    """A plan made while the tank was dry lacks the drain once it is filled."""
    dry, full = after("drain", key=0, filled=""), after("drain", filled="")
    plan = plan_strip(dry.vehicle, dry, BARE)
    assert "job:drain" not in {step.what for step in plan.steps}
    faults = check_strip(full.vehicle, full, BARE, plan)
    assert any(f.rule is StripRule.BEFORE and "drain the tank" in f.words for f in faults)


def test_a_survey_once_done_stays_done():
    """What was recorded as found is not unlearnt when the hinge is made again."""
    state = after("survey", made="hinge")
    assert "survey" in Known(state.vehicle, state).done
    plan = plan_strip(state.vehicle, state, BARE)
    assert "job:survey" not in {step.what for step in plan.steps}
    assert check_strip(state.vehicle, state, BARE, plan) == ()


def test_a_joint_made_since_it_was_cracked_is_cracked_again():
    """Torqued again it is as fast as ever, so the plan cracks it on the wheels once more."""
    v = wet()
    joint = JointState("nuts", cracked=said(1), made=said(2), tightness=Tightness.FINAL)
    state = replace(state_of(v, standing="wheels"), joints={"nuts": joint})
    plan = plan_strip(v, state, BARE)
    doing = {(step.action, step.what) for step in plan.steps}
    assert doing & {(Action.CRACK, "joint:nuts"), (Action.DO, "job:loosen")}
    assert check_strip(v, state, BARE, plan) == ()


@pytest.mark.slow
def test_the_demo_vehicle_put_back_is_stripped_with_every_safety_job():
    """Stripped, put on, made and filled, the second strip does what the first did but survey."""
    diary = putback.garage_in_memory(who="Ann").new_vehicle(putback.demo_vehicle())
    v, goal = diary.state().vehicle, "engine bay clear"

    def jobs(plan: Plan) -> set[str]:
        return {step.what.removeprefix("job:") for step in plan.steps if step.action is Action.DO}

    first = diary.strip(goal)
    for step in first.steps:
        kind, _, identity = step.what.partition(":")
        if step.action is Action.UNDO:
            diary.log(JointUndone(joint=identity))
        elif step.action is Action.DO:
            diary.log(JobDone(job=identity))
        elif kind == "part":
            diary.log(PartOff(part=identity))
        elif kind == "assembly":
            parts = v.assemblies[identity].parts
            diary.log(*[PartOff(part=part, whole=identity) for part in parts])
    diary.log(*[PartOn(part=part) for part in diary.state().parts_off])
    made = diary.state().undone_joints
    diary.log(*[JointMade(joint=joint, tightness=Tightness.FINAL) for joint in made])
    diary.log(*[Filled(fluid=f.id) for f in v.fluids.values() if f.drained_by])
    second = jobs(diary.strip(goal))
    assert {v.jobs[job].kind for job in jobs(first) - second} == {JobKind.SURVEY}
    assert second <= jobs(first)


@pytest.mark.parametrize(("drained", "is_out"), [(3, True), (1, False)])
def test_what_is_drained_again_is_out_again(drained, is_out):
    """A fluid is out while its drain job was done later than it was last filled."""
    v = wet()
    state = replace(
        state_of(v),
        jobs={"drain": JobState("drain", done=said(drained))},
        fluids={"petrol": FluidState("petrol", filled=said(2))},
    )
    assert is_fluid_out(v, state, "petrol") is is_out
    assert ("petrol" in fluids_out(v, state)) is is_out
    assert ("petrol" in Due(v, state).out) is is_out
