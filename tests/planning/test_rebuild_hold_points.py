"""A check that something waits for is made when nothing else holds that up, and no sooner."""

from dataclasses import replace
from itertools import pairwise

import pytest

from putback.planning.plan import Action
from putback.planning.sittings import sittings
from putback.vehicle.facts import Before, Phase
from putback.vehicle.job import JobKind
from tests.makers import vehicle
from tests.planning.rebuilding import apart, job, lines, plan_of
from tests.planning.test_check_generated_rebuild import stripped

NEAR = 20
"""What goes on with the same tool in the hand may still come between [steps]."""
CASES = [(30, 6, 0.5), (60, 3, 1.0), (120, 4, 0.4)]


def lever(*facts, kind=JobKind.CHECK, **more):
    """An arm with a pipe, and a spring that goes in last; the arm is tried before the spring."""
    car = vehicle(
        "arm - frame; zone front",
        "pipe - arm; zone front",
        "spring - arm; zone front",
        "lamp - frame; zone rear",
        "pipe - arm before spring: it is reached past it (rebuild)",
        *facts,
        datum="frame",
    )
    look = job("try", kind, **more)
    fact = Before("tried", "job:try", "part:spring", "it moves by hand", Phase.REBUILD)
    car = car.with_records(jobs={look.id: look}, befores={**car.befores, fact.id: fact})
    off = ["lamp-frame", "lamp", "spring-arm", "spring", "pipe-arm", "pipe", "arm-frame", "arm"]
    return car, apart(car, *off)


def test_a_check_comes_right_before_what_waits_for_it():
    """Nothing comes before it, so it could be first; pipe and arm are on when it is made."""
    said = lines(plan_of(*lever()))
    assert said.index("do try") == said.index("put on spring") - 1
    assert said.index("do try") > said.index("tighten pipe-arm")


def test_what_is_measured_comes_early():
    """A survey says what to buy or to make: it is not left."""
    assert lines(plan_of(*lever(kind=JobKind.SURVEY)))[0] == "do try"


def test_a_check_that_leads_to_another_waits_as_long():
    """Of two, the first is no reason to make either sooner."""
    car, state = lever()
    again = job("again", JobKind.CHECK)
    fact = Before("then", "job:again", "job:try", "first alone", Phase.REBUILD)
    car = car.with_records(
        jobs={**car.jobs, again.id: again}, befores={**car.befores, fact.id: fact}
    )
    said = lines(plan_of(car, replace(state, vehicle=car)))
    at = said.index("put on spring")
    assert said[at - 2 : at] == ["do again", "do try"]


def test_a_check_that_a_joint_waits_for_is_made_before_its_part_is_held_up():
    """The spring is not held by hand while the arm is tried."""
    car, state = lever()
    fact = replace(car.befores["tried"], then="joint:spring-arm")
    car = car.with_records(befores={**car.befores, fact.id: fact})
    said = lines(plan_of(car, replace(state, vehicle=car)))
    assert said.index("do try") < said.index("put on spring")


def test_a_check_left_is_made_before_its_zone_is_left():
    """In the rear only the lamp goes on: it is not come back to for the check."""
    plan = plan_of(*lever(zone="rear"))
    zones = [step.zone for step in plan.steps if step.zone in ("front", "rear")]
    assert sum(a != b for a, b in pairwise(zones)) <= 2


@pytest.mark.parametrize("case", CASES, ids=str)
def test_a_check_of_a_generated_vehicle_is_made_with_what_waits_for_it(case):
    """A part that goes on late waits for it, and it for nothing: its sitting is that part's."""
    state, plan = stripped(*case)
    puts = [step.what for step in plan.steps if step.action is Action.PUT_ON]
    part = puts[len(puts) * 3 // 4]
    look = job("look", JobKind.CHECK)
    fact = Before("tried", "job:look", part, "so", Phase.REBUILD)
    car = state.vehicle.with_records(
        jobs={**state.vehicle.jobs, look.id: look},
        befores={**state.vehicle.befores, fact.id: fact},
    )
    plan = plan_of(car, replace(state, vehicle=car))
    said = lines(plan)
    tried, on = said.index("do look"), said.index(f"put on {part.partition(':')[2]}")
    (sitting,) = (each for each in sittings(plan.steps) if each.first <= tried < each.end)
    assert tried < on < sitting.end
    assert on - tried <= NEAR
