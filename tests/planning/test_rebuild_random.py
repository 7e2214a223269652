"""The rebuild of random vehicles: held against the checker, against trying all, and resumed.

States come from random valid strips, which know nothing of planners.
"""

from functools import cache

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from putback.errors import ImpossibleGoal
from putback.planning.check import check_rebuild
from putback.planning.rebuild import differences_from_reversed_strip, plan_rebuild
from putback.vehicle.generate import Act, draw
from tests.planning.brute_rebuild import Brute
from tests.planning.hand_made import state_of
from tests.planning.rebuilding import carried_out, lines, plan_of
from tests.strategies.rebuilds import half_known_vehicles, torn_vehicles


@given(torn_vehicles())
def test_whatever_came_apart_goes_back(torn):
    """A valid strip can always be put back, and the checker finds nothing wrong."""
    plan_of(*torn)


@given(torn_vehicles(rebuild_facts=True))
def test_a_rebuild_is_possible_just_when_trying_everything_finds_one(torn):
    """Facts of the rebuild may contradict each other: then, and only then, the planner says so."""
    vehicle, state = torn
    vehicle = vehicle.with_records(jobs={})
    if Brute(vehicle, state).can_be_done():
        plan_rebuild(vehicle, state)
    else:
        with pytest.raises(ImpossibleGoal) as told:
            plan_rebuild(vehicle, state)
        assert told.value.reasons


@given(torn_vehicles(rebuild_facts=True))
def test_every_plan_under_facts_of_the_rebuild_passes(torn):
    """Where there is a plan, the checker finds nothing."""
    vehicle, state = torn
    try:
        plan = plan_rebuild(vehicle, state)
    except ImpossibleGoal:
        assume(False)
    assert check_rebuild(vehicle, state, plan) == ()


@given(half_known_vehicles())
def test_what_the_description_does_not_know_goes_back_too(torn):
    """Parts and joints that only the logbook knows keep the proven order."""
    vehicle, state = torn
    try:
        plan = plan_rebuild(vehicle, state)
    except ImpossibleGoal:
        assume(False)
    assert check_rebuild(vehicle, state, plan) == ()


@given(torn_vehicles(), st.data())
def test_a_rebuild_can_be_taken_up_again_anywhere(torn, data):
    """After some steps the plan asks for just the others, and passes again."""
    vehicle, state = torn
    plan = plan_of(vehicle, state)
    count = data.draw(st.integers(0, len(plan.steps)))
    later = plan_of(vehicle, carried_out(state, plan, count))
    assert sorted(lines(later)) == sorted(lines(plan)[count:])


@given(torn_vehicles())
def test_every_difference_says_itself(torn):
    """Place, what is done instead and why, each in words."""
    vehicle, state = torn
    for each in differences_from_reversed_strip(plan_rebuild(vehicle, state), state, vehicle):
        assert each.place
        assert each.rebuild
        assert each.reason
        assert each.reason in str(each)


@cache
def half_stripped(parts: int, seed: int, share: float):
    """A generated vehicle, taken apart along its hidden order as far as a share of its steps."""
    found = draw(parts, seed)
    off, undone, done, order, standing = {}, [], [], [], None
    for step in found.steps[: int(len(found.steps) * share)]:
        kind, _, name = step.ref.partition(":")
        standing = step.standing
        if step.act is Act.UNDO:
            undone.append(name)
            order.append(step.ref)
        elif step.act is Act.DO:
            done.append(name)
        elif step.act is Act.OFF:
            together = [name] if kind == "part" else found.vehicle.assemblies[name].parts
            for part in (each for each in together if each not in off):
                off[part] = None if kind == "part" else name
                order.append(f"part:{part}")
    state = state_of(
        found.vehicle, off=off, undone=undone, done=done, order=order, standing=standing
    )
    return found.vehicle, state


SIZES = [
    (7, 1),
    (20, 2),
    (40, 7),
    (60, 3),
    pytest.param(120, 4, marks=pytest.mark.soak),
]


@pytest.mark.parametrize(("parts", "seed"), SIZES)
@pytest.mark.parametrize("share", [1.0, 0.5])
def test_generated_vehicles_go_back(parts, seed, share):
    """With standings, zones, wholes, fluids and jobs, from bare and from half way."""
    plan = plan_of(*half_stripped(parts, seed, share))
    assert plan.bound_minutes <= plan.total_minutes
    assert plan.waiting == ()


@pytest.mark.slow
@pytest.mark.parametrize("parts", [200, pytest.param(400, marks=pytest.mark.soak)])
def test_a_large_vehicle_goes_back(parts):
    """Hundreds of parts, one plan, nothing wrong with it."""
    vehicle, state = half_stripped(parts, 7, 1.0)
    plan = plan_of(vehicle, state)
    assert sum(step.action.value == "put on" for step in plan.steps) > 0.75 * parts
