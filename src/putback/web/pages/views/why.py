"""Why a thing comes where it does in the plan at hand, or before another."""

from dataclasses import dataclass

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_safe

from putback.errors import InputError
from putback.planning.plan import STEPS_FOR
from putback.vehicle.ids import Ref
from putback.web.here import here
from putback.web.pages.access import Visit, for_role
from putback.web.pages.asked import Asked, asked
from putback.web.pages.show import page
from putback.workshop.desk import put
from putback.workshop.desk.questions import answer_of
from putback.workshop.garage import in_its_garage
from putback.workshop.names import find_subject
from putback.workshop.on_offer import names_on_offer
from putback.workshop.ports import Role
from putback.workshop.why_told import Told, told_before, told_there


@dataclass(frozen=True, slots=True)
class WhyPage:
    """What the page shows."""

    what: str
    then: str
    fault: str
    names: tuple[str, ...]
    asked: Asked | None
    told: Told | None


@require_safe
@for_role(Role.VIEWER)
def why(request: HttpRequest, visit: Visit) -> HttpResponse:
    """Ask why, and show the answer once it is there."""
    workshop = here().workshop
    state = in_its_garage(workshop, visit.logbook)
    typed = {key: request.GET.get(key, "").strip() for key in ("what", "then")}
    args: dict[str, object] = {}
    fault = ""
    try:
        args = {key: find_subject(state, text, STEPS_FOR) for key, text in typed.items() if text}
    except InputError as error:
        fault = str(error)
    slip = None
    if "what" in args:
        kind = "before" if "then" in args else "why"
        slip = put(here().desk, workshop, visit.logbook, kind, args)
    found = answer_of(slip) if slip else None
    told = None
    if found is not None:
        told = told_before(state, found) if "then" in args else told_there(state, found)
    names = {
        key: state.name_of(Ref(str(args[key]))) if key in args else typed[key] for key in typed
    }
    context = WhyPage(
        what=names["what"],
        then=names["then"],
        fault=fault,
        names=names_on_offer(state, STEPS_FOR),
        asked=asked(slip) if slip else None,
        told=told,
    )
    return page(request, "pages/why.html", context, visit, status=404 if fault else 200)
