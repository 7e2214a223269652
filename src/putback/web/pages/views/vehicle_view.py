"""The vehicle drawn: from the left and from above, and every part by its zone."""

from dataclasses import dataclass

from django.http import HttpRequest, HttpResponse
from django.urls import reverse
from django.views.decorators.http import require_safe

from putback.web.here import here
from putback.web.pages.access import Visit, for_role
from putback.web.pages.show import page
from putback.workshop.logbooks.garage import in_its_garage
from putback.workshop.logbooks.ports import Role
from putback.workshop.pictures.drawing import Drawn, Stand, ZoneParts, by_zone, draw
from putback.workshop.plans.balance_words import LOOK, doubts, is_wrong, margin_words
from putback.workshop.things.condition import Condition
from putback.workshop.things.parts_list import list_parts


@dataclass(frozen=True, slots=True)
class VehicleViewPage:
    """What the drawn vehicle shows."""

    part_at: str
    """How the address of a part begins: there are hundreds on the page."""
    drawn: Drawn
    zones: tuple[ZoneParts, ...]
    conditions: tuple[Condition, ...]
    """For the legend."""
    standing: str
    """How it stands; empty if nobody said."""
    is_wrong: bool
    """Its supports are described as where they should not be."""
    margin: str
    """How far from tipping, in words; empty where nothing has a mass."""
    loads: tuple[Stand, ...]
    """What each support carries."""
    doubts: tuple[str, ...]
    look: str
    """What no figure replaces."""


@require_safe
@for_role(Role.VIEWER)
def vehicle_view(request: HttpRequest, visit: Visit) -> HttpResponse:
    """Draw the vehicle as it is now."""
    workshop = here().workshop
    state = in_its_garage(workshop, visit.logbook)
    drawn = workshop.remembered.give(workshop.store, visit.logbook, "drawing", lambda: draw(state))
    stood, found = drawn.standing, drawn.balance
    shown = VehicleViewPage(
        part_at=reverse("part", args=[visit.logbook, "-"]).removesuffix("-"),
        drawn=drawn,
        zones=by_zone(list_parts(state)),
        conditions=tuple(Condition),
        standing=state.name_of(f"standing:{stood}") if stood else "",
        is_wrong=is_wrong(state, stood),
        margin=margin_words(found) if stood and found.mass_kg else "",
        loads=drawn.stands,
        doubts=tuple(doubts(state, found)),
        look=LOOK,
    )
    return page(request, "pages/vehicle_view.html", shown, visit)
