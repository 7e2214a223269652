"""Where everything is: places, boxes, bags and parts; and a new place."""

from dataclasses import dataclass

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_POST, require_safe

from putback.logbook.entries.base import ActId
from putback.web.here import here
from putback.web.pages.access import Visit, for_role
from putback.web.pages.sent_once import sent_once, to_page
from putback.web.pages.show import page
from putback.workshop.logbooks.garage import in_its_garage
from putback.workshop.logbooks.ports import GARAGE, Role
from putback.workshop.things.deeds import Option
from putback.workshop.things.places_tree import PlaceTold, new_place, places_tree

KINDS = (
    ("workshop", "a workshop"),
    ("store", "a store"),
    ("outside work", "a firm that does work for you"),
)


@dataclass(frozen=True, slots=True)
class PlacesPage:
    """All places, and what is there."""

    places: tuple[PlaceTold, ...]
    kinds: tuple[Option, ...]


@require_safe
@for_role(Role.VIEWER)
def places(request: HttpRequest, visit: Visit) -> HttpResponse:
    """Show where everything is."""
    state = in_its_garage(here().workshop, visit.logbook)
    shown = PlacesPage(places_tree(state), KINDS)
    return page(request, "pages/places.html", shown, visit)


@require_POST
@for_role(Role.WORKER)
@sent_once(to_page("places"))
def add_place(request: HttpRequest, visit: Visit, act: ActId | None) -> HttpResponse:
    """Describe a place in the garage's logbook, which all vehicles share."""
    workshop = here().workshop
    said = {name: request.POST.get(name, "") for name in ("name", "kind", "fits", "floor")}
    body = new_place(in_its_garage(workshop, visit.logbook), **said)
    workshop.log(GARAGE, [body], who=visit.person, device=visit.device, as_act=act)
    return redirect("places", visit.logbook)
