"""Who may do what with a vehicle, and invitations to it."""

from dataclasses import dataclass

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.utils.safestring import SafeString
from django.views.decorators.http import require_POST, require_safe

from putback.errors import BadInput
from putback.logbook.entries.base import PersonId
from putback.web.here import here
from putback.web.pages.access import Visit, for_role
from putback.web.pages.qr import qr_of
from putback.web.pages.show import page
from putback.web.reached import for_others, is_for_us_alone
from putback.workshop.logbooks.ports import Role
from putback.workshop.people.letting_in import Handed
from putback.workshop.people.passes import PassId
from putback.workshop.people.who import Access, access_to

NO_DRAWING = SafeString("")


@dataclass(frozen=True, slots=True)
class OpenInvitation:
    """An invitation that waits for somebody."""

    id: PassId
    role: str
    by: str
    expires_at: str


@dataclass(frozen=True, slots=True)
class PeoplePage:
    """What the page of people shows."""

    people: tuple[Access, ...]
    """Who may do what, owners first."""
    roles: tuple[str, ...]
    invitations: tuple[OpenInvitation, ...]
    link: str = ""
    """Of an invitation just made: shown this once."""
    link_role: str = ""
    link_until: str = ""
    qr: SafeString = NO_DRAWING
    """The same as a drawing to be scanned."""
    is_for_us_alone: bool = False
    """The link leads every device to itself: this machine is not reached by others."""


@require_safe
@for_role(Role.VIEWER)
def people(request: HttpRequest, visit: Visit) -> HttpResponse:
    """Show who may do what."""
    return page(request, "pages/people.html", _shown(request, visit), visit)


@require_POST
@for_role(Role.OWNER)
def invite(request: HttpRequest, visit: Visit) -> HttpResponse:
    """Make an invitation, and show its link this once."""
    role = _role(request)
    handed = here().letting_in.invite(visit.logbook, role, visit.person)
    return page(request, "pages/people.html", _shown(request, visit, handed), visit)


@require_POST
@for_role(Role.OWNER)
def withdraw(request: HttpRequest, visit: Visit) -> HttpResponse:
    """Take an invitation back."""
    here().letting_in.withdraw(visit.logbook, PassId(request.POST.get("invitation", "")))
    return redirect("people", visit.logbook)


@require_POST
@for_role(Role.OWNER)
def change_role(request: HttpRequest, visit: Visit) -> HttpResponse:
    """Give somebody who has a role another one, or take it away."""
    store, person = here().workshop.store, PersonId(request.POST.get("person", ""))
    if person not in store.roles(visit.logbook):
        raise BadInput("they have no role here", mend="invite them")
    if request.POST.get("role") == "none":
        store.revoke(visit.logbook, person)
    else:
        store.grant(visit.logbook, person, _role(request))
    is_out = visit.person not in store.roles(visit.logbook)
    return redirect("garage") if is_out else redirect("people", visit.logbook)


@require_POST
@for_role(Role.VIEWER)
def leave(request: HttpRequest, visit: Visit) -> HttpResponse:
    """Give one's own role up."""
    here().workshop.store.revoke(visit.logbook, visit.person)
    return redirect("garage")


def _role(request: HttpRequest) -> Role:
    try:
        return Role(request.POST.get("role", ""))
    except ValueError as error:
        raise BadInput("there is no such role", mend=", ".join(Role)) from error


def _shown(request: HttpRequest, visit: Visit, handed: Handed | None = None) -> PeoplePage:
    access = access_to(here().workshop, here().people, visit.logbook)
    names = {each.person: each.name for each in access}
    may_own = visit.may(Role.OWNER)
    waiting = here().letting_in.open_invitations(visit.logbook) if may_own else ()
    path = reverse("join", args=[handed.token]) if handed else ""
    link = for_others(request, path) if path else ""
    return PeoplePage(
        people=access,
        roles=tuple(each.value for each in Role),
        invitations=tuple(
            OpenInvitation(
                each.id, each.role or "", names.get(each.person, each.person), each.expires_at
            )
            for each in waiting
        ),
        link=link,
        link_role=(handed.made.role or "") if handed else "",
        link_until=handed.made.expires_at if handed else "",
        qr=qr_of(link) if link else NO_DRAWING,
        is_for_us_alone=is_for_us_alone(link) if link else False,
    )
