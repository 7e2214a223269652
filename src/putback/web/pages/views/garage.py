"""All vehicles that somebody may see, and beginning another."""

from dataclasses import dataclass

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_POST, require_safe

from putback.logbook.entries.base import LogbookId
from putback.web.here import here
from putback.web.pages.access import device_of, for_people, role_in
from putback.web.pages.show import page
from putback.workshop.people import Device


@dataclass(frozen=True, slots=True)
class ListedVehicle:
    """A vehicle in the list."""

    logbook: LogbookId
    name: str
    role: str


@dataclass(frozen=True, slots=True)
class GaragePage:
    """What the list of vehicles shows."""

    vehicles: tuple[ListedVehicle, ...]
    """Those in which the person has a role, by name."""


@require_safe
def garage(request: HttpRequest) -> HttpResponse:
    """List the vehicles; a stranger is asked to sign in."""
    device = device_of(request)
    if device is None:
        return redirect("sign_in")
    vehicles = tuple(
        ListedVehicle(each.id, each.name, role.value)
        for each in here().workshop.logbooks()
        if (role := role_in(each.id, device.person)) is not None
    )
    return page(request, "pages/garage.html", GaragePage(vehicles))


@require_POST
@for_people
def new_vehicle(request: HttpRequest, device: Device) -> HttpResponse:
    """Begin a vehicle's logbook, of which no more than the name is known."""
    logbook = here().workshop.new_vehicle(
        request.POST.get("name", ""), who=device.person, device=device.id
    )
    return redirect("now", logbook)
