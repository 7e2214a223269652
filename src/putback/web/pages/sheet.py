"""A plan on a page: one sitting of it is open, and others are opened by a tap."""

from collections.abc import Sequence
from dataclasses import dataclass

from django.http import HttpRequest

from putback.logbook.state import State
from putback.planning.plan import Plan, Step
from putback.workshop.plans.plan_sheet import PlanSheet, plan_sheet

_OPENED, _ALL = "at", "all"


@dataclass(frozen=True, slots=True)
class Opened:
    """The sheet, and what of the address stays when another sitting is opened."""

    plan: PlanSheet
    opened: int
    query: str


def sheet_of(
    request: HttpRequest, state: State, steps: Sequence[Step], plan: Plan | None = None
) -> Opened:
    """Lay out steps with that sitting open which the address names; else the first."""
    said = request.GET.get(_OPENED, "")
    opened = int(said) if said.isdecimal() else 0
    query = request.GET.copy()
    for name in (_OPENED, _ALL):
        query.pop(name, None)
    laid = plan_sheet(state, steps, plan, opened=opened, everything=_ALL in request.GET)
    return Opened(laid, opened, query.urlencode())
