"""The next job, with all it needs: what to log it by, what comes after it, what is open."""

from dataclasses import dataclass

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_safe

from putback.logbook.entries.base import PlaceId
from putback.logbook.open_items import OpenItem
from putback.vehicle.ids import Ref
from putback.web.here import here
from putback.web.pages.access import Visit, for_role
from putback.web.pages.show import page
from putback.web.pages.views.in_hand import told
from putback.web.pages.work import Work, places_of, work_of
from putback.workshop.desk import OnHand, plan_on_hand
from putback.workshop.logbooks.garage import in_its_garage
from putback.workshop.logbooks.open_now import SHOWN_AT_ONCE, open_now
from putback.workshop.logbooks.ports import Role
from putback.workshop.now.bag_at_hand import ProposedTag, proposed_tag, tags_at_hand
from putback.workshop.now.in_hand import OnIt
from putback.workshop.now.next_job import next_job
from putback.workshop.now.other_side import Mirrored, on_the_other_side
from putback.workshop.now.place_at_hand import place_at_hand
from putback.workshop.now.settle import Double, doubles, without
from putback.workshop.people.who import names_here


@dataclass(frozen=True, slots=True)
class NowPage:
    """What the page of the next job shows."""

    work: Work | None
    """``None`` where nothing is planned."""
    hand: OnHand
    open: tuple[OpenItem, ...]
    """The most pressing of what is open."""
    more: tuple[OpenItem, ...]
    """The rest of it."""
    doubles: tuple[Double, ...]
    """What two people logged otherwise: each is settled by one tap."""
    other_side: Mirrored | None
    """What was done last, on the other side, if it is not done there."""
    is_bare: bool
    """Whether nothing of the vehicle is known but its name."""
    hands: tuple[OnIt, ...]
    """What others have in hand just now."""
    bag: ProposedTag | None
    """Where parts that nobody described are proposed to go."""
    places: tuple[tuple[str, str], ...]
    """Identity and name of each place of the garage."""
    place: PlaceId | None
    """Where they are proposed to lie, if they go into no bag."""
    otherwise: str
    """What was tapped in a list of before, where there is another thing to do with it by now."""


@require_safe
@for_role(Role.VIEWER)
def now(request: HttpRequest, visit: Visit) -> HttpResponse:
    """Show the next job, or the one picked by ``job``.

    ``for`` says what the list told to do with it: where that is another thing by now, as somebody
    else did it, it is not put under the thumb of whoever tapped it.
    """
    workshop = here().workshop
    hand = plan_on_hand(workshop, visit.logbook, here().desk)
    chosen = request.GET.get("job", "")
    wanted = request.GET.get("for", "")
    picked = Ref(chosen) if chosen else None
    found = next_job(workshop, visit.logbook, hand.steps, picked, wanted)
    is_otherwise = bool(chosen and wanted and found and found.card.deed != wanted)
    if is_otherwise:
        found = next_job(workshop, visit.logbook, hand.steps)
    tags = tags_at_hand(workshop, visit.logbook, visit.device, visit.role)
    items = open_now(workshop, visit.logbook)
    told_twice = doubles(workshop, visit.logbook, items, names_here(workshop, here().people))
    items = without(items, told_twice)
    state = in_its_garage(workshop, visit.logbook)
    shown = NowPage(
        work=work_of(visit, found, tags) if found else None,
        hand=hand,
        open=items[:SHOWN_AT_ONCE],
        more=items[SHOWN_AT_ONCE:],
        doubles=told_twice,
        other_side=on_the_other_side(workshop, visit.logbook, visit.person),
        is_bare=not (state.vehicle.parts or state.vehicle.joints),
        hands=told(visit, state.name_of),
        bag=proposed_tag(state, None, tags),
        places=places_of(state),
        place=place_at_hand(state, workshop.standing(visit.logbook)),
        otherwise=state.name_of(chosen) if is_otherwise else "",
    )
    return page(request, "pages/now.html", shown, visit)
