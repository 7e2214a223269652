"""The rebuild: how everything goes back, and what to see to before, beside and after it."""

from dataclasses import dataclass

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_safe

from putback.web.here import here
from putback.web.pages.access import Visit, for_role
from putback.web.pages.asked import Asked, asked
from putback.web.pages.changes import LOOKED_AT, ToldChange, told_changes
from putback.web.pages.legs import Leg, legs
from putback.web.pages.sheet import Opened, sheet_of
from putback.web.pages.show import page
from putback.workshop.desk import put
from putback.workshop.desk.on_hand import rebuild_on_hand
from putback.workshop.desk.put import REBUILD_PLAN
from putback.workshop.desk.questions import answer_of
from putback.workshop.logbooks.garage import in_its_garage
from putback.workshop.logbooks.ports import Role
from putback.workshop.plans.how_far import Way, how_far
from putback.workshop.plans.rebuild_told import RebuildTold, rebuild_told


@dataclass(frozen=True, slots=True)
class RebuildPage:
    """What the page of the rebuild shows."""

    is_in_hand: bool
    """Whether Now and all else follow the rebuild."""
    may_choose: bool
    has_plan: bool
    is_fresh: bool
    sheet: Opened
    legs: tuple[Leg, ...]
    asked: Asked | None
    changes: tuple[ToldChange, ...]
    told: RebuildTold | None
    """What belongs beside a fresh plan, in words."""


@require_safe
@for_role(Role.VIEWER)
def rebuild(request: HttpRequest, visit: Visit) -> HttpResponse:
    """Show the plan of the rebuild, and ask for a fresh one if it is not."""
    workshop = here().workshop
    state = in_its_garage(workshop, visit.logbook)
    slip = put(here().desk, workshop, visit.logbook, REBUILD_PLAN)
    plan = rebuild_on_hand(workshop, visit.logbook)
    found = answer_of(slip)
    context = RebuildPage(
        is_in_hand=how_far(state).way is Way.REBUILD,
        may_choose=visit.may(Role.WORKER),
        has_plan=plan.plan is not None,
        is_fresh=plan.is_fresh,
        sheet=sheet_of(request, state, plan.steps, plan.plan if plan.is_fresh else None),
        legs=legs(state, workshop.standing(visit.logbook), plan.steps, Way.REBUILD),
        asked=asked(slip),
        changes=_changes(visit),
        told=rebuild_told(state, found) if found is not None else None,
    )
    return page(request, "pages/rebuild.html", context, visit)


def _changes(visit: Visit) -> tuple[ToldChange, ...]:
    """What the last plans of the rebuild changed, the newest first."""
    return told_changes(
        (slip.asked_at, found.changes)
        for slip in here().desk.answered(visit.logbook, REBUILD_PLAN, LOOKED_AT)
        if (found := answer_of(slip)) is not None
    )
