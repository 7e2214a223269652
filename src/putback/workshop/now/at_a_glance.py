"""What stands on every page: how far along, what is left, and how much is open."""

from dataclasses import dataclass

from putback.logbook.entries.base import LogbookId
from putback.logbook.open_items import Danger
from putback.workshop.desk import OnHand, plan_on_hand
from putback.workshop.logbooks.garage import in_its_garage
from putback.workshop.logbooks.open_now import open_now
from putback.workshop.logbooks.workshop import Workshop
from putback.workshop.plans.effort import effort
from putback.workshop.plans.how_far import HowFar, how_far
from putback.workshop.plans.ribbon import Stretch, ribbon


@dataclass(frozen=True, slots=True)
class Glance:
    """The whole work, at a glance."""

    far: HowFar
    ribbon: tuple[Stretch, ...]
    left_minutes: float | None
    """Work and set-up that is left [minutes]; ``None`` where nobody knows."""
    not_estimated: int
    """Steps left of which nobody knows the minutes."""
    jobs_left: int
    next: str
    """The next job, in words; empty where none is planned."""
    open: int
    dangers: int


def at_a_glance(workshop: Workshop, logbook: LogbookId) -> Glance:
    """Give what stands on every page; nothing is planned for it."""
    hand = plan_on_hand(workshop, logbook)
    return workshop.remembered.give(
        workshop.store, logbook, "glance", lambda: _glance(workshop, logbook, hand), hand.plan
    )


def _glance(workshop: Workshop, logbook: LogbookId, hand: OnHand) -> Glance:
    state = in_its_garage(workshop, logbook)
    items = open_now(workshop, logbook)
    asked = effort(state.vehicle, hand.steps)
    setup = sum(step.setup_minutes for step in hand.steps)
    first = next(iter(hand.steps), None)
    return Glance(
        far=how_far(state),
        ribbon=ribbon(state, workshop.standing(logbook), hand.steps, hand.way),
        left_minutes=asked.work_minutes + setup if asked.estimated else None,
        not_estimated=asked.not_estimated,
        jobs_left=len(hand.steps),
        next=f"{first.action} {state.name_of(first.what)}" if first else "",
        open=len(items),
        dangers=sum(each.danger is Danger.DANGER for each in items),
    )
