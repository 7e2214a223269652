"""Settling with one tap what two people logged otherwise."""

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_POST

from putback.web.here import here
from putback.web.pages.access import Visit, for_role
from putback.web.pages.after import after_logging
from putback.workshop.logbooks.ports import Role
from putback.workshop.now.settle import settle as settle_by


@require_POST
@for_role(Role.WORKER)
def settle(request: HttpRequest, visit: Visit) -> HttpResponse:
    """Log the way that was tapped, and go back."""
    act = settle_by(
        here().workshop,
        visit.logbook,
        request.POST.get("double", ""),
        request.POST.get("way", ""),
        who=visit.person,
        device=visit.device,
    )
    return after_logging(request, visit, act.id)
