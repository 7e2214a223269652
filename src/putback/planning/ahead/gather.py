"""Gather the lines of all sorts, each sort in the order of need."""

from dataclasses import dataclass

from putback.logbook.state import State
from putback.planning.ahead.ask import ask
from putback.planning.ahead.borrow import borrow
from putback.planning.ahead.coming import Horizon, View
from putback.planning.ahead.line import Line, Sort
from putback.planning.ahead.order import order
from putback.planning.ahead.settle import settle
from putback.planning.ahead.soak import soak
from putback.planning.plan import Plan
from putback.planning.sittings import has_no_minutes, sittings
from putback.vehicle.vehicle import Vehicle

_SORTS = {
    Sort.SOAK: soak,
    Sort.ORDER: order,
    Sort.BORROW: borrow,
    Sort.ASK: ask,
    Sort.SETTLE: settle,
}

_USUAL = Horizon()


@dataclass(frozen=True, slots=True)
class LookAhead:
    """What to do now for the jobs to come.

    ``sittings`` and ``minutes`` are those of the whole plan; ``not_estimated`` are its steps of
    which nobody knows the minutes, so that they count nothing in any sum.
    """

    lines: tuple[Line, ...]
    sittings: int
    minutes: float
    not_estimated: int

    def of(self, sort: Sort) -> tuple[Line, ...]:
        """The lines of one sort, in order of need."""
        return tuple(line for line in self.lines if line.sort is sort)


def look_ahead(vehicle: Vehicle, state: State, plan: Plan, horizon: Horizon = _USUAL) -> LookAhead:
    """Look over a plan for what to do now.

    Parameters
    ----------
    vehicle : Vehicle
        What the vehicle is made of.
    state : State
        What the logbook says is done, found, decided, ordered and in stock.
    plan : Plan
        The plan at hand, of a strip or a rebuild.
    horizon : Horizon
        How far to look.
    """
    view = View(vehicle, state, plan, horizon)
    lines = [
        line
        for find in _SORTS.values()
        # What can be done now comes before what must be uncovered first.
        for line in sorted(find(view), key=lambda each: (bool(each.not_yet), each.minutes))
    ]
    return LookAhead(
        tuple(lines),
        len(sittings(plan.steps)),
        plan.total_minutes,
        sum(map(has_no_minutes, plan.steps)),
    )
