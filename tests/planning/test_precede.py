"""What must precede a step: any order that keeps to it breaks no rule of strip or rebuild."""

from dataclasses import replace
from functools import cache
from random import Random

import pytest
from hypothesis import assume, example, given, settings
from hypothesis import strategies as st

from putback.errors import ImpossibleGoal
from putback.logbook.state import FluidState
from putback.planning.check import RebuildRule, StripRule, check_rebuild, check_strip
from putback.planning.plan import USUAL, PlanSettings
from putback.planning.precede import Precedence, precede_strip
from putback.planning.precede_rebuild import precede_rebuild
from putback.planning.rebuild import plan_rebuild
from putback.planning.strip import plan_strip
from putback.vehicle.assembly import Assembly
from putback.vehicle.facts import Phase
from putback.vehicle.generate import draw
from putback.vehicle.ids import AssemblyId, JobId, PartId
from putback.vehicle.job import Job, JobKind
from putback.vehicle.opening import Fluid
from putback.vehicle.part import Part, PartKind
from tests.makers import ZONE, standing, vehicle
from tests.planning.hand_made import said, state_of
from tests.planning.rebuilding import apart, carried_out, with_states
from tests.planning.rebuilding import lines as rebuild_lines
from tests.planning.stripping import lines, planned
from tests.planning.test_check_generated_rebuild import stripped
from tests.planning.test_strip_stands import TWO_TANKS
from tests.strategies.aloft import hung_vehicles
from tests.strategies.planning import cases

SIZES = [(7, 1), (20, 2), (40, 4)]


@cache
def strip_of(parts: int, seed: int):
    """A generated vehicle, its state, goal and plan, and what must precede each step."""
    found = draw(parts, seed)
    goal = found.vehicle.goals["all-off"]
    state = state_of(found.vehicle, standing=found.steps[0].standing)
    plan = plan_strip(found.vehicle, state, goal)
    return state, goal, plan, precede_strip(found.vehicle, state, goal, plan.steps)


def able(precede: tuple[Precedence, ...], done: set[int]) -> list[int]:
    """The steps that may come next: all this says, and nothing else."""
    left = [n for n in range(len(precede)) if n not in done]
    stint = min(precede[n].stint for n in left)
    begun = {precede[n].visit for n in done} & {precede[n].visit for n in left} - {None}
    return [
        n
        for n in left
        if precede[n].stint == stint
        and (not begun or precede[n].visit in begun)
        and all(done.intersection(way) for way in precede[n].needs)
    ]


def shuffled(precede: tuple[Precedence, ...], rng: Random) -> list[int]:
    """Any order that keeps to it."""
    done: dict[int, None] = {}
    while len(done) < len(precede):
        next_ones = able(precede, set(done))
        assert next_ones, f"nothing may come after {list(done)}"
        done[rng.choice(next_ones)] = None
    return list(done)


def faults(state, goal, plan, order, wanted=USUAL) -> list[str]:
    """What is wrong with the plan in another order, costs apart."""
    other = replace(plan, steps=tuple(plan.steps[n] for n in order))
    found = check_strip(state.vehicle, state, goal, other, wanted)
    return [str(each) for each in found if each.rule is not StripRule.COST]


@given(st.sampled_from(SIZES), st.randoms(use_true_random=False))
def test_any_order_that_keeps_to_it_is_allowed_by_the_rules(size, rng):
    """Generated vehicles: rules of order, of what hangs and of how it stands, at each step."""
    state, goal, plan, precede = strip_of(*size)
    assert faults(state, goal, plan, shuffled(precede, rng)) == []


@given(cases(), st.randoms(use_true_random=False))
def test_so_it_is_for_small_vehicles_with_every_sort_of_fact(case, rng):
    """Wholes, benches, supports for a while, runs, and a strip begun somehow."""
    try:
        plan = plan_strip(case.vehicle, case.state, case.goal)
    except ImpossibleGoal:
        assume(False)
    before = faults(case.state, case.goal, plan, range(len(plan.steps)))
    assert before == []
    precede = precede_strip(case.vehicle, case.state, case.goal, plan.steps)
    assert faults(case.state, case.goal, plan, shuffled(precede, rng)) == []


def rebuilt(state, plan, rng) -> list[str]:
    """What is wrong with a rebuild in another order, costs apart."""
    precede = precede_rebuild(state.vehicle, state, plan.steps)
    assert [n for n in range(len(precede)) if n not in able(precede, set(range(n)))] == []
    other = replace(plan, steps=tuple(plan.steps[n] for n in shuffled(precede, rng)))
    found = check_rebuild(state.vehicle, state, other)
    return [str(each) for each in found if each.rule is not RebuildRule.COST]


@pytest.mark.parametrize("case", [(20, 2, 1.0), (30, 6, 0.5), (40, 4, 0.8)], ids=str)
def test_any_order_of_a_rebuild_that_keeps_to_it_is_allowed(case):
    """Generated vehicles, stripped so far: loose before tight, fastened next, standing firmly."""
    state, plan = stripped(*case)
    for seed in range(3):
        assert rebuilt(state, plan, Random(seed)) == []


@example(9, Random(0))
@given(st.integers(0, 90), st.randoms(use_true_random=False))
@settings(max_examples=max(6, settings().max_examples // 10))
def test_so_it_is_in_the_middle_of_a_rebuild(done, rng):
    """Whatever was put on and not fastened yet is fastened before anything else."""
    start, plan = stripped(30, 6, 0.5)
    state = carried_out(start, plan, done)
    assert rebuilt(state, plan_rebuild(state.vehicle, state), rng) == []


@given(hung_vehicles(rebuild_facts=True), st.randoms(use_true_random=False))
def test_so_it_is_where_much_hangs_and_facts_cross(case, rng):
    """Small vehicles on stands, with hoses and heavy parts, torn apart somehow."""
    vehicle, state = case
    try:
        plan = plan_rebuild(vehicle, state)
    except ImpossibleGoal:
        assume(False)
    assert check_rebuild(vehicle, state, plan) == ()
    assert rebuilt(state, plan, rng) == []


@pytest.mark.parametrize("size", SIZES, ids=str)
def test_the_plans_own_order_keeps_to_it(size):
    """Nothing is asked for that comes later in the plan."""
    *_, precede = strip_of(*size)
    for number in range(len(precede)):
        assert number in able(precede, set(range(number)))


def test_it_leaves_a_choice():
    """It is no fixed order: there is often more than one thing to do."""
    *_, precede = strip_of(40, 4)
    choices = [len(able(precede, set(range(n)))) for n in range(len(precede))]
    assert sum(choices) / len(choices) > 2


def test_of_two_ways_either_will_do():
    """Hood or cap in the way of the tank's joint: once one is off it may be undone."""
    v = vehicle(
        "hood - frame",
        "cap - frame",
        "tank - frame",
        "hood or cap blocks tank - frame",
        datum="frame",
    )
    plan = planned(v)
    precede = precede_strip(v, state_of(v), v.goals["bare"], plan.steps)
    at = {line: n for n, line in enumerate(lines(plan))}
    hood, cap = at["take off part:hood"], at["take off part:cap"]
    needs = {tuple(sorted(way)) for way in precede[at["undo joint:tank-frame"]].needs}
    assert tuple(sorted((hood, cap))) in needs
    assert (hood,) not in needs
    assert (cap,) not in needs


def test_weight_keeps_its_order_where_another_could_tip_it():
    """With 33 cm to keep, one tank or the other first makes a difference; with 5 cm none."""
    state = state_of(TWO_TANKS, standing="square")
    goal = TWO_TANKS.goals["bare"]
    plan = planned(TWO_TANKS, standing="square")
    tanks = [n for n, line in enumerate(lines(plan)) if line.startswith("take off")]

    def first_ones(least_margin_m: float) -> list[bool]:
        wanted = PlanSettings(least_margin_m=least_margin_m)
        precede = precede_strip(TWO_TANKS, state, goal, plan.steps, wanted)
        return [(tanks[0],) in precede[tanks[1]].needs]

    assert first_ones(0.33) == [True]
    assert first_ones(0.05) == [False]


def test_what_is_missing_from_the_plan_is_never_done():
    """A step that waits for what the steps given do not do cannot be next."""
    v = vehicle("lid - frame", "tank - frame", "lid blocks tank", datum="frame")
    plan = planned(v)
    steps = [step for step in plan.steps if "lid" not in step.what]
    precede = precede_strip(v, state_of(v), v.goals["bare"], steps)
    tank = next(n for n, step in enumerate(steps) if step.what == "part:tank")
    assert () in precede[tank].needs


def test_a_visit_is_not_begun_before_all_of_it_can_be_done():
    """The cover stays in the air until it is bolted, and that waits for a look at it."""
    v = vehicle(
        "pump - frame: 2 nut M8",
        "cover - pump: 2 nut M8",
        Job(JobId("look"), "look at it", JobKind.CHECK, Phase.REBUILD),
        "look before cover-pump: so (rebuild)",
        standing("stands", "frame"),
        datum="frame",
    )
    state = apart(v, "cover-pump", "cover", standing="stands")
    plan = plan_rebuild(v, state)
    precede = precede_rebuild(v, state, plan.steps)
    assert rebuild_lines(plan)[:2] == ["do look", "put on cover"]
    assert precede[1].needs == ((0,),)


def test_what_was_left_in_the_air_is_held_before_a_hose_is_made_to_it():
    """The pump was left on, with nothing that holds it: it must not hang on its hose."""
    v = vehicle(
        "pump - bracket: 2 nut M8",
        "hose - pump: 2 nut M8",
        "hose - bracket: 2 nut M8",
        "bracket - frame: 2 nut M8",
        Part(PartId("hose"), "hose", ZONE, kind=PartKind.HOSE),
        standing("stands", "frame"),
        datum="frame",
    )
    state = apart(v, "pump-bracket", "hose-pump", standing="stands")
    plan = plan_rebuild(v, state)
    at = {line: n for n, line in enumerate(rebuild_lines(plan))}
    precede = precede_rebuild(v, state, plan.steps)
    assert (at["make pump-bracket"],) in precede[at["make hose-pump"]].needs


def test_a_whole_of_which_a_part_went_on_by_itself_keeps_its_place():
    """The plan is behind what was logged: its step stays where it was, and nothing breaks."""
    parts = (PartId("engine"), PartId("pump"))
    v = vehicle(
        "engine - frame",
        "pump - engine",
        Assembly(AssemblyId("unit"), "engine unit", parts),
        datum="frame",
    )
    start = apart(v, "engine-frame", "unit=engine+pump")
    plan = plan_rebuild(v, start)
    state = with_states(
        start, "parts", [replace(start.parts["engine"], off=None, whole=None, on=said(99))]
    )
    precede = precede_rebuild(v, state, plan.steps)
    whole = next(n for n, step in enumerate(plan.steps) if step.what == "assembly:unit")
    others = [n for n in range(len(precede)) if n != whole]
    assert others
    for number in others:
        first, then = sorted((number, whole))
        assert (first,) in precede[then].needs


def test_a_fluid_of_which_nobody_said_what_holds_it_keeps_nothing_in_order():
    """Logged by its name alone: nobody knows where it weighs, and all the rest is told."""
    car = vehicle("lid - frame", Fluid("f", "coolant", "?"), datum="frame")
    out = FluidState("f", drained=said(1))
    state = with_states(apart(car, "lid-frame", "lid"), "fluids", [out])
    plan = plan_rebuild(car, state)
    assert "fill f" in rebuild_lines(plan)
    assert len(precede_rebuild(car, state, plan.steps)) == len(plan.steps)
