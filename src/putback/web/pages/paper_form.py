"""How somebody wants a paper, read from what they chose on the page Paper."""

import re

from django.http import QueryDict

from putback.errors import BadInput
from putback.logbook.state import State
from putback.paper.page import page_called
from putback.paper.stock import Calibration, stock_called
from putback.vehicle.ids import PartId, Ref
from putback.web.here import here
from putback.web.pages.access import Visit
from putback.web.pages.printed_in import words_chosen
from putback.workshop.desk import plan_on_hand
from putback.workshop.desk.on_hand import rebuild_on_hand
from putback.workshop.plans.how_far import goals_in_order
from putback.workshop.printing.documents import Document, Option
from putback.workshop.printing.form import Form
from putback.workshop.printing.units import Units, units_called
from putback.workshop.printing.wanted import Wanted
from putback.workshop.saying.names import find, find_subject

REBUILD = "rebuild"
"""What is chosen for the plan of the rebuild; a goal's begins with goal-."""
_GOAL = "goal-"


def form_chosen(given: QueryDict) -> Form:
    """Give in what form it is wanted; a PDF where nobody said."""
    return Form.HTML if given.get("form") == Form.HTML else Form.PDF


def wanted_from(
    given: QueryDict, visit: Visit, state: State, document: Document, blank: int = 0
) -> Wanted:
    """Read what was chosen; a plan that is asked for and not fresh is asked of the planner.

    Raises
    ------
    InputError
        If something chosen cannot be meant.
    """
    plan = given.get("plan", "")
    goal = next((each for each in goals_in_order(state) if plan == f"{_GOAL}{each.id}"), None)
    is_rebuild = plan == REBUILD or Option.REBUILD in document.options
    workshop, desk = here().workshop, here().desk
    if is_rebuild:
        rebuild_on_hand(workshop, visit.logbook, desk)
    elif Option.PLAN in document.options:
        plan_on_hand(workshop, visit.logbook, desk, goal)
    stock, sitting = given.get("stock", ""), given.get("sitting", "").strip()
    lift = filter(None, map(str.strip, given.getlist("lift")))
    off, run = given.get("off", "").strip(), given.get("run", "").strip()
    return Wanted(
        workshop,
        visit.logbook,
        visit.device,
        stock=stock_called(stock) if stock else None,
        at=Calibration(
            _millimetres(given.get("right", "")),
            _millimetres(given.get("down", "")),
            whole_number(given.get("used", ""), "labels"),
        ),
        blank=blank,
        words=words_chosen(given.get("language", "")),
        units=units_called(given.get("units") or Units.BOTH),
        page=page_called(given.get("size") or "a4", is_large="large" in given),
        is_rebuild=is_rebuild,
        goal=goal,
        sittings=(whole_number(sitting, "sittings"),) if sitting else (),
        lift=tuple(Ref(find_subject(state, each, ("part", "assembly"))) for each in lift),
        apart_from=(PartId(find(state, "part", off)),) if off else (),
        runs=(PartId(find(state, "part", run)),) if run else (),
        with_money="money" in given,
    )


def whole_number(text: str, what: str) -> int:
    """Read how many of something are meant; 0 where nothing was typed."""
    text = text.strip()
    if not text:
        return 0
    if not text.isdecimal() or len(text) > 6:
        raise BadInput(f"{text[:20]!r} is no number of {what}", mend="write a whole number")
    return int(text)


def _millimetres(text: str) -> float:
    """Read a shift [mm], with a point or a comma; none where nothing was typed."""
    tidy = text.strip().replace(",", ".")
    if not tidy:
        return 0.0
    if not re.fullmatch(r"[+-]?\d{1,3}(\.\d{1,3})?", tidy):
        raise BadInput(f"{text[:20]!r} is no shift", mend="write millimetres, as 1.5 or -0.5")
    return float(tidy)
