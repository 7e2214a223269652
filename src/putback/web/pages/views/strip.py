"""The strip: sittings in a line, the jobs in their order and why, other orders to choose from."""

from dataclasses import dataclass

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.views.decorators.http import require_POST, require_safe

from putback.errors import BadInput
from putback.planning.alternatives import Alternative
from putback.vehicle.goal import Goal
from putback.vehicle.ids import GoalId
from putback.web.here import here
from putback.web.pages.access import Visit, for_role
from putback.web.pages.asked import Asked, asked
from putback.web.pages.changes import LOOKED_AT, ToldChange, told_changes
from putback.web.pages.legs import Leg, legs
from putback.web.pages.sheet import Opened, sheet_of
from putback.web.pages.show import page
from putback.workshop.desk import OnHand, plan_on_hand, put
from putback.workshop.desk.port import Question, SlipId
from putback.workshop.desk.put import STRIP, question
from putback.workshop.desk.questions import answer_of
from putback.workshop.logbooks.garage import in_its_garage
from putback.workshop.logbooks.ports import Role
from putback.workshop.plans.how_far import Way, goal_in_hand, goals_in_order, how_far
from putback.workshop.plans.plans import pin


@dataclass(frozen=True, slots=True)
class StripPage:
    """What the page of the strip shows."""

    goals: tuple[Goal, ...]
    goal: Goal | None
    is_in_hand: bool
    """Whether Now and all else follow this goal."""
    plan: OnHand
    sheet: Opened
    legs: tuple[Leg, ...]
    asked: Asked | None
    """The question for a fresh plan."""
    changes: tuple[ToldChange, ...]
    wants_others: bool
    others_asked: Asked | None
    others: tuple[Alternative, ...] | None
    """Other orders; ``None`` while nobody looked for them."""
    may_choose: bool


@require_safe
@for_role(Role.VIEWER)
def strip(request: HttpRequest, visit: Visit) -> HttpResponse:
    """Show the plan that is followed to a goal, and ask for a fresh one if it is not."""
    workshop, desk = here().workshop, here().desk
    state = in_its_garage(workshop, visit.logbook)
    goals = goals_in_order(state)
    goal = _goal(request.GET.get("goal", ""), goals)
    plan = plan_on_hand(workshop, visit.logbook, desk, goal)
    is_strip = how_far(state).way is not Way.REBUILD
    if plan.way is Way.REBUILD:  # the strip is over: what was stripped last is looked at
        goal = goals[-1] if goals else None
        plan = plan_on_hand(workshop, visit.logbook, desk, goal) if goal else plan
    wants_others = "others" in request.GET and plan.is_fresh and plan.goal is not None
    slip = None
    if wants_others and plan.goal is not None:
        slip = put(desk, workshop, visit.logbook, "alternatives", {"goal": plan.goal.id})
    told = sheet_of(request, state, plan.steps, plan.plan if plan.is_fresh else None)
    context = StripPage(
        goals=goals,
        goal=plan.goal,
        is_in_hand=is_strip and plan.goal == goal_in_hand(state),
        plan=plan,
        sheet=told,
        legs=legs(state, workshop.standing(visit.logbook), plan.steps, Way.STRIP),
        asked=asked(plan.slip) if plan.slip else None,
        changes=_changes(visit, plan.goal),
        wants_others=wants_others,
        others_asked=asked(slip) if slip else None,
        others=answer_of(slip) if slip else None,
        may_choose=visit.may(Role.WORKER),
    )
    return page(request, "pages/strip.html", context, visit)


@require_POST
@for_role(Role.WORKER)
def afresh(request: HttpRequest, visit: Visit) -> HttpResponse:
    """Forget the order that is followed, a chosen one as well, and plan anew."""
    goals = goals_in_order(here().workshop.state(visit.logbook))
    goal = _goal(request.POST.get("goal", ""), goals)
    if goal is None:
        raise BadInput("no goal was named", mend="go back to the page Strip")
    here().workshop.store.forget_plan(visit.logbook, goal.id)
    put(here().desk, here().workshop, visit.logbook, "strip", {"goal": goal.id}, again=True)
    return redirect(_address(visit, goal))


@require_POST
@for_role(Role.WORKER)
def choose(request: HttpRequest, visit: Visit) -> HttpResponse:
    """Follow one of the other orders from now on; nothing is logged."""
    workshop = here().workshop
    goal = _goal(request.POST.get("goal", ""), goals_in_order(workshop.state(visit.logbook)))
    args = {"goal": goal.id} if goal else {}
    wanted = question(workshop, visit.logbook, "alternatives", args)
    pin(workshop, visit.logbook, chosen(request, wanted).plan)
    return redirect(_address(visit, goal))


def chosen(request: HttpRequest, wanted: Question) -> Alternative:
    """Give that of the other orders whose number was sent, if they are those of now.

    Raises
    ------
    BadInput
        If they were looked for before something was logged, or on another day, or there is none
        of that number.
    Http404
        If they are of another vehicle.
    """
    slip = here().desk.look(SlipId(request.POST.get("slip", "")))
    if slip is not None and slip.question.logbook != wanted.logbook:
        raise Http404
    if slip is None or slip.question != wanted:
        raise BadInput(
            "something was logged since these orders were looked for, or it is another day",
            mend="nothing was changed; look for other orders again",
        )
    others: tuple[Alternative, ...] = answer_of(slip) or ()
    number = request.POST.get("number", "")
    if not number.isdecimal() or not 1 <= int(number) <= len(others):
        raise BadInput("there is no such order", mend="choose one of those on the page")
    return others[int(number) - 1]


def _address(visit: Visit, goal: Goal | None) -> str:
    address = reverse("strip", args=[visit.logbook])
    return f"{address}?goal={goal.id}" if goal else address


def _goal(named: str, goals: tuple[Goal, ...]) -> Goal | None:
    """Find the goal that was chosen; ``None`` where none was, or it is gone."""
    return next((goal for goal in goals if goal.id == GoalId(named)), None)


def _changes(visit: Visit, goal: Goal | None) -> tuple[ToldChange, ...]:
    """What the last plans to a goal changed, the newest first."""
    wanted = goal.id if goal else None
    return told_changes(
        (slip.asked_at, found.plan.changes)
        for slip in here().desk.answered(visit.logbook, STRIP, LOOKED_AT)
        if (found := answer_of(slip)) is not None and found.plan.plan.goal == wanted
    )
