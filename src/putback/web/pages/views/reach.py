"""What is in the way of one thing: the least that must come off to get at it."""

from dataclasses import dataclass

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_safe

from putback.planning.plan import STEPS_FOR
from putback.web.here import here
from putback.web.pages.access import Visit, for_role
from putback.web.pages.asked import Asked, asked
from putback.web.pages.named import Named, named
from putback.web.pages.sheet import Opened, sheet_of
from putback.web.pages.show import page
from putback.workshop.desk import put
from putback.workshop.desk.questions import answer_of
from putback.workshop.logbooks.garage import in_its_garage
from putback.workshop.logbooks.ports import Role
from putback.workshop.saying.on_offer import names_on_offer


@dataclass(frozen=True, slots=True)
class ReachPage:
    """What the page shows."""

    what: Named
    """What is got at, as it was typed or found."""
    names: tuple[str, ...]
    asked: Asked | None
    sheet: Opened | None
    is_least: bool
    """Whether no way takes less."""


@require_safe
@for_role(Role.VIEWER)
def reach(request: HttpRequest, visit: Visit) -> HttpResponse:
    """Ask what is in the way of a thing, and show the answer once it is there."""
    workshop = here().workshop
    state = in_its_garage(workshop, visit.logbook)
    what = named(state, request.GET.get("what", ""), STEPS_FOR)
    slip = None
    if what.ref:
        slip = put(here().desk, workshop, visit.logbook, "reach", {"what": what.ref})
    found = answer_of(slip) if slip else None
    context = ReachPage(
        what=what,
        names=names_on_offer(state, STEPS_FOR),
        asked=asked(slip) if slip else None,
        sheet=sheet_of(request, state, found.steps) if found else None,
        is_least=bool(found and found.optimal),
    )
    return page(request, "pages/reach.html", context, visit)
