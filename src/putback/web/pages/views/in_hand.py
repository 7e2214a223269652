"""Taking a job in hand: the page says so as long as it is open, and others online see it."""

from collections.abc import Callable

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_POST

from putback.planning.plan import STEPS_FOR
from putback.vehicle.ids import Ref
from putback.web.here import here
from putback.web.pages.access import Visit, for_role
from putback.workshop.logbooks.ports import Role
from putback.workshop.now.in_hand import Hands, InHand, OnIt
from putback.workshop.people.who import names_here
from putback.workshop.saying.names import find_subject


@require_POST
@for_role(Role.WORKER)
def in_hand(request: HttpRequest, visit: Visit) -> HttpResponse:
    """Note that whoever asks is on this job."""
    state = here().workshop.state(visit.logbook)
    what = Ref(find_subject(state, request.POST.get("what", ""), STEPS_FOR))
    hands().take(
        visit.logbook,
        what,
        person=visit.person,
        device=visit.device,
        now=here().clock.now(),
    )
    return HttpResponse(status=204)


def hands() -> Hands:
    """Give the jobs in hand here."""
    return Hands(here().opened.home)


def others_hands(visit: Visit) -> tuple[InHand, ...]:
    """Tell what others have in hand."""
    return hands().others(visit.logbook, visit.device, here().clock.now())


def told(visit: Visit, name_of: Callable[[str], str]) -> tuple[OnIt, ...]:
    """Tell it in words."""
    found = others_hands(visit)
    if not found:
        return ()
    names = names_here(here().workshop, here().people)
    return tuple(
        OnIt(each.what, name_of(each.what), names.get(each.person, each.person), each.since)
        for each in found
    )
