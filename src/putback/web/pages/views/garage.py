"""All vehicles that somebody may see, and beginning another."""

from dataclasses import dataclass

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_POST, require_safe

from putback.errors import AlreadyExists
from putback.logbook.entries.base import LogbookId
from putback.web.here import here
from putback.web.pages.access import device_of, for_people, role_in
from putback.web.pages.sent_once import sending_of
from putback.web.pages.show import page
from putback.workshop.exchange.demo import lay_out_demo
from putback.workshop.exchange.story import DEMO_VEHICLE
from putback.workshop.logbooks.ports import Role, Shelved
from putback.workshop.people.people import Device

IN_THE_STRIP = 14
"""So many sittings of the demo's story are over when somebody meets it."""
NOTICE = "made up, to try things on"


@dataclass(frozen=True, slots=True)
class ListedVehicle:
    """A vehicle in the list."""

    logbook: LogbookId
    name: str
    role: str
    notice: str
    """What must be said of it at once: that it is made up, for one."""
    holds: tuple[str, ...]
    """Standing holds that are in force, in words."""


@dataclass(frozen=True, slots=True)
class GaragePage:
    """What the list of vehicles shows."""

    vehicles: tuple[ListedVehicle, ...]
    """Those in which the person has a role and that they did not put away, by name."""
    away: tuple[ListedVehicle, ...]
    """Those that they put away."""
    offers_demo: bool
    """Whether the demo is not in the list already."""
    name: str
    """Of whoever is signed in."""


@require_safe
def garage(request: HttpRequest) -> HttpResponse:
    """List the vehicles; a stranger is asked to sign in."""
    device = device_of(request)
    if device is None:
        return redirect("sign_in")
    people, away = here().people, here().people.store.put_away(device.person)
    vehicles = [
        _listed(each, role)
        for each in here().workshop.logbooks()
        if (role := role_in(each.id, device.person)) is not None
    ]
    listed = tuple(each for each in vehicles if each.logbook not in away)
    names = {each.id: each.name for each in people.store.people()}
    shown = GaragePage(
        vehicles=listed,
        away=tuple(each for each in vehicles if each.logbook in away),
        offers_demo=all(each.logbook != DEMO_VEHICLE for each in listed),
        name=names.get(device.person, device.person),
    )
    return page(request, "pages/garage.html", shown)


def _listed(vehicle: Shelved, role: Role) -> ListedVehicle:
    notice = NOTICE if vehicle.id == DEMO_VEHICLE else ""
    holds = tuple(each.words for each in here().workshop.state(vehicle.id).in_force)
    return ListedVehicle(vehicle.id, vehicle.name, role.value, notice, holds)


@require_POST
@for_people
def new_vehicle(request: HttpRequest, device: Device) -> HttpResponse:
    """Begin a vehicle's logbook, of which no more than the name is known."""
    logbook = here().workshop.new_vehicle(
        request.POST.get("name", ""),
        who=device.person,
        device=device.id,
        as_act=sending_of(request, device.person).act,
    )
    return redirect("now", logbook)


@require_POST
@for_people
def demo(request: HttpRequest, device: Device) -> HttpResponse:
    """Show the demo, in the middle of its strip; whoever is not the first to ask may look."""
    workshop = here().workshop
    try:
        lay_out_demo(workshop, device.person, device.id, IN_THE_STRIP)
    except AlreadyExists:
        if role_in(DEMO_VEHICLE, device.person) is None:
            workshop.store.grant(DEMO_VEHICLE, device.person, Role.VIEWER)
    here().people.store.set_put_away(device.person, DEMO_VEHICLE, False)
    return redirect("now", DEMO_VEHICLE)


@require_POST
@for_people
def put_away(request: HttpRequest, device: Device) -> HttpResponse:
    """Take a vehicle out of one's list, or put it back; its logbook stays as it is."""
    logbook = LogbookId(request.POST.get("logbook", ""))
    if role_in(logbook, device.person) is None:
        raise Http404
    is_away = request.POST.get("away") == "yes"
    here().people.store.set_put_away(device.person, logbook, is_away)
    return redirect("garage")
