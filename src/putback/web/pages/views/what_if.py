"""What if: suppose that something is done, and see what would follow; nothing is logged."""

from dataclasses import dataclass

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_safe

from putback.errors import LISTED
from putback.logbook.state import State
from putback.units.show import duration_text
from putback.vehicle.ids import Ref
from putback.web.here import here
from putback.web.pages.access import Visit, for_role
from putback.web.pages.asked import Asked, asked
from putback.web.pages.sheet import Opened, sheet_of
from putback.web.pages.show import page
from putback.workshop.desk import put
from putback.workshop.desk.questions import answer_of
from putback.workshop.logbooks.garage import in_its_garage
from putback.workshop.logbooks.ports import Role
from putback.workshop.plans.supposed import Opened as WouldBeOpen
from putback.workshop.plans.supposed import Supposed

_MOST_LINES = 20


@dataclass(frozen=True, slots=True)
class WhatIfPage:
    """What the page shows."""

    typed: str
    asked: Asked | None
    supposed: tuple[str, ...]
    """What was supposed, as the logbook would have it."""
    answer: str
    refused: tuple[tuple[str, ...], ...]
    """Why nothing could be planned then, and what would help: of each a line, and a list."""
    spared: tuple[str, ...]
    added: tuple[str, ...]
    opened: tuple[WouldBeOpen, ...]
    sheet: Opened | None
    """How it would go on."""


@require_safe
@for_role(Role.VIEWER)
def what_if(request: HttpRequest, visit: Visit) -> HttpResponse:
    """Ask what would follow, and show the answer once it is there."""
    workshop = here().workshop
    state = in_its_garage(workshop, visit.logbook)
    typed = request.GET.get("lines", "")
    lines = [line.strip() for line in typed.splitlines() if line.strip()][:_MOST_LINES]
    slip = (
        put(here().desk, workshop, visit.logbook, "what_if", {"lines": lines}) if lines else None
    )
    found: Supposed | None = answer_of(slip) if slip else None
    steps = found.then.steps if found and found.then else ()
    context = WhatIfPage(
        typed=typed,
        asked=asked(slip) if slip else None,
        supposed=found.sentences if found else (),
        answer=_answer(found) if found else "",
        refused=_lines(found.fault, found.remedy) if found else (),
        spared=_names(state, found.spared) if found else (),
        added=_names(state, found.added) if found else (),
        opened=found.opened if found else (),
        sheet=sheet_of(request, state, steps) if steps else None,
    )
    return page(request, "pages/what_if.html", context, visit)


def _answer(found: Supposed) -> str:
    more = found.minutes_more
    if more is None:
        return ""
    if round(more) == 0:
        return "as much would be left to do as now"
    return f"{duration_text(abs(more))} {'more' if more > 0 else 'less'} would be left to do"


def _lines(*told: str) -> tuple[tuple[str, ...], ...]:
    return tuple(tuple(each.split(LISTED)) for each in told if each)


def _names(state: State, refs: tuple[Ref, ...]) -> tuple[str, ...]:
    return tuple(map(state.name_of, refs))
