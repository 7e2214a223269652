"""What cures still is not loaded without a word: rule 18 of the rebuild."""

from dataclasses import replace
from datetime import date

import pytest

from putback.logbook.entries.rebuilding import Tightness
from putback.logbook.state import JointState
from putback.planning.check import RebuildRule, check_rebuild
from putback.planning.plan import PlanSettings
from putback.planning.rebuild import plan_rebuild
from putback.vehicle.facts import Phase
from putback.vehicle.job import Job, JobKind
from tests.makers import vehicle
from tests.planning.hand_made import likely, said
from tests.planning.rebuilding import apart, lines, plan_of, step_in, with_states


def bonded():
    """A bracket bonded to the frame, a lamp to go on it, and a seat beside."""
    car = vehicle("bracket - frame", "lamp - bracket", "seat - floor", datum="frame")
    state = apart(car, "lamp-bracket", "lamp", "seat-floor", "seat")
    cures = JointState(
        "bracket-frame", made=said(9), tightness=Tightness.FINAL, curing_until="2031-05-04"
    )
    return car, with_states(state, "joints", [cures])


@pytest.mark.parametrize(
    ("today", "told"),
    [(None, True), (date(2031, 5, 3), True), (date(2031, 5, 4), True), (date(2031, 5, 5), False)],
)
def test_what_would_load_it_says_so_until_it_is_hard(today, told):
    """The lamp and its joint; the seat does not touch it."""
    car, state = bonded()
    settings = PlanSettings(today=today)
    plan = plan_rebuild(car, state, settings)
    assert check_rebuild(car, state, plan, settings) == ()
    said_by = {step.what for step in plan.steps if any("cures until" in c for c in step.cautions)}
    assert said_by == ({"part:lamp", "joint:lamp-bracket"} if told else set())


def test_the_checker_tells_a_step_that_does_not_say_so():
    """The caution left out."""
    car, state = bonded()
    plan = plan_rebuild(car, state)
    make = step_in(plan, "make lamp-bracket")
    steps = tuple(replace(each, cautions=()) if each is make else each for each in plan.steps)
    (fault,) = check_rebuild(car, state, replace(plan, steps=steps))
    assert (fault.rule, fault.step) == (RebuildRule.CURING, plan.steps.index(make))


@pytest.mark.parametrize(
    ("name", "fact", "behind"),
    [
        ("cure of the sealant", (), True),
        ("let the paint cure", (), False),
        ("cure of the sealant", ("cure before seal - frame: hard first (rebuild)",), False),
    ],
)
def test_a_declared_cure_comes_after_what_it_cures(name, fact, behind):
    """Sealant is on once the joint is made; paint has to be hard before, and facts win."""
    cure = Job(
        "cure", name, JobKind.CURE, Phase.REBUILD, minutes=likely(600), joints=("seal-frame",)
    )
    car = vehicle("seal - frame", cure, *fact, datum="frame")
    plan = plan_of(car, apart(car, "seal-frame", "seal"))
    done = lines(plan)
    assert (done.index("do cure") > done.index("tighten seal-frame")) is behind
