"""The ribbon of standings as it is drawn on a page of plans: places and widths in a drawing."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from putback.logbook.entries.base import Entry
from putback.logbook.state import State
from putback.planning.plan import Step
from putback.workshop.plans.how_far import Way
from putback.workshop.plans.ribbon import ribbon

WIDE = 1000
"""How wide the drawing is [units of the drawing]."""


@dataclass(frozen=True, slots=True)
class Leg:
    """One standing; ``x``, ``width`` and the ``done`` part of it as they are drawn."""

    name: str
    x: int
    width: int
    done: int
    done_minutes: float
    left_minutes: float
    is_now: bool


def legs(
    state: State, entries: Iterable[Entry], steps: Sequence[Step], way: Way
) -> tuple[Leg, ...]:
    """Lay out the ribbon; of several standings alike, that is now which comes first."""
    found = ribbon(state, entries, steps, way)
    now = next((each for each in found if each.is_now and each.left_minutes), None)
    return tuple(
        Leg(
            name=each.name,
            x=round(WIDE * each.at),
            width=round(WIDE * each.width),
            done=round(WIDE * each.width * each.done),
            done_minutes=each.done_minutes,
            left_minutes=each.left_minutes,
            is_now=each is now,
        )
        for each in found
    )
