"""A plan says so where a weighing contradicts the masses that its margins rest on."""

from dataclasses import replace

from putback.logbook.state import State
from putback.logbook.weighing import verdicts_of
from putback.planning.plan import Step
from putback.vehicle.vehicle import Vehicle


def saying_what_contradicts(
    vehicle: Vehicle, state: State, steps: tuple[Step, ...]
) -> tuple[Step, ...]:
    """Caution on the first step of each weighing that contradicts what is described."""
    told = tuple(
        f"a weighing contradicts what is described ({verdict.difference}): do not trust a margin "
        "or a lift worked out here before that is settled"
        for verdict in verdicts_of(vehicle, state.weighings)
        if verdict.contradicts
    )
    if not told or not steps:
        return steps
    first = steps[0]
    return (replace(first, cautions=(*told, *first.cautions)), *steps[1:])
