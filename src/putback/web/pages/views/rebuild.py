"""The rebuild: how everything goes back, how far one looks, and other orders to choose from."""

from dataclasses import dataclass

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_POST, require_safe

from putback.logbook.state import State
from putback.planning.alternatives import Alternative
from putback.planning.plan import Step
from putback.web.here import here
from putback.web.pages.access import Visit, for_role
from putback.web.pages.asked import Asked, asked
from putback.web.pages.changes import LOOKED_AT, ToldChange, told_changes
from putback.web.pages.legs import Leg, legs
from putback.web.pages.named import NOTHING, Named, named
from putback.web.pages.sheet import Opened, sheet_of
from putback.web.pages.show import page
from putback.web.pages.views.strip import chosen
from putback.workshop.desk import OnHand, put
from putback.workshop.desk.on_hand import rebuild_on_hand
from putback.workshop.desk.put import OTHER_REBUILDS, REBUILD_PLAN, question
from putback.workshop.desk.questions import answer_of
from putback.workshop.logbooks.garage import in_its_garage
from putback.workshop.logbooks.ports import Role
from putback.workshop.plans.as_far_as import Milestone, as_far_as, milestones
from putback.workshop.plans.how_far import Way, how_far
from putback.workshop.plans.plans import REBUILD, pin
from putback.workshop.plans.rebuild_told import RebuildTold, rebuild_told


@dataclass(frozen=True, slots=True)
class RebuildPage:
    """What the page of the rebuild shows."""

    is_in_hand: bool
    """Whether Now and all else follow the rebuild."""
    may_choose: bool
    plan: OnHand
    milestones: tuple[Milestone, ...]
    end: Milestone | None
    """How far one looks; ``None`` for all of it."""
    typed: Named
    """The part as far as which one wants to look, where none of the milestones was chosen."""
    sheet: Opened
    legs: tuple[Leg, ...]
    asked: Asked | None
    changes: tuple[ToldChange, ...]
    told: RebuildTold | None
    """What belongs beside a fresh plan, in words."""
    wants_others: bool
    others_asked: Asked | None
    others: tuple[Alternative, ...] | None
    """Other orders; ``None`` while nobody looked for them."""


@require_safe
@for_role(Role.VIEWER)
def rebuild(request: HttpRequest, visit: Visit) -> HttpResponse:
    """Show the plan of the rebuild, and ask for a fresh one if it is not."""
    workshop = here().workshop
    state = in_its_garage(workshop, visit.logbook)
    slip = put(here().desk, workshop, visit.logbook, REBUILD_PLAN)
    plan = rebuild_on_hand(workshop, visit.logbook)
    found = answer_of(slip)
    there = milestones(state, plan.steps)
    end, typed = _end(request.GET.get("to", ""), there, state)
    steps, whole = _looked_at(state, plan, end)
    wants_others = "others" in request.GET and plan.is_fresh and plan.plan is not None
    others = put(here().desk, workshop, visit.logbook, OTHER_REBUILDS) if wants_others else None
    context = RebuildPage(
        is_in_hand=how_far(state).way is Way.REBUILD,
        may_choose=visit.may(Role.WORKER),
        plan=plan,
        milestones=there,
        end=end,
        typed=typed,
        sheet=sheet_of(request, state, steps, plan.plan if plan.is_fresh and whole else None),
        legs=legs(state, workshop.standing(visit.logbook), plan.steps, Way.REBUILD),
        asked=asked(slip),
        changes=_changes(visit),
        told=rebuild_told(state, found) if found is not None else None,
        wants_others=wants_others,
        others_asked=asked(others) if others else None,
        others=answer_of(others) if others else None,
    )
    return page(request, "pages/rebuild.html", context, visit)


@require_POST
@for_role(Role.WORKER)
def afresh(request: HttpRequest, visit: Visit) -> HttpResponse:
    """Forget the order that is followed, a chosen one as well, and plan anew."""
    del request
    here().workshop.store.forget_plan(visit.logbook, REBUILD)
    return _planned_again(visit)


@require_POST
@for_role(Role.WORKER)
def choose(request: HttpRequest, visit: Visit) -> HttpResponse:
    """Follow one of the other orders from now on; nothing is logged."""
    workshop = here().workshop
    wanted = question(workshop, visit.logbook, OTHER_REBUILDS)
    pin(workshop, visit.logbook, chosen(request, wanted).plan)
    return _planned_again(visit)


def _planned_again(visit: Visit) -> HttpResponse:
    """What stands beside the plan is told of the one that is followed now."""
    put(here().desk, here().workshop, visit.logbook, REBUILD_PLAN, again=True)
    return redirect("rebuild", visit.logbook)


def _end(said: str, there: tuple[Milestone, ...], state: State) -> tuple[Milestone | None, Named]:
    """Find how far one wants to look: a milestone, or a part or whole by its name."""
    end = next((each for each in there if each.id == said), None)
    typed = NOTHING if end else named(state, said, ("part", "assembly"))
    if typed.ref:
        end = Milestone(typed.ref, f"{state.name_of(typed.ref)} back on")
    return end, typed


def _looked_at(state: State, plan: OnHand, end: Milestone | None) -> tuple[tuple[Step, ...], bool]:
    """The steps as far as one looks, and whether they are all."""
    steps = as_far_as(state, plan.steps, end.id) if end else plan.steps
    return steps, len(steps) == len(plan.steps)


def _changes(visit: Visit) -> tuple[ToldChange, ...]:
    """What the last plans of the rebuild changed, the newest first."""
    return told_changes(
        (slip.asked_at, found.changes)
        for slip in here().desk.answered(visit.logbook, REBUILD_PLAN, LOOKED_AT)
        if (found := answer_of(slip)) is not None
    )
