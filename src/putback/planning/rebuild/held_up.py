"""What is not here yet, and how much of the plan waits for it."""

from dataclasses import dataclass

from putback.planning.plan import Action, Because, Plan
from putback.vehicle.ids import Ref


@dataclass(frozen=True, slots=True)
class HeldUp:
    """One thing that is not here yet, and what comes after it."""

    what: Ref
    waits_for: str
    """Where it is, for what and until when, in words."""
    then: tuple[Ref, ...]
    """What waits for it, however far, each once."""
    only_by_order: tuple[Ref, ...]
    """Of these, what waits only because it came off earlier, and nobody described more."""


def held_up(plan: Plan) -> tuple[HeldUp, ...]:
    """Give what is away, on order or to be made, and what waits for it; most held up first."""
    found = []
    for step in plan.steps:
        if step.waits_for and step.action in (Action.PUT_ON, Action.MAKE):
            all_of = _after(plan, step.what, frozenset(Because))
            described = _after(plan, step.what, frozenset(Because) - {Because.ONLY_KNOWN_ORDER})
            only = tuple(each for each in all_of if each not in described)
            found.append(HeldUp(step.what, step.waits_for, all_of, only))
    return tuple(sorted(found, key=lambda each: -len(each.then)))


def _after(plan: Plan, first: Ref, because: frozenset[Because]) -> tuple[Ref, ...]:
    """What these sorts of reason put after a thing, however far, in the order of the plan."""
    found = {first: None}
    for step in plan.steps:  # every reason speaks of an earlier step
        if any(each.because in because and each.first in found for each in step.reasons):
            found.setdefault(step.what)
    return tuple(found)[1:]
