"""A rebuild and how the vehicle stands: changes, what a support hides, lost standings."""

from dataclasses import replace

import pytest

from putback.errors import ImpossibleGoal
from putback.planning.rebuild import plan_rebuild
from putback.vehicle.job import JobKind
from putback.vehicle.standing import Support, TemporarySupport
from tests.makers import standing, vehicle
from tests.planning.rebuilding import (
    OFF,
    apart,
    assert_order,
    job,
    lines,
    plan_of,
    rolling,
    step_in,
)


def test_a_wheel_goes_on_while_nothing_stands_on_it():
    """From its wheels the car goes to the stands for it, since there it bears on the frame."""
    car = rolling()
    plan = plan_of(car, apart(car, "nuts", "wheel", standing="stands"))
    assert step_in(plan, "put on wheel").standing == "stands"
    assert plan.start == "stands"


def test_the_standing_to_begin_in_is_chosen_where_nobody_said():
    """Any that can be entered at the start will do; the axle cannot stand on a wheel."""
    car = rolling()
    plan = plan_of(car, apart(car, *OFF))
    assert plan.start == "stands"
    assert plan.setup_minutes == 30


def test_what_needs_something_off_is_done_before_that_goes_on():
    """The long pipes are reached only while the body is on its trolley."""
    car = vehicle(
        "pipe - frame; in bare",
        "body - frame",
        standing("bare", "frame", stands=10.0, needs_off=("body",)),
        standing("stands", "frame", bare=10.0),
        datum="frame",
    )
    state = apart(car, "body-frame", "body", "pipe-frame", "pipe", standing="stands")
    plan = plan_of(car, state)
    assert_order(plan, "tighten pipe-frame", "put on body")
    assert step_in(plan, "make pipe-frame").standing == "bare"
    begun = apart(car, "body-frame", "body", "pipe-frame", "pipe", standing="bare")
    assert_order(plan_of(car, begun), "tighten pipe-frame", "put on body")


def test_a_joint_whose_only_standing_is_lost_is_made_in_another():
    """It was undone somehow with the body on, so it goes back so."""
    car = vehicle(
        "pipe - frame; in bare",
        "body - frame",
        standing("bare", "frame", stands=10.0, needs_off=("body",)),
        standing("stands", "frame", bare=10.0),
        datum="frame",
    )
    plan = plan_of(car, apart(car, "pipe-frame", "pipe", standing="stands"))
    assert {step.standing for step in plan.steps} == {"stands"}


def test_nothing_hangs_over_a_change_of_standing():
    """The engine hangs on the hoist until its mounting is tight, so first things first."""
    hanging = TemporarySupport("hoist", "hoist", "engine", "joint:mount", "part:engine")
    car = rolling(
        "mount = engine - frame; in stands",
        "steady = engine - frame; in wheels",
        hanging,
    )
    plan = plan_of(car, apart(car, "steady", "mount", "engine", *OFF, standing="stands"))
    places = [lines(plan).index(each) for each in ("put on engine", "tighten mount")]
    between = plan.steps[places[0] : places[1] + 1]
    assert {step.standing for step in between} == {"stands"}


def test_two_jobs_of_one_sitting_see_no_change_between():
    """The second is done as the vehicle stands, right after the first."""
    car = rolling(
        job("warm", JobKind.SURVEY),
        job("hot", JobKind.SURVEY, same_sitting_as="warm", standings=("wheels",)),
    )
    plan = plan_of(car, apart(car, *OFF, standing="stands"))
    assert step_in(plan, "do warm").standing == step_in(plan, "do hot").standing == "wheels"


def test_what_a_support_hides_is_done_elsewhere():
    """The saddle sits on the pipe's clip; on the wheels it is free."""
    hiding = Support("s", "stand", "frame", (0.0, 0.0), hides=("pipe",))
    car = rolling("clip = pipe - frame")
    stands = replace(car.standings["stands"], supports=(hiding,))
    car = car.with_records(standings={**car.standings, "stands": stands})
    plan = plan_of(car, apart(car, "clip", "pipe", standing="stands"))
    assert {step.standing for step in plan.steps} == {"wheels"}


def test_a_standing_that_no_way_leads_to_is_told():
    """The only standing for a joint can be entered, but not from here."""
    car = vehicle(
        "lid - frame; in pit",
        standing("pit", "frame"),
        standing("floor", "frame"),
        datum="frame",
    )
    with pytest.raises(ImpossibleGoal) as told:
        plan_rebuild(car, apart(car, "lid-frame", "lid", standing="floor"))
    assert str(told.value) == (
        "the goal 'everything back on' cannot be reached:\n"
        "  - “lid-frame” is made: only “pit”, which cannot be entered then\n"
        "it could be, if one of these were so:\n"
        "  - every standing could be changed into “pit”\n"
        "  - lid-frame could be done in another standing"
    )
