"""Ties before a lift: a walk-round, zone by zone, ticked on the phone."""

from dataclasses import dataclass

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_safe

from putback.errors import InputError
from putback.planning.ties import ties as find_ties
from putback.vehicle.ids import PartId, split_ref
from putback.web.here import here
from putback.web.pages.access import Visit, for_role
from putback.web.pages.named import Named, named
from putback.web.pages.show import page
from putback.workshop.logbooks.garage import in_its_garage
from putback.workshop.logbooks.ports import Role
from putback.workshop.plans.walk_round import WalkRound, walk_round
from putback.workshop.saying.on_offer import names_on_offer

_LIFTED = ("part", "assembly")


@dataclass(frozen=True, slots=True)
class TiesPage:
    """What the page shows."""

    lift: tuple[Named, ...]
    """What is lifted, one by one."""
    off: Named
    """What it is lifted off, if somebody said."""
    fault: str
    names: tuple[str, ...]
    walk: WalkRound | None


@require_safe
@for_role(Role.VIEWER)
def ties(request: HttpRequest, visit: Visit) -> HttpResponse:
    """Show what ties a lift."""
    state = in_its_garage(here().workshop, visit.logbook)
    lift = tuple(named(state, each, _LIFTED) for each in request.GET.getlist("what") if each)
    off = named(state, request.GET.get("off", ""), ("part",))
    everything = "all" in request.GET
    found, fault = None, ""
    refs = [each.ref for each in lift if each.ref]
    if refs and len(refs) == len(lift) and not off.fault:
        rest = [PartId(split_ref(off.ref)[1])] if off.ref else []
        try:
            found = find_ties(state.vehicle, state, *refs, apart_from=rest)
        except InputError as error:
            fault = str(error)
    context = TiesPage(
        lift=lift,
        off=off,
        fault=fault,
        names=names_on_offer(state, _LIFTED),
        walk=walk_round(state, found, everything=everything) if found else None,
    )
    return page(request, "pages/ties.html", context, visit)
