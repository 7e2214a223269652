"""Coming in by a link: the owner at the first start, and whoever is invited to a vehicle."""

from dataclasses import dataclass, replace

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.views.decorators.http import require_http_methods

from putback.errors import InputError
from putback.logbook.entries.base import DeviceId
from putback.web.here import here
from putback.web.pages.access import device_of
from putback.web.pages.show import page
from putback.web.pages.views.sign_in import address_of, let_in
from putback.workshop.logbooks.ports import Role
from putback.workshop.people.letting_in import StaleLink
from putback.workshop.people.passes import Pass, PassKind
from putback.workshop.people.people import SHORTEST_PASSWORD

PAGES = DeviceId("pages")
"""Stands for the pages themselves, before a browser is signed in."""
WHAT_IT_MEANS = {
    Role.OWNER: "do everything, and say who else may",
    Role.WORKER: "log work, strike out and plan",
    Role.VIEWER: "look at everything and change nothing",
}


@dataclass(frozen=True, slots=True)
class ComingInPage:
    """What a page for coming in by a link shows."""

    is_first: bool
    """The first start, and no invitation."""
    name: str = ""
    fault: str = ""
    shortest: int = SHORTEST_PASSWORD
    """A password's least length [characters]."""
    vehicle: str = ""
    role: str = ""
    may: str = ""
    """What that role may do, in words."""
    invited_by: str = ""
    known_as: str = ""
    """Who is signed in on this browser; empty for nobody."""
    sign_in: str = ""
    """Where somebody who has an account already goes first."""


@require_http_methods(["GET", "HEAD", "POST"])
def first_start(request: HttpRequest, token: str) -> HttpResponse:
    """Let the owner set name and password."""
    letting_in = here().letting_in
    if sent := _sent_before(request, token, PassKind.FIRST_START):
        return sent
    letting_in.shown(token, PassKind.FIRST_START)
    if request.method != "POST":
        return page(request, "pages/coming_in.html", ComingInPage(is_first=True))
    name, password = request.POST.get("name", ""), request.POST.get("password", "")
    try:
        person = letting_in.begin(token, name, password, PAGES)
    except InputError as error:
        if sent := _sent_before(request, token, PassKind.FIRST_START):
            return sent  # the two came at once
        if isinstance(error, StaleLink):
            raise
        again = ComingInPage(is_first=True, name=name, fault=str(error))
        return page(request, "pages/coming_in.html", again, status=400)
    return let_in(request, person.id)


@require_http_methods(["GET", "HEAD", "POST"])
def join(request: HttpRequest, token: str) -> HttpResponse:
    """Let somebody who was invited in: by a new account, or with the one they have."""
    letting_in, device = here().letting_in, device_of(request)
    if sent := _sent_before(request, token, PassKind.INVITATION):
        return sent
    invitation = letting_in.shown(token, PassKind.INVITATION)
    if request.method != "POST":
        return page(request, "pages/coming_in.html", _shown(request, invitation, token))
    if device is not None:
        return redirect("now", letting_in.join(token, device.person))
    name, password = request.POST.get("name", ""), request.POST.get("password", "")
    try:
        person = letting_in.join_anew(token, name, password, PAGES)
    except InputError as error:
        if sent := _sent_before(request, token, PassKind.INVITATION):
            return sent  # the two came at once
        if isinstance(error, StaleLink):
            raise
        again = replace(_shown(request, invitation, token), name=name, fault=str(error))
        return page(request, "pages/coming_in.html", again, status=400)
    return let_in(request, person.id, reverse("now", args=[invitation.logbook]))


def _sent_before(request: HttpRequest, token: str, kind: PassKind) -> HttpResponse | None:
    """Lead whoever came in by this form already to where it led; any other meets a used link.

    They say who they are by their password, as on the page for signing in.
    """
    used = here().letting_in.used(token, kind) if request.method == "POST" else None
    if used is None:
        return None
    device = device_of(request)
    name, password = request.POST.get("name", ""), request.POST.get("password", "")
    try:
        person = (
            device.person
            if device
            else here().people.vouch(name, password, address_of(request)).id
        )
    except InputError:
        return None
    if not here().letting_in.has_let_in(used, person):
        return None
    is_first = kind is PassKind.FIRST_START
    led_to = reverse("garage") if is_first else reverse("now", args=[used.logbook])
    return redirect(led_to) if device else let_in(request, person, led_to)


def _shown(request: HttpRequest, invitation: Pass, token: str) -> ComingInPage:
    device = device_of(request)
    names = {each.id: each.name for each in here().people.store.people()}
    role = invitation.role or Role.VIEWER
    return ComingInPage(
        is_first=False,
        vehicle=here().workshop.state(invitation.logbook).vehicle.about.name,
        role=role.value,
        may=WHAT_IT_MEANS[role],
        invited_by=names.get(invitation.person, invitation.person),
        known_as=names.get(device.person, "") if device else "",
        sign_in=f"{reverse('sign_in')}?next={reverse('join', args=[token])}",
    )
