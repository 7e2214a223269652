"""Scanning a tag: what it stands for, and what to do with it."""

from dataclasses import dataclass
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_safe

from putback.logbook.entries.base import TagCode
from putback.logbook.state import State
from putback.logbook.tags import BadTag, Tag
from putback.web.here import here
from putback.web.pages.access import Visit, for_role
from putback.web.pages.known_tags import known_tags
from putback.web.pages.show import page
from putback.workshop.logbooks.garage import in_its_garage
from putback.workshop.logbooks.ports import Role
from putback.workshop.things.tags_told import CONTAINERS


@dataclass(frozen=True, slots=True)
class ScanPage:
    """What scanning needs, so that the phone knows a tag without asking anybody."""

    known: dict[str, Any]
    may_log: bool
    containers: tuple[str, ...]
    typed: str
    """What was typed where no script runs."""
    fault: str


@dataclass(frozen=True, slots=True)
class HeldScanPage:
    """Scanning without a network; what tags stand for comes from what the phone holds."""

    may_log: bool
    containers: tuple[str, ...]
    typed: str
    fault: str


@require_safe
def scan_held(request: HttpRequest) -> HttpResponse:
    """Show scanning as it is without a network: the same for everybody, saying nothing of anybody.

    The worker of the app puts it in the place of a vehicle's own page.
    """
    return page(request, "pages/scan_held.html", HeldScanPage(True, CONTAINERS, "", ""))


@require_safe
@for_role(Role.VIEWER)
def scan(request: HttpRequest, visit: Visit) -> HttpResponse:
    """Show the camera and the keypad; a tag sent as a form leads to its page."""
    state = in_its_garage(here().workshop, visit.logbook)
    typed, fault = request.GET.get("tag", "")[:20], ""
    if typed:
        try:
            return redirect("tag", visit.logbook, _in_use(state, typed))
        except BadTag as error:
            fault = str(error)
    shown = ScanPage(
        known=known_tags(visit, state),
        may_log=visit.may(Role.WORKER),
        containers=CONTAINERS,
        typed=typed,
        fault=fault,
    )
    return page(request, "pages/scan.html", shown, visit, status=400 if fault else 200)


def _in_use(state: State, typed: str) -> Tag:
    tag = Tag(typed)
    if TagCode(tag) not in state.containers:
        raise BadTag(tag, "is on nothing here", "tag a bag with it, or look at the bag again")
    return tag
