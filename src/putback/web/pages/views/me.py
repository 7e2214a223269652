"""Oneself: the devices one is signed in on, tokens for programs, and the password."""

from dataclasses import dataclass

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_POST, require_safe

from putback.errors import BadInput, InputError
from putback.logbook.entries.base import DeviceId
from putback.web.here import here
from putback.web.pages.access import for_people
from putback.web.pages.liking import HIDDEN, LEFT, Liking, keep_liking
from putback.web.pages.sent_once import sending_of
from putback.web.pages.show import page
from putback.web.pages.views.sign_in import address_of
from putback.workshop.logbooks.ports import GARAGE
from putback.workshop.people.letting_in import call_otherwise
from putback.workshop.people.people import Device, DeviceKind
from putback.workshop.plans.learned_minutes import LEARNED


@dataclass(frozen=True, slots=True)
class OwnDevice:
    """A browser or program that is signed in."""

    id: DeviceId
    label: str
    is_program: bool
    is_this: bool
    made_at: str
    seen_at: str


@dataclass(frozen=True, slots=True)
class MePage:
    """What the page of oneself shows."""

    name: str
    devices: tuple[OwnDevice, ...]
    learned: int
    """On so many things time was logged before minutes count as learned."""
    token: str = ""
    """Of a program, just made: shown this once."""
    label: str = ""
    """Of the program whose token it is."""
    fault: str = ""
    """Why the password was not changed."""
    name_fault: str = ""
    """Why the name was not changed."""


@require_safe
@for_people
def me(request: HttpRequest, device: Device) -> HttpResponse:
    """Show one's devices."""
    return page(request, "pages/me.html", _shown(device))


@require_POST
@for_people
def make_token(request: HttpRequest, device: Device) -> HttpResponse:
    """Make a token for a program, and show it this once."""
    label = request.POST.get("label", "").strip()
    if not label:
        raise BadInput("a program needs a name", mend="write what it is: 'scales by the bench'")
    made = here().people.sign_in(device.person, label, DeviceKind.PROGRAM)
    return page(request, "pages/me.html", _shown(device, token=made.token, label=label))


@require_POST
@for_people
def end_device(request: HttpRequest, device: Device) -> HttpResponse:
    """Sign one of one's devices out."""
    people, wanted = here().people, request.POST.get("device", "")
    if wanted == "others":
        people.end_all(device.person, but=device.id)
        return redirect("me")
    if all(each.id != wanted for each in people.store.devices(device.person)):
        raise Http404
    people.end(DeviceId(wanted))
    return redirect("sign_in" if wanted == device.id else "me")


@require_POST
@for_people
def change_password(request: HttpRequest, device: Device) -> HttpResponse:
    """Change one's password; other devices are signed out by it."""
    people, name = here().people, _name(device)
    try:
        people.vouch(name, request.POST.get("old", ""), address_of(request))
        people.change_password(device.person, request.POST.get("new", ""))
    except InputError as error:
        return page(request, "pages/me.html", _shown(device, fault=str(error)), status=400)
    people.end_all(device.person, but=device.id)
    return redirect("me")


@require_POST
@for_people
def like(request: HttpRequest, device: Device) -> HttpResponse:
    """Keep on this device how its pages are liked."""
    del device
    answer = redirect("me")
    said = request.POST
    liking = Liking(
        said.get("hand") == LEFT, said.get("minutes") == HIDDEN, said.get("language", "")
    )
    keep_liking(request, answer, liking)
    return answer


@require_POST
@for_people
def change_name(request: HttpRequest, device: Device) -> HttpResponse:
    """Take another name; what was logged under the old one follows."""
    site, wanted = here(), request.POST.get("name", "")
    sending = sending_of(request, device.person, GARAGE)
    if sending.logged:
        return redirect("me")
    try:
        call_otherwise(
            site.workshop,
            site.people,
            device.person,
            wanted,
            by=device.person,
            device=device.id,
            as_act=sending.act,
        )
    except InputError as error:
        return page(request, "pages/me.html", _shown(device, name_fault=str(error)), status=400)
    return redirect("me")


def _name(device: Device) -> str:
    people = here().people.store.people()
    return next((each.name for each in people if each.id == device.person), device.person)


def _shown(
    device: Device, token: str = "", label: str = "", fault: str = "", name_fault: str = ""
) -> MePage:
    own = tuple(
        OwnDevice(
            each.id,
            each.label,
            each.kind is DeviceKind.PROGRAM,
            each.id == device.id,
            each.made_at,
            each.seen_at,
        )
        for each in here().people.store.devices(device.person)
        if not each.ended_at
    )
    return MePage(_name(device), own, LEARNED, token, label, fault, name_fault)
