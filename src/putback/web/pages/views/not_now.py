"""Not now: why, until when, and what that costs; and picking something else instead."""

from dataclasses import dataclass

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_safe

from putback.errors import InputError
from putback.logbook.entries.judging import Hindrance
from putback.planning.not_now import Cost
from putback.planning.plan import STEPS_FOR
from putback.vehicle.ids import Ref
from putback.web.here import here
from putback.web.pages.access import Visit, for_role
from putback.web.pages.asked import Asked, asked
from putback.web.pages.show import page
from putback.web.pages.views.in_hand import others_hands
from putback.workshop.desk import plan_on_hand, put
from putback.workshop.desk.questions import answer_of
from putback.workshop.logbooks.garage import in_its_garage
from putback.workshop.logbooks.ports import Role
from putback.workshop.now.at_choice import Choosable, at_choice
from putback.workshop.now.in_hand import with_hands
from putback.workshop.now.next_job import next_job
from putback.workshop.people.who import names_here
from putback.workshop.saying.names import find_subject
from putback.workshop.saying.on_offer import names_on_offer


@dataclass(frozen=True, slots=True)
class NotNowPage:
    """What the page shows; without a thing it asks which."""

    what: Ref | None
    name: str
    whys: tuple[str, ...]
    cost: Cost | None
    """What putting it off costs, once it is worked out."""
    waiting: tuple[str, ...]
    """Names of what waits for it."""
    next_name: str
    """What would be next instead."""
    asked: Asked | None
    """How far the cost is."""
    choices: tuple[Choosable, ...]


@require_safe
@for_role(Role.WORKER)
def not_now(request: HttpRequest, visit: Visit) -> HttpResponse:
    """Ask why not now, and show what it costs as soon as the planner has found out."""
    workshop = here().workshop
    state = in_its_garage(workshop, visit.logbook)
    hand = plan_on_hand(workshop, visit.logbook)
    named = request.GET.get("what", "")
    what = Ref(find_subject(state, named, STEPS_FOR)) if named else None
    if what is None and (found := next_job(workshop, visit.logbook, hand.steps)):
        what = found.card.what if found.card.what.partition(":")[0] in STEPS_FOR else None
    is_planned = hand.plan is not None and what is not None
    slip = (
        put(here().desk, workshop, visit.logbook, "cost", {"what": what}) if is_planned else None
    )
    cost = answer_of(slip) if slip else None
    shown = NotNowPage(
        what=what,
        name=state.name_of(what) if what else "",
        whys=tuple(each.value for each in Hindrance),
        cost=cost if isinstance(cost, Cost) else None,
        waiting=tuple(map(state.name_of, cost.waiting)) if isinstance(cost, Cost) else (),
        next_name=state.name_of(cost.next.what) if isinstance(cost, Cost) and cost.next else "",
        asked=asked(slip) if slip else None,
        choices=() if what else at_choice(state, hand.steps),
    )
    return page(request, "pages/not_now.html", shown, visit)


@dataclass(frozen=True, slots=True)
class SomethingElsePage:
    """What can be done instead."""

    choices: tuple[Choosable, ...]
    """Jobs of the plan, those that can be done now first."""
    names: tuple[str, ...]
    """Everything that can be picked, for completion."""
    typed: str
    fault: str
    found: Ref | None
    """What was found by its name."""
    found_name: str


@require_safe
@for_role(Role.VIEWER)
def something_else(request: HttpRequest, visit: Visit) -> HttpResponse:
    """Let somebody pick another job, or any part or joint by its name."""
    workshop = here().workshop
    state = in_its_garage(workshop, visit.logbook)
    hand = plan_on_hand(workshop, visit.logbook)
    typed, fault, found = request.GET.get("what", "").strip(), "", None
    if typed:
        try:
            found = Ref(find_subject(state, typed, STEPS_FOR))
        except InputError as error:
            fault = str(error)
    shown = SomethingElsePage(
        choices=with_hands(
            at_choice(state, hand.steps),
            others_hands(visit),
            names_here(workshop, here().people),
        ),
        names=names_on_offer(state, STEPS_FOR),
        typed=typed,
        fault=fault,
        found=found,
        found_name=state.name_of(found) if found else "",
    )
    return page(request, "pages/something_else.html", shown, visit)
