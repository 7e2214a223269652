"""Sittings: the jobs of a plan that are done in one standing and one zone, one after another."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from putback.planning.plan import Action, Because, Step
from putback.vehicle.ids import StandingId, ZoneId

TAKES_TIME = frozenset({Action.UNDO, Action.TAKE_OFF, Action.DO, Action.PUT_ON, Action.MAKE})
"""Actions of which somebody estimates the minutes; the others are a share of these."""


@dataclass(frozen=True, slots=True)
class Sitting:
    """Steps ``first`` up to ``end`` of a plan; work and set-up [minutes]."""

    standing: StandingId | None
    zone: ZoneId | None
    first: int
    end: int
    minutes: float


def sittings(steps: Sequence[Step]) -> tuple[Sitting, ...]:
    """Cut a plan into sittings; a step without a zone belongs to the sitting it stands in.

    A job without one at its end belongs to the next, if facts let something there wait for it
    and the vehicle stands for both alike.
    """
    begins: list[int] = []
    zone: ZoneId | None = None
    for at, step in enumerate(steps):
        moved = step.zone is not None and zone is not None and step.zone != zone
        stood = at > 0 and step.standing != steps[at - 1].standing
        if at == 0 or moved or stood:
            begins.append(at)
            zone = None
        zone = step.zone if step.zone is not None else zone
    for number in range(1, len(begins)):
        before, first, end = (*begins, len(steps))[number - 1 : number + 2]
        begins[number] = _first_of(steps, before, first, end)
    return tuple(_sitting(steps, *each) for each in pairwise((*begins, len(steps))))


def _first_of(steps: Sequence[Step], before: int, first: int, end: int) -> int:
    """Where a sitting begins with the jobs just before it that belong to it; one step stays."""
    awaited = {
        reason.first
        for step in steps[first:end]
        for reason in step.reasons
        if reason.because is Because.BEFORE
    }
    while (
        first - 1 > before
        and steps[first - 1].action is Action.DO
        and steps[first - 1].zone is None
        and steps[first - 1].what in awaited
        and steps[first - 1].standing == steps[first].standing
    ):
        first -= 1
    return first


def _sitting(steps: Sequence[Step], first: int, end: int) -> Sitting:
    these = steps[first:end]
    zone = next((step.zone for step in these if step.zone is not None), None)
    minutes = sum(step.minutes + step.setup_minutes for step in these)
    return Sitting(these[0].standing, zone, first, end, minutes)


def has_no_minutes(step: Step) -> bool:
    """Whether a step takes somebody's time, and nobody estimated how long."""
    return step.action in TAKES_TIME and step.minutes == 0
