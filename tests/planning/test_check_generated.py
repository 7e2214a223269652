"""The checker on generated vehicles: the order they were drawn along passes, spoilt ones do not.

The good plan is the order hidden in a generated vehicle, costed step by step by `written`; no
planner of ours has a hand in it.
"""

from collections.abc import Callable
from functools import cache
from random import Random

import pytest

from putback.planning.check import StripRule, check_strip
from putback.vehicle.facts import Phase
from putback.vehicle.generate import Act, draw
from tests.planning.hand_made import state_of, written

SIZES = [(7, 1), (20, 2), (60, 3), (120, 4), (200, 5)]
ACTIONS = {Act.DO: "do", Act.CRACK: "crack", Act.UNDO: "undo", Act.OFF: "take off"}


@cache
def drawn(parts: int, seed: int):
    """A vehicle, the goal of everything off, a state, and lines that reach it."""
    found = draw(parts, seed)
    goal = found.vehicle.goals["all-off"]
    lines = [f"{ACTIONS[step.act]} {step.ref} @ {step.standing}" for step in found.steps]
    state = state_of(found.vehicle, standing=found.steps[0].standing)
    return found.vehicle, goal, state, tuple(lines)


def rules_told(parts: int, seed: int, lines) -> set[StripRule]:
    """The rules that complain about these lines."""
    vehicle, goal, state, _ = drawn(parts, seed)
    plan = written(vehicle, lines, goal=goal.id, state=state)
    return {fault.rule for fault in check_strip(vehicle, state, goal, plan)}


@pytest.mark.parametrize(("parts", "seed"), SIZES)
def test_the_hidden_order_has_no_fault(parts, seed):
    """The order that every fact was drawn along breaks no rule."""
    vehicle, goal, state, lines = drawn(parts, seed)
    plan = written(vehicle, lines, goal=goal.id, state=state)
    assert check_strip(vehicle, state, goal, plan) == ()


# -- one fault planted at a random place ----------------------------------------------------------


def place_of(lines, ref: str) -> int:
    """Where a thing is undone, taken off or done."""
    return next(
        place
        for place, line in enumerate(lines)
        if f" {ref} @" in line and not line.startswith("crack")
    )


def move(lines, what: int, to: int) -> list[str]:
    """Do a step earlier or later, in the standing of its new neighbour."""
    deed = lines[what].partition(" @ ")[0]
    line = f"{deed} @ {lines[to].partition(' @ ')[2]}"
    rest = [*lines[:what], *lines[what + 1 :]]
    return [*rest[:to], line, *rest[to:]]


def a_step_left_out(vehicle, lines, rng):
    """A joint is never undone."""
    places = [
        place
        for place, line in enumerate(lines)
        if line.startswith("undo") and len(vehicle.joints[joint_of(line)].parts) == 2
    ]
    place = rng.choice(places)
    return [*lines[:place], *lines[place + 1 :]]


def joint_of(line: str) -> str:
    """The joint that a line names."""
    return line.partition(" @ ")[0].rpartition("joint:")[2]


def a_step_repeated(vehicle, lines, rng):
    """Something is done once more, at the end."""
    return [*lines, rng.choice(lines)]


def a_part_off_too_early(vehicle, lines, rng):
    """A part comes off before the last joint that holds it is undone."""
    places = [
        place
        for place, line in enumerate(lines)
        if line.startswith("take off") and lines[place - 1].startswith("undo")
    ]
    place = rng.choice(places)
    return move(lines, place, place - 1)


def behind_something(vehicle, lines, rng):
    """A joint is undone while the one thing in its way is still on."""
    facts = [
        fact
        for fact in vehicle.obstructions.values()
        if len(fact.any_of) == 1 and fact.of.startswith("joint:")
    ]
    if not facts:
        return None
    fact = rng.choice(facts)
    return move(lines, place_of(lines, fact.of), place_of(lines, f"part:{fact.any_of[0]}"))


def out_of_order(vehicle, lines, rng):
    """What comes second is done first."""
    facts = [fact for fact in vehicle.befores.values() if fact.phase is Phase.STRIP]
    fact = rng.choice(facts)
    return move(lines, place_of(lines, fact.then), place_of(lines, fact.first))


def out_of_reach(vehicle, lines, rng):
    """A joint is undone in a standing that it does not name."""
    places = [
        (place, other)
        for place, line in enumerate(lines)
        if line.startswith("undo")
        for other in vehicle.standings
        if (named := vehicle.joints[joint_of(line)].standings) and other not in named
    ]
    if not places:
        return None
    place, other = rng.choice(places)
    deed = lines[place].partition(" @ ")[0]
    return [*lines[:place], f"{deed} @ {other}", *lines[place + 1 :]]


def uncracked(vehicle, lines, rng):
    """A joint that has to be cracked on the wheels is not."""
    places = [place for place, line in enumerate(lines) if line.startswith("crack")]
    if not places:
        return None
    place = rng.choice(places)
    return [*lines[:place], *lines[place + 1 :]]


def too_late(vehicle, lines, rng):
    """Something is done after what makes it impossible."""
    facts = [fact for fact in vehicle.harder_afters.values() if fact.factor is None]
    if not facts:
        return None
    fact = rng.choice(facts)
    return move(lines, place_of(lines, fact.job), place_of(lines, fact.after))


def the_last_part_left_on(vehicle, lines, rng):
    """The last part that the goal wants off stays on."""
    place = max(at for at, line in enumerate(lines) if line.startswith("take off"))
    return [*lines[:place], *lines[place + 1 :]]


def hanging(vehicle, lines, rng):
    """The standing is changed and changed back while a part hangs on the hoist."""
    if not vehicle.temporary_supports:
        return None
    support = rng.choice(list(vehicle.temporary_supports.values()))
    place = place_of(lines, support.first)
    here = lines[place].partition(" @ ")[2]
    other = rng.choice(list(vehicle.standings[here].change_minutes))
    unused = "do job:unused"
    return [*lines[: place + 1], f"{unused} @ {other}", *lines[place + 1 :]]


PLANTED: dict[Callable, set[StripRule]] = {
    a_step_left_out: {StripRule.TAKE_OFF},
    a_step_repeated: {StripRule.ONCE},
    a_part_off_too_early: {StripRule.TAKE_OFF},
    behind_something: {StripRule.UNDO},
    out_of_order: {StripRule.BEFORE},
    out_of_reach: {StripRule.UNDO},
    uncracked: {StripRule.CRACK_FIRST},
    too_late: {StripRule.HARDER},
    the_last_part_left_on: {StripRule.GOAL},
    hanging: {StripRule.HANGING},
}


@pytest.mark.slow
@pytest.mark.parametrize("plant", PLANTED, ids=lambda plant: plant.__name__)
def test_a_fault_planted_anywhere_is_told(plant):
    """Whatever else it upsets, the rule that was broken complains; small ones most often."""
    spoilt = 0
    for parts, seed in SIZES[1:3]:
        vehicle, _, _, lines = drawn(parts, seed)
        rng = Random(f"{parts}/{seed}/{plant.__name__}")
        for _ in range(360 // parts):
            found = plant(vehicle, list(lines), rng)
            if found is not None:
                spoilt += 1
                assert PLANTED[plant] <= rules_told(parts, seed, found)
    assert spoilt >= 6
