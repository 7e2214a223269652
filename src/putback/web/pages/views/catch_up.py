"""Catch up: a contact sheet for the days that nobody logged."""

from dataclasses import dataclass

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_http_methods

from putback.errors import BadInput, InputError
from putback.logbook.entries.base import ActId
from putback.logbook.state import State
from putback.web.here import here
from putback.web.pages.access import Visit, for_role
from putback.web.pages.after import after_logging
from putback.web.pages.sent_once import sent_once
from putback.web.pages.show import page
from putback.workshop.desk import plan_on_hand
from putback.workshop.logbooks.garage import in_its_garage
from putback.workshop.logbooks.ports import Role
from putback.workshop.now.catch_up import (
    How,
    SheetLine,
    caught_up,
    contact_sheet,
    day_said,
    moved,
    sheet_as_sent,
)
from putback.workshop.saying.said_off import said_off

_ROOM_FOR_NAMES = 4


@dataclass(frozen=True, slots=True)
class Filled:
    """A line of the sheet, and what was said of it."""

    line: SheetLine
    how: str


@dataclass(frozen=True, slots=True)
class CatchUpPage:
    """What the page shows."""

    lines: tuple[Filled, ...]
    named: tuple[str, ...]
    """Parts that came off, by their names: as they were typed, and room for more."""
    tag: str
    """Of the bag they went into."""
    hows: tuple[str, ...]
    rest: str
    """What became of the lines of which nothing is said."""
    day: str
    today: str
    precision: str
    fault: str
    remedy: str


@require_http_methods(["GET", "HEAD", "POST"])
@for_role(Role.WORKER)
@sent_once(after_logging)
def catch_up(request: HttpRequest, visit: Visit, act: ActId | None) -> HttpResponse:
    """Show the sheet; move a line of it, or write what was done as late entries."""
    workshop = here().workshop
    state = in_its_garage(workshop, visit.logbook)
    on_hand = plan_on_hand(workshop, visit.logbook)
    if request.method != "POST":
        lines = contact_sheet(state, on_hand.steps)
        return page(request, "pages/catch_up.html", _page(request, lines), visit)
    lines = sheet_as_sent(state, on_hand.steps, on_hand.way, moved_order(request))
    if "move" in request.POST:
        return page(request, "pages/catch_up.html", _page(request, lines), visit)
    try:
        return _written(request, visit, act, state, lines)
    except InputError as error:
        shown = _page(request, lines, error)
        return page(request, "pages/catch_up.html", shown, visit, status=400)


def moved_order(request: HttpRequest) -> tuple[str, ...]:
    """The order of the lines as it was sent, with the line moved whose button was pressed."""
    order = tuple(str(each) for each in request.POST.getlist("order"))
    way, _, key = request.POST.get("move", "").partition(":")
    return moved(order, key, {"up": -1, "down": 1}.get(way, 0)) if key else order


def _written(
    request: HttpRequest,
    visit: Visit,
    act: ActId | None,
    state: State,
    lines: tuple[SheetLine, ...],
) -> HttpResponse:
    how = {
        line.key: How(said)
        for line in lines
        if (said := request.POST.get(f"how-{line.key}", "")) in set(How)
    }
    said = request.POST.get("rest", "")
    rest = How(said) if said in set(How) else How.NOT_DONE
    named = _named(request)
    if "order" in request.POST and not (lines or named):
        raise BadInput(
            "all of it has been logged meanwhile",
            mend="see what the log says of it; or name what came off as well",
        )
    is_done = any(how.get(line.key, rest) is not How.NOT_DONE for line in lines)
    expected = caught_up(state, lines, how, rest) if is_done or (lines and not named) else ()
    off = said_off(state, named, request.POST.get("tag", "")) if named or not lines else ()
    logged = here().workshop.log(
        visit.logbook,
        (*expected, *off),
        who=visit.person,
        device=visit.device,
        happened_at=day_said(request.POST.get("precision", "day"), request.POST.get("day", "")),
        as_act=act,
    )
    return after_logging(request, visit, logged)


def _named(request: HttpRequest) -> list[str]:
    """The names that were typed of parts that came off, beside what the plan expected."""
    return [name.strip() for name in request.POST.getlist("part") if name.strip()]


def _page(
    request: HttpRequest, lines: tuple[SheetLine, ...], error: InputError | None = None
) -> CatchUpPage:
    named = _named(request)
    today = here().workshop.now_there().date().isoformat()
    return CatchUpPage(
        lines=tuple(Filled(line, request.POST.get(f"how-{line.key}", "")) for line in lines),
        named=(*named, *[""] * max(_ROOM_FOR_NAMES - len(named), 1)),
        tag=request.POST.get("tag", ""),
        hows=tuple(each.value for each in How),
        rest=request.POST.get("rest", How.NOT_DONE.value),
        day=request.POST.get("day", today),
        today=today,
        precision=request.POST.get("precision", "day"),
        fault=error.fault() if error else "",
        remedy=error.remedy() if error else "",
    )
