"""The checker on rebuilds of generated vehicles: the planned one passes, a spoilt one does not.

Checker and planner share no code, so that each is held against the other here; the checker alone
is held against plans written by hand in `test_check_rebuild`.
"""

from collections.abc import Callable
from dataclasses import replace
from functools import cache
from random import Random

import pytest

from putback.logbook.state import State
from putback.planning.check import RebuildRule, check_rebuild
from putback.planning.plan import Action, Plan, Step
from putback.planning.rebuild import plan_rebuild
from putback.vehicle.facts import Phase
from putback.vehicle.generate import Act, draw
from putback.vehicle.ids import split_ref
from tests.planning.hand_made import state_of

CASES = [(20, 2, 1.0), (30, 6, 0.5), (60, 3, 1.0), (60, 5, 0.7), (120, 4, 0.4)]
"""Parts, seed, and how much of the strip is done when the rebuild begins."""
LARGE = (120, 8, 1.0)


@cache
def stripped(parts: int, seed: int, share: float) -> tuple[State, Plan]:
    """A generated vehicle, stripped so far along its hidden order, and the plan back."""
    drawn = draw(parts, seed)
    done = drawn.steps[: round(share * len(drawn.steps))]
    name = {act: [split_ref(step.ref)[1] for step in done if step.act is act] for act in Act}
    state = state_of(
        drawn.vehicle,
        off=name[Act.OFF],
        undone=name[Act.UNDO],
        done=name[Act.DO],
        standing=done[-1].standing,
        order=[step.ref for step in done if step.act in (Act.UNDO, Act.OFF)],
    )
    return state, plan_rebuild(drawn.vehicle, state)


@pytest.mark.parametrize("case", [*CASES, pytest.param(LARGE, marks=pytest.mark.soak)], ids=str)
def test_what_the_planner_writes_has_no_fault(case):
    """From wherever the strip was stopped, the planned rebuild breaks no rule."""
    state, plan = stripped(*case)
    assert check_rebuild(state.vehicle, state, plan) == ()


# -- one fault planted at a random place ----------------------------------------------------------

Steps = list[Step]
Plant = Callable[[State, Steps, Random], Steps | None]


def some(steps: Steps, rng: Random, *actions: Action) -> int | None:
    """A random step of some actions."""
    places = [place for place, step in enumerate(steps) if step.action in actions]
    return rng.choice(places) if places else None


def place_of(steps: Steps, action: Action, what: str) -> int | None:
    """Where something is done."""
    return next(
        (at for at, each in enumerate(steps) if (each.action, each.what) == (action, what)), None
    )


def move(steps: Steps, place: int, to: int) -> Steps:
    """Do a step elsewhere, in the standing of its new neighbour."""
    moved = replace(steps[place], standing=steps[to].standing)
    left = [*steps[:place], *steps[place + 1 :]]
    return [*left[:to], moved, *left[to:]]


def left_out(state, steps, rng):
    """Something is never put on or made."""
    place = some(steps, rng, Action.PUT_ON, Action.MAKE, Action.TIGHTEN)
    return [*steps[:place], *steps[place + 1 :]]


def repeated(state, steps, rng):
    """Something is done once more, at the end."""
    return [*steps, rng.choice(steps)]


def tight_before_made(state, steps, rng):
    """A joint is tightened before it is made."""
    place = some(steps, rng, Action.MAKE)
    tight = place_of(steps, Action.TIGHTEN, steps[place].what)
    return move(steps, tight, place)


def made_in_the_air(state, steps, rng):
    """A joint is made before one of its parts is on."""
    place = some(steps, rng, Action.MAKE)
    parts = state.vehicle.joints[split_ref(steps[place].what)[1]].parts
    ons = [
        on for part in parts if (on := place_of(steps, Action.PUT_ON, f"part:{part}")) is not None
    ]
    return move(steps, place, rng.choice(ons)) if ons else None


def behind_something(state, steps, rng):
    """A joint is made when the one thing in its way is back on."""
    facts = [
        (place, on)
        for fact in state.vehicle.obstructions.values()
        if len(fact.any_of) == 1
        and (place := place_of(steps, Action.MAKE, fact.of)) is not None
        and (on := place_of(steps, Action.PUT_ON, f"part:{fact.any_of[0]}")) is not None
    ]
    if not facts:
        return None
    place, on = rng.choice(facts)
    return move(steps, place, on)


def out_of_order(state, steps, rng):
    """What a fact of the rebuild puts second is begun first."""
    begins = {"part": Action.PUT_ON, "joint": Action.MAKE, "job": Action.DO}
    ends = {**begins, "joint": Action.TIGHTEN}
    pairs = [
        (first, then)
        for fact in state.vehicle.befores.values()
        if fact.phase is not Phase.STRIP
        and (first := place_of(steps, ends[split_ref(fact.first)[0]], fact.first)) is not None
        and (then := place_of(steps, begins[split_ref(fact.then)[0]], fact.then)) is not None
    ]
    if not pairs:
        return None
    first, then = rng.choice(pairs)
    return move(steps, then, first)


def out_of_reach(state, steps, rng):
    """A joint is made in a standing that it does not name."""
    places = [
        (place, other)
        for place, step in enumerate(steps)
        if step.action is Action.MAKE
        for other in state.vehicle.standings
        if (named := state.vehicle.joints[split_ref(step.what)[1]].standings)
        and other not in named
    ]
    if not places:
        return None
    place, other = rng.choice(places)
    return [*steps[:place], replace(steps[place], standing=other), *steps[place + 1 :]]


def never_finished(state, steps, rng):
    """A joint that waits is left nipped."""
    place = some(steps, rng, Action.FINISH)
    return None if place is None else [*steps[:place], *steps[place + 1 :]]


def unchecked(state, steps, rng):
    """Nobody looks at a critical joint."""
    place = some(steps, rng, Action.CHECK)
    return None if place is None else [*steps[:place], *steps[place + 1 :]]


def run_too_early(state, steps, rng):
    """It is started before it is filled."""
    run = place_of(steps, Action.DO, "job:first-start")
    fills = [at for at, each in enumerate(steps) if each.what.startswith("job:fill-")]
    return move(steps, run, min(fills)) if run is not None and fills else None


def not_renewed(state, steps, rng):
    """A used split pin goes in again."""
    places = [place for place, step in enumerate(steps) if step.renew]
    if not places:
        return None
    place = rng.choice(places)
    return [*steps[:place], replace(steps[place], renew=()), *steps[place + 1 :]]


def miscounted(state, steps, rng):
    """A step takes less than it does."""
    place = rng.choice([place for place, step in enumerate(steps) if step.minutes])
    return [*steps[:place], replace(steps[place], minutes=0.0), *steps[place + 1 :]]


PLANTED: dict[Plant, RebuildRule] = {
    left_out: RebuildRule.COMPLETE,
    repeated: RebuildRule.COMPLETE,
    tight_before_made: RebuildRule.MAKE,
    made_in_the_air: RebuildRule.MAKE,
    behind_something: RebuildRule.IN_THE_WAY,
    out_of_order: RebuildRule.BEFORE,
    out_of_reach: RebuildRule.STANDINGS,
    never_finished: RebuildRule.FINAL,
    unchecked: RebuildRule.CHECK,
    run_too_early: RebuildRule.FLUIDS,
    not_renewed: RebuildRule.RENEW,
    miscounted: RebuildRule.COST,
}


@pytest.mark.slow
@pytest.mark.parametrize("plant", PLANTED, ids=lambda plant: plant.__name__)
def test_a_fault_planted_anywhere_is_told(plant):
    """Whatever else it upsets, the rule that was broken complains; small ones most often."""
    spoilt = 0
    for case in CASES[:3]:
        state, plan = stripped(*case)
        rng = Random(f"{case}/{plant.__name__}")
        for _ in range(4):
            steps = plant(state, list(plan.steps), rng)
            if steps is not None:
                spoilt += 1
                faults = check_rebuild(state.vehicle, state, replace(plan, steps=tuple(steps)))
                assert PLANTED[plant] in {fault.rule for fault in faults}
    assert spoilt >= 4
