"""The next job, with all it needs."""

from dataclasses import dataclass

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_safe

from putback.web.pages.access import Visit, for_role
from putback.web.pages.show import page
from putback.workshop.ports import Role


@dataclass(frozen=True, slots=True)
class NowPage:
    """What the page of the next job shows."""


@require_safe
@for_role(Role.VIEWER)
def now(request: HttpRequest, visit: Visit) -> HttpResponse:
    """Show the next job."""
    return page(request, "pages/now.html", NowPage(), visit)
