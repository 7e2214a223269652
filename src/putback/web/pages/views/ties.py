"""Ties before a lift: a walk-round, zone by zone, ticked on the phone."""

from dataclasses import dataclass

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_safe

from putback.errors import InputError
from putback.logbook.state import State
from putback.planning.ties import Ties
from putback.planning.ties import ties as find_ties
from putback.vehicle.ids import PartId, Ref
from putback.web.here import here
from putback.web.pages.access import Visit, for_role
from putback.web.pages.show import page
from putback.workshop.garage import in_its_garage
from putback.workshop.names import find, find_subject
from putback.workshop.on_offer import names_on_offer
from putback.workshop.ports import Role
from putback.workshop.walk_round import WalkRound, walk_round

_LIFTED = ("part", "assembly")


@dataclass(frozen=True, slots=True)
class TiesPage:
    """What the page shows."""

    typed: str
    off: str
    """What it is lifted off, if somebody said."""
    everything: bool
    """Whether ties further off, by way of other parts, are shown too."""
    fault: str
    names: tuple[str, ...]
    walk: WalkRound | None


@require_safe
@for_role(Role.VIEWER)
def ties(request: HttpRequest, visit: Visit) -> HttpResponse:
    """Show what ties a lift."""
    state = in_its_garage(here().workshop, visit.logbook)
    typed, off = (request.GET.get(key, "").strip() for key in ("what", "off"))
    found, fault = None, ""
    if typed:
        try:
            found = _found(state, typed, off)
        except InputError as error:
            fault = str(error)
    everything = "all" in request.GET
    context = TiesPage(
        typed=", ".join(map(state.name_of, found.lift)) if found else typed,
        off=off,
        everything=everything,
        fault=fault,
        names=names_on_offer(state, _LIFTED),
        walk=walk_round(state, found, everything=everything) if found else None,
    )
    return page(request, "pages/ties.html", context, visit, status=404 if fault else 200)


def _found(state: State, typed: str, off: str) -> Ties:
    lift = [Ref(find_subject(state, each.strip(), _LIFTED)) for each in typed.split(",") if each]
    rest = [PartId(find(state, "part", each.strip())) for each in off.split(",") if each.strip()]
    return find_ties(state.vehicle, state, *lift, apart_from=rest)
