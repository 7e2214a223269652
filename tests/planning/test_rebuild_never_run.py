"""What is final after a run that nobody described: last of all, and open until somebody says."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from putback.logbook.state import FitState, JobState, JointState
from putback.planning.check import RebuildRule, check_rebuild
from putback.planning.plan import Stage
from putback.planning.rebuild import open_finals
from putback.planning.rebuild.never_run import NOTE
from putback.planning.replan_rebuild import replan_rebuild
from putback.vehicle.job import JobKind
from putback.vehicle.joint import FinalWhen
from tests.makers import vehicle
from tests.planning.hand_made import said
from tests.planning.rebuilding import (
    apart,
    carried_out,
    job,
    lines,
    plan_of,
    step_in,
    with_joint,
    with_states,
)
from tests.strategies.rebuilds import torn_vehicles

AFTER = [FinalWhen.AFTER_FIRST_RUN, FinalWhen.RENIPPED_HOT]


def lids(when=FinalWhen.AFTER_FIRST_RUN, *more):
    """A head, to be re-tightened when it has run, under a cover; and a lid beside it."""
    car = vehicle("head - block", "cover - head", "lid - block", *more, datum="block")
    return with_joint(car, "head-block", final_when=when)


def torn(car):
    """All of it is off; the head came off last."""
    return apart(car, "lid-block", "lid", "cover-head", "cover", "head-block", "head")


@pytest.mark.parametrize("when", AFTER)
def test_without_a_run_it_is_finished_last_of_all(when):
    """Nothing runs in the plan, so the head is tightened for good behind all that is built."""
    plan = plan_of(lids(when), torn(lids(when)))
    assert lines(plan)[-1] == "finish head-block"
    assert [step.stage for step in plan.steps[-2:]] == [Stage.BUILD, Stage.AFTER]
    assert plan.steps[-1].notes[0] == NOTE


def test_a_job_that_finishes_it_is_last_too():
    """A declared job of tightening, and what facts put after it."""
    again = job("again", JobKind.TIGHTEN, joints=("head-block",))
    car = lids(AFTER[0], again, job("look", JobKind.CHECK), "again before look: then (rebuild)")
    plan = plan_of(car, torn(car))
    assert lines(plan)[-2:] == ["do again", "do look"]
    assert step_in(plan, "do again").notes[0] == NOTE
    state = carried_out(torn(car), plan, len(plan.steps) - 1)
    found = replan_rebuild(car, state, plan)
    assert (lines(found.plan), found.changes, found.kept) == (["do look"], (), True)
    assert check_rebuild(car, state, found.plan) == ()


def test_with_a_run_nothing_is_said():
    """The run is planned: the head is finished after it, as ever."""
    car = lids(AFTER[0], job("start", JobKind.RUN))
    plan = plan_of(car, torn(car))
    assert lines(plan)[-2:] == ["do start", "finish head-block"]
    assert plan.steps[-1].notes == ()
    assert [each.note for each in open_finals(car, torn(car))] == [""]


def test_it_stays_on_the_list_until_somebody_says_that_it_is_final():
    """All is done but that: it is still told, with what it waits for."""
    car = lids()
    plan = plan_of(car, torn(car))
    built = carried_out(torn(car), plan, len(plan.steps) - 1)
    assert [(each.joint, each.note) for each in open_finals(car, built)] == [("head-block", NOTE)]
    assert open_finals(car, carried_out(built, plan_of(car, built), 1)) == ()


@pytest.mark.parametrize(("ran_at", "note"), [(4, ""), (2, NOTE)], ids=["since", "before"])
def test_a_run_since_it_was_made_counts(ran_at, note):
    """It ran after the head was nipped, or before that: only the first is a run it waited for."""
    car = lids(AFTER[0], job("start", JobKind.RUN))
    state = apart(car, "lid-block", "lid")
    state = with_states(state, "joints", [replace(nipped(), made=said(3))])
    state = with_states(state, "jobs", [JobState("start", done=said(ran_at))])
    plan = plan_of(car, state)
    assert step_in(plan, "finish head-block").notes == ((note,) if note else ())
    (found,) = open_finals(car, state)
    assert found.note == note


def nipped() -> JointState:
    """The head's joint, nipped."""
    from putback.logbook.entries.rebuilding import Tightness

    return JointState("head-block", tightness=Tightness.NIPPED)


def test_what_is_temporary_comes_out_before_it():
    """A brace that nothing claims is out before anybody drives."""
    car = lids()
    state = with_states(torn(car), "fits", [FitState("brace", "brace", fitted=said(9))])
    plan = plan_of(car, state)
    assert plan.steps[-1].take_out == ()
    assert plan.steps[-2].take_out == ("brace",)
    moved = [*plan.steps[:-2], replace(plan.steps[-2], take_out=())]
    moved.append(replace(plan.steps[-1], take_out=("brace",)))
    faults = check_rebuild(car, state, replace(plan, steps=tuple(moved)))
    assert {each.rule for each in faults} == {RebuildRule.TEMPORARY}


def test_the_checker_tells_what_is_built_behind_it():
    """A lid put on after the head was tightened as if it had run."""
    car = lids()
    plan = plan_of(car, torn(car))
    at = lines(plan).index("tighten head-block")
    *others, last = plan.steps
    moved = replace(plan, steps=(*others[: at + 1], last, *others[at + 1 :]))
    rules = {each.rule for each in check_rebuild(car, torn(car), moved)}
    assert rules >= {RebuildRule.FINAL, RebuildRule.TRIAL}


@given(torn_vehicles(), st.data())
def test_on_random_vehicles_it_is_the_end(torn, data):
    """Whatever the vehicle: after what waits for a run nothing goes on, if facts do not ask."""
    of, state = torn
    chosen = data.draw(st.sets(st.sampled_from(list(of.joints)), max_size=2))
    joints = {
        each.id: replace(each, final_when=AFTER[0], standings=()) if each.id in chosen else each
        for each in of.joints.values()
    }
    jobs = {each.id: each for each in of.jobs.values() if each.kind is not JobKind.RUN}
    named = {f"job:{each}" for each in of.jobs.keys() - jobs.keys()}
    befores = {k: v for k, v in of.befores.items() if named.isdisjoint((v.first, v.then))}
    of = of.with_records(joints=joints, jobs=jobs, befores=befores)
    plan_of(of, replace(state, vehicle=of))
