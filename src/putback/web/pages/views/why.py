"""Why a thing comes where it does in the plan at hand, or before another."""

from dataclasses import dataclass

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_safe

from putback.planning.plan import STEPS_FOR
from putback.web.here import here
from putback.web.pages.access import Visit, for_role
from putback.web.pages.asked import Asked, asked
from putback.web.pages.named import Named, named
from putback.web.pages.show import page
from putback.workshop.desk import put
from putback.workshop.desk.questions import answer_of
from putback.workshop.logbooks.garage import in_its_garage
from putback.workshop.logbooks.ports import Role
from putback.workshop.plans.why_told import Told, told_before, told_there
from putback.workshop.saying.on_offer import names_on_offer


@dataclass(frozen=True, slots=True)
class WhyPage:
    """What the page shows."""

    what: Named
    then: Named
    """What it would come before; nothing where it is asked why it comes where it does."""
    names: tuple[str, ...]
    asked: Asked | None
    told: Told | None


@require_safe
@for_role(Role.VIEWER)
def why(request: HttpRequest, visit: Visit) -> HttpResponse:
    """Ask why, and show the answer once it is there."""
    workshop = here().workshop
    state = in_its_garage(workshop, visit.logbook)
    what, then = (named(state, request.GET.get(key, ""), STEPS_FOR) for key in ("what", "then"))
    slip = None
    if what.ref and then.ref:
        args = {"what": what.ref, "then": then.ref}
        slip = put(here().desk, workshop, visit.logbook, "before", args)
    elif what.ref and not then.fault:
        slip = put(here().desk, workshop, visit.logbook, "why", {"what": what.ref})
    found = answer_of(slip) if slip else None
    told = None
    if found is not None:
        told = told_before(state, found) if then.ref else told_there(state, found)
    context = WhyPage(
        what=what,
        then=then,
        names=names_on_offer(state, STEPS_FOR),
        asked=asked(slip) if slip else None,
        told=told,
    )
    return page(request, "pages/why.html", context, visit)
