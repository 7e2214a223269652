"""The calendar: who works when, when all is done, the days ahead, and what to chase."""

from dataclasses import dataclass, replace

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_http_methods, require_safe

from putback.language import reteller
from putback.logbook.state import State
from putback.web.here import here
from putback.web.pages.access import Visit, for_role
from putback.web.pages.asked import Asked, asked
from putback.web.pages.hours_form import HoursForm, kept_form, read_form
from putback.web.pages.hours_meanwhile import Line, only_in, stamp_of
from putback.web.pages.in_language import language_of
from putback.web.pages.show import page
from putback.workshop.desk import OnHand, Slip, plan_on_hand
from putback.workshop.desk.on_hand import rebuild_on_hand
from putback.workshop.desk.put import CALENDAR, question
from putback.workshop.desk.questions import answer_of
from putback.workshop.logbooks.garage import in_its_garage
from putback.workshop.logbooks.ports import Role
from putback.workshop.plans.calendar import Calendar
from putback.workshop.plans.calendar_file import calendar_file
from putback.workshop.plans.calendar_told import CalendarTold, calendar_told, days_of
from putback.workshop.plans.how_far import Way, goal_in_hand
from putback.workshop.plans.wishes import (
    Wishes,
    as_json,
    keep_wishes,
    kept_wishes,
    kinds_of_work,
)

_LOOKED_AT = 8
"""Answers among which the last one of these hours is looked for."""


@dataclass(frozen=True, slots=True)
class CalendarPage:
    """What the page shows."""

    plan: OnHand
    is_rebuild: bool
    """Whether it is the rebuild that one looks at, whichever way the work goes."""
    may_turn: bool
    """Whether the work goes the other way, so that one may look at the rebuild."""
    asked: Asked | None
    """How far the plan is that it rests on, or the calendar."""
    told: CalendarTold | None
    is_old: bool
    """Whether it was reckoned before the last entry, on another day or of another order."""
    form: HoursForm
    is_form_open: bool
    kept: str
    """Stamp of what was kept when the form was shown."""
    was_kept_anew: bool = False
    """Whether somebody else kept something since; nothing was kept then."""
    meanwhile: tuple[Line, ...] = ()
    """What is kept by now, and not in the form."""


@require_http_methods(["GET", "HEAD", "POST"])
def calendar(request: HttpRequest, logbook: str) -> HttpResponse:
    """Show the calendar, or keep who works when."""
    view = keep_hours if request.method == "POST" else show_calendar
    response: HttpResponse = view(request, logbook)
    return response


@for_role(Role.VIEWER)
def show_calendar(request: HttpRequest, visit: Visit) -> HttpResponse:
    """Show the calendar of the plan at hand, and ask for a fresh one if there is none."""
    wishes = kept_wishes(here().workshop, visit.logbook)
    shown = _page(request, visit, wishes, _kept_form(visit, wishes))
    return _shown(request, visit, shown)


@for_role(Role.WORKER)
def keep_hours(request: HttpRequest, visit: Visit) -> HttpResponse:
    """Keep who works when, unless something of it cannot be meant."""
    workshop = here().workshop
    kept = kept_wishes(workshop, visit.logbook)
    form, wishes = read_form(request.POST, _kinds(visit, kept))
    stamp = request.POST.get("kept", stamp_of(kept))
    if form.is_wrong:
        shown = replace(_page(request, visit, kept, form), kept=stamp)
        return _shown(request, visit, shown, status=400)
    if stamp != stamp_of(kept) and wishes != kept:
        shown = replace(
            _page(request, visit, kept, form),
            is_form_open=True,
            was_kept_anew=True,
            meanwhile=only_in(_kept_form(visit, kept), form),
        )
        return _shown(request, visit, shown, status=400)
    keep_wishes(workshop, visit.logbook, wishes)
    return redirect(request.get_full_path())


@require_safe
@for_role(Role.VIEWER)
def days_file(request: HttpRequest, visit: Visit) -> HttpResponse:
    """Give the days as a file for whatever keeps people's appointments."""
    workshop = here().workshop
    state = in_its_garage(workshop, visit.logbook)
    wishes = kept_wishes(workshop, visit.logbook)
    _, _, found, _ = _found(request, visit, wishes)
    if found is None or not found.timetable.blocks or not found.is_timed:
        raise Http404
    key = f"{visit.logbook} {'rebuild' if found.goal is None else found.goal.id}"
    tell = reteller(language_of(request)).tell
    name = state.vehicle.about.name
    file = calendar_file(name, days_of(state, found), workshop.clock.now(), key, tell)
    response = HttpResponse(file, content_type="text/calendar; charset=utf-8")
    response["Content-Disposition"] = 'attachment; filename="calendar.ics"'
    return response


def _shown(
    request: HttpRequest, visit: Visit, shown: CalendarPage, status: int = 200
) -> HttpResponse:
    within = "rebuild" if shown.plan.way is Way.REBUILD else "strip"
    return page(request, "pages/calendar.html", shown, visit, status, within)


def _kept_form(visit: Visit, wishes: Wishes) -> HoursForm:
    return kept_form(wishes, _kinds(visit, wishes), here().workshop.clock.now().date())


def _kinds(visit: Visit, kept: Wishes) -> tuple[str, ...]:
    return kinds_of_work(here().workshop.state(visit.logbook).vehicle, kept)


def _page(request: HttpRequest, visit: Visit, wishes: Wishes, form: HoursForm) -> CalendarPage:
    state = in_its_garage(here().workshop, visit.logbook)
    plan, slip, found, is_old = _found(request, visit, wishes)
    is_rebuild = _is_rebuild(request, state)
    may_choose = goal_in_hand(state) is not None
    return CalendarPage(
        plan=plan,
        is_rebuild=is_rebuild,
        may_turn=may_choose and (is_rebuild or (plan.way is Way.STRIP and _is_begun(state))),
        asked=asked(slip) if slip else None,
        told=calendar_told(state, found) if found else None,
        is_old=is_old,
        form=form,
        is_form_open=form.is_wrong or wishes == Wishes(),
        kept=stamp_of(wishes),
    )


def _is_rebuild(request: HttpRequest, state: State) -> bool:
    """Whether the rebuild is looked at: as wished, or for want of a goal, as at a prompt."""
    is_wished = request.GET.get("way") == "rebuild"
    return is_wished or (goal_in_hand(state) is None and _is_begun(state))


def _is_begun(state: State) -> bool:
    """Whether there is anything to put back."""
    return bool(state.parts_off or state.undone_joints)


def _found(
    request: HttpRequest, visit: Visit, wishes: Wishes
) -> tuple[OnHand, Slip | None, Calendar | None, bool]:
    """The plan, what is asked of the planner, and the last calendar, and whether it is old.

    The plan comes first: it is what the question for the calendar rests on.
    """
    workshop, desk, logbook = here().workshop, here().desk, visit.logbook
    is_rebuild = _is_rebuild(request, in_its_garage(workshop, logbook))
    on_hand = rebuild_on_hand if is_rebuild else plan_on_hand
    plan = on_hand(workshop, logbook, desk)
    args: dict[str, object] = {"wishes": as_json(wishes)}
    if is_rebuild:
        args["rebuild"] = True
    wanted = question(workshop, logbook, CALENDAR, args)
    slip = desk.ask(wanted) if plan.is_fresh else plan.slip
    if plan.is_fresh and slip is not None and (found := answer_of(slip)) is not None:
        return plan, slip, found, False
    for each in desk.answered(logbook, CALENDAR, _LOOKED_AT):
        if each.question.args == wanted.args and (found := answer_of(each)) is not None:
            return plan, slip, found, True
    return plan, slip, None, False
