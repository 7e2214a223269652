"""Settling with one tap what two people logged otherwise."""

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_POST

from putback.logbook.entries.base import ActId
from putback.web.here import here
from putback.web.pages.access import Visit, for_role
from putback.web.pages.after import after_logging
from putback.web.pages.sent_once import sent_once
from putback.workshop.logbooks.ports import Role
from putback.workshop.now.settle import settle as settle_by


@require_POST
@for_role(Role.WORKER)
@sent_once(after_logging)
def settle(request: HttpRequest, visit: Visit, act: ActId | None) -> HttpResponse:
    """Log the way that was tapped, and go back."""
    logged = settle_by(
        here().workshop,
        visit.logbook,
        request.POST.get("double", ""),
        request.POST.get("way", ""),
        who=visit.person,
        device=visit.device,
        as_act=act,
    )
    return after_logging(request, visit, logged)
