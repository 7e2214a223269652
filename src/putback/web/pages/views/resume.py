"""Picking up again: where things stand, what fits the hour at hand; and the newcomer's page."""

from dataclasses import dataclass

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_safe

from putback.logbook.open_items import OpenItem
from putback.logbook.state import JointState, State
from putback.planning.stretch import BestStretch
from putback.vehicle.ids import joint_ref
from putback.vehicle.vehicle import About
from putback.web.here import here
from putback.web.pages.access import Visit, for_role
from putback.web.pages.asked import Asked, asked
from putback.web.pages.show import page
from putback.workshop.desk import plan_on_hand, put
from putback.workshop.desk.on_hand import OnHand
from putback.workshop.desk.questions import answer_of
from putback.workshop.logbooks.garage import in_its_garage
from putback.workshop.logbooks.open_now import SHOWN_AT_ONCE, open_now
from putback.workshop.logbooks.ports import Role
from putback.workshop.logbooks.sayers import sayers_of
from putback.workshop.now.newcomer import Newcomer, newcomer
from putback.workshop.now.settle import Double, doubles, without
from putback.workshop.people.who import names_here
from putback.workshop.plans.how_far import how_far
from putback.workshop.plans.job_card import JobCard, job_card
from putback.workshop.plans.stretch_told import cost_words, stretch_cards

HOURS = (30, 60, 120, 240)
"""Times at hand that can be tapped [minutes]."""
SHOWN_NEXT = 5


@dataclass(frozen=True, slots=True)
class HalfDone:
    """A joint between two states."""

    joint: str
    name: str
    out: int
    of: int
    stuck: int

    @classmethod
    def of_joint(cls, state: State, seen: JointState) -> "HalfDone":
        """Show a joint as the logbook has it."""
        name = state.name_of(joint_ref(seen.joint))
        return cls(seen.joint, name, seen.out, seen.of, seen.stuck)


@dataclass(frozen=True, slots=True)
class ResumePage:
    """What somebody needs who comes back to the work."""

    half_done: tuple[HalfDone, ...]
    open: tuple[OpenItem, ...]
    more: tuple[OpenItem, ...]
    doubles: tuple[Double, ...]
    """What two people logged otherwise."""
    told: Newcomer
    cards: tuple[JobCard, ...]
    """The next few jobs."""
    hand: OnHand
    hours: tuple[int, ...]
    minutes: int | None
    """The time at hand that was tapped [minutes]."""
    asked: Asked | None
    hour: BestStretch | None
    """What fits into that time, once it is worked out."""
    hour_cards: tuple[JobCard, ...]
    hour_cost: tuple[str, ...]
    """What it takes, and how sure that is."""
    hour_close: tuple[str, ...]
    """What is closed again before the time is over."""
    last_day: str
    """When something was last done here."""


@require_safe
@for_role(Role.VIEWER)
def resume(request: HttpRequest, visit: Visit) -> HttpResponse:
    """Show where things stand, and what to do in the time at hand."""
    workshop = here().workshop
    state = in_its_garage(workshop, visit.logbook)
    hand = plan_on_hand(workshop, visit.logbook, here().desk)
    names = names_here(workshop, here().people)
    sayers = sayers_of(workshop, visit.logbook, names)
    told = newcomer(state, workshop.standing(visit.logbook), sayers)
    items = open_now(workshop, visit.logbook)
    told_twice = doubles(workshop, visit.logbook, items, names)
    items = without(items, told_twice)
    said = request.GET.get("minutes", "")
    minutes = int(said) if said.isdecimal() and 0 < int(said) <= MOST_MINUTES else None
    slip = None
    if minutes and hand.plan is not None:
        slip = put(here().desk, workshop, visit.logbook, "stretch", {"minutes": minutes})
    hour = answer_of(slip) if slip else None
    stretch = hour.stretch if isinstance(hour, BestStretch) else None
    shown = ResumePage(
        half_done=tuple(
            HalfDone(
                each.joint, state.name_of(joint_ref(each.joint)), each.out, each.of, each.stuck
            )
            for each in how_far(state).half_done
        ),
        open=items[:SHOWN_AT_ONCE],
        more=items[SHOWN_AT_ONCE:],
        doubles=told_twice,
        told=told,
        cards=tuple(job_card(step, state) for step in hand.steps[:SHOWN_NEXT]),
        hand=hand,
        hours=HOURS,
        minutes=minutes,
        asked=asked(slip) if slip else None,
        hour=hour if isinstance(hour, BestStretch) else None,
        hour_cards=tuple(stretch_cards(stretch, state)) if stretch else (),
        hour_cost=cost_words(stretch) if stretch else (),
        hour_close=tuple(state.name_of(f"opening:{each.opening}") for each in stretch.close)
        if stretch
        else (),
        last_day=max((hand.last for hand in told.hands), default="")[:10],
    )
    return page(request, "pages/resume.html", shown, visit)


MOST_MINUTES = 24 * 60
"""Nobody has more than a day at hand [minutes]."""


@dataclass(frozen=True, slots=True)
class NewcomerPage:
    """What somebody is told who was not there."""

    about: About
    told: Newcomer
    dangers: tuple[OpenItem, ...]


@require_safe
@for_role(Role.VIEWER)
def for_newcomer(request: HttpRequest, visit: Visit) -> HttpResponse:
    """Tell what this vehicle is, how it stands, who did what, and what is where."""
    workshop = here().workshop
    state = in_its_garage(workshop, visit.logbook)
    sayers = sayers_of(workshop, visit.logbook, names_here(workshop, here().people))
    told = newcomer(state, workshop.standing(visit.logbook), sayers)
    items = open_now(workshop, visit.logbook)[:SHOWN_AT_ONCE]
    shown = NewcomerPage(state.vehicle.about, told, items)
    return page(request, "pages/newcomer.html", shown, visit)
