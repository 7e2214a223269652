"""The same on the other side: prefilled from what was done on this one."""

from dataclasses import dataclass

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_safe

from putback.web.here import here
from putback.web.pages.access import Visit, for_role
from putback.web.pages.show import page
from putback.web.pages.work import Work, work_of
from putback.workshop.logbooks.ports import Role
from putback.workshop.now.bag_at_hand import tags_at_hand
from putback.workshop.now.next_job import NextJob
from putback.workshop.now.other_side import Mirrored, on_the_other_side


@dataclass(frozen=True, slots=True)
class OtherSidePage:
    """What the page shows."""

    mirrored: Mirrored | None
    work: Work | None


@require_safe
@for_role(Role.WORKER)
def other_side(request: HttpRequest, visit: Visit) -> HttpResponse:
    """Ask what differs on the other side, which is little."""
    workshop = here().workshop
    found = on_the_other_side(workshop, visit.logbook, visit.person)
    tags = tags_at_hand(workshop, visit.logbook, visit.device, visit.role)
    job = NextJob(found.card, (), is_chosen=True) if found else None
    shown = OtherSidePage(found, work_of(visit, job, tags) if job else None)
    return page(request, "pages/other_side.html", shown, visit)
