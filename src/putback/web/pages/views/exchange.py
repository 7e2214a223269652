"""Taking a bundle in: what would change is shown first; nothing is kept before it is confirmed."""

from dataclasses import dataclass

from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_http_methods, require_POST

from putback.errors import BadInput, BundleError, InputError
from putback.logbook.entries.base import LogbookId
from putback.web.here import here
from putback.web.pages.access import for_people, role_in
from putback.web.pages.show import page
from putback.web.waiting import put_aside, throw_away, waiting
from putback.workshop.exchange.exchange import take_in as take
from putback.workshop.exchange.merging import Difference, difference
from putback.workshop.logbooks.ports import Role
from putback.workshop.people.people import Device

TAKEN_IN = "taken in"
"""The setting of a vehicle that names the file which was taken in last."""


@dataclass(frozen=True, slots=True)
class TakeInPage:
    """Choosing a file, or looking at what one would change."""

    fault: str = ""
    remedy: str = ""
    token: str = ""
    """By which the file that was sent is found again."""
    differs: Difference | None = None


@require_http_methods(["GET", "HEAD", "POST"])
@for_people
def take_in(request: HttpRequest, device: Device) -> HttpResponse:
    """Ask for a bundle, and show what taking it in would change."""
    if request.method != "POST":
        return page(request, "pages/take_in.html", TakeInPage())
    sent = request.FILES.get("bundle")
    if sent is None:
        return _refused(request, BadInput("no file was sent", mend="choose one"))
    home, token = here().opened.home, ""
    try:
        token = put_aside(home, sent.chunks(), sent.size)
        differs = difference(here().workshop, waiting(home, token))
        _must_be_theirs(differs.logbook, device)
    except InputError as error:
        throw_away(home, token)
        return _refused(request, error)
    return page(request, "pages/take_in.html", TakeInPage(token=token, differs=differs))


@require_POST
@for_people
def confirm(request: HttpRequest, device: Device) -> HttpResponse:
    """Take in the bundle that was looked at, or throw it away."""
    home, token = here().opened.home, request.POST.get("token", "")
    if request.POST.get("answer") != "take in":
        throw_away(home, token)
        return redirect("garage")
    try:
        path = waiting(home, token)
        differs = difference(here().workshop, path)
        _must_be_theirs(differs.logbook, device)
        taken = take(here().workshop, path, who=device.person, received_from="a bundle")
    except InputError:
        logbook = LogbookId(request.POST.get("logbook", ""))
        if not _was_taken(logbook, token, device):
            raise
        return redirect("now", logbook)
    here().workshop.store.keep_setting(taken.logbook, TAKEN_IN, token)
    throw_away(home, token)
    return redirect("now", taken.logbook)


def _was_taken(logbook: LogbookId, token: str, device: Device) -> bool:
    """Whether this form was sent before, and the file that it speaks of was taken in by that."""
    if role_in(logbook, device.person) is None:
        return False
    return here().workshop.store.setting(logbook, TAKEN_IN) == token


def _must_be_theirs(logbook: LogbookId, device: Device) -> None:
    """Let only its owner merge into a vehicle that is here; a new one is anybody's."""
    if any(each.id == logbook for each in here().workshop.logbooks()):
        if role_in(logbook, device.person) is None:
            raise BadInput(
                "this bundle is of a vehicle that somebody else has here",
                mend="ask its owner to take it in, or to make you an owner",
            )
        if role_in(logbook, device.person) is not Role.OWNER:
            raise PermissionDenied(Role.OWNER.value)


def _refused(request: HttpRequest, error: InputError) -> HttpResponse:
    fault = f"the file {error.why}" if isinstance(error, BundleError) else error.fault()
    shown = TakeInPage(fault=fault, remedy=error.remedy())
    return page(request, "pages/take_in.html", shown, status=400)
