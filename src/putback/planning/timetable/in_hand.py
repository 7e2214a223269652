"""What a strip lets go and takes off next: one piece of work, so that nobody leaves it hanging.

Two steps of a plan that follow one another can be one visit whatever else there is: nothing can
have to come between them.
"""

from collections.abc import Callable, Collection, Sequence
from dataclasses import replace
from itertools import pairwise

from putback.planning.plan import Action, Step
from putback.planning.precede import Precedence
from putback.planning.timetable.on_jacks import Bearing
from putback.vehicle.ids import AssemblyId, JointId, PartId, split_ref
from putback.vehicle.vehicle import Vehicle


def off_in_one_go(
    vehicle: Vehicle,
    steps: Sequence[Step],
    precedence: Sequence[Precedence],
    bearings: Sequence[Bearing],
    fits: Callable[[Collection[int]], bool],
) -> tuple[tuple[Precedence, ...], frozenset[int]]:
    """Make a visit of each step that lets something go and the next, if that takes it off.

    Where it ``fits``, and no jack bears meanwhile: of what a jack bears all is one visit already,
    or cannot be. Gives the first steps of these visits beside.
    """
    joined = list(precedence)
    begun: set[int] = set()
    for number, (step, then) in enumerate(pairwise(steps)):
        pair = (number, number + 1)
        if (
            _lets_go(vehicle, step, then)
            and precedence[number].stint == precedence[number + 1].stint
            and all(precedence[each].visit is None for each in pair)
            and not any(each.first <= number + 1 and number <= each.last for each in bearings)
            and fits(pair)
        ):
            begun.add(number)
            for each in pair:
                joined[each] = replace(precedence[each], visit=number)
    return tuple(joined), frozenset(begun)


def _lets_go(vehicle: Vehicle, step: Step, then: Step) -> bool:
    """Whether a step undoes what has to be held, and the next takes it off."""
    if step.action is not Action.UNDO or not step.prop_first or then.action is not Action.TAKE_OFF:
        return False
    kind, identity = split_ref(then.what)
    whole = vehicle.assemblies.get(AssemblyId(identity)) if kind == "assembly" else None
    parts = whole.parts if whole is not None else (PartId(identity),)
    joint = vehicle.joints.get(JointId(split_ref(step.what)[1]))
    return joint is not None and not set(joint.parts).isdisjoint(parts)
