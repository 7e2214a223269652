"""Paper: the documents of a vehicle, each made when it is asked for, to print or to keep."""

import re
from dataclasses import dataclass
from pathlib import Path
from tempfile import TemporaryDirectory

from django.http import FileResponse, HttpRequest, HttpResponse, QueryDict
from django.views.decorators.http import require_POST, require_safe

from putback.errors import BadInput, InputError
from putback.logbook.state import State
from putback.paper.page import SIZES_MM, page_called
from putback.paper.stock import STOCKS, Calibration, Stock, stock_called
from putback.vehicle.goal import Goal
from putback.vehicle.ids import PartId, Ref
from putback.web.here import here
from putback.web.pages.access import Visit, for_role
from putback.web.pages.in_language import language_of
from putback.web.pages.printed_in import languages_for, words_chosen
from putback.web.pages.show import page
from putback.workshop.desk import plan_on_hand
from putback.workshop.desk.on_hand import rebuild_on_hand
from putback.workshop.logbooks.garage import in_its_garage
from putback.workshop.logbooks.ports import Role
from putback.workshop.plans.how_far import goals_in_order
from putback.workshop.printing.documents import DOCUMENTS, Document, Option, document_called
from putback.workshop.printing.form import Form
from putback.workshop.printing.units import Units, units_called
from putback.workshop.printing.wanted import Wanted
from putback.workshop.saying.names import find, find_subject
from putback.workshop.saying.on_offer import names_on_offer

REBUILD = "rebuild"
"""What is chosen for the plan of the rebuild; a goal's begins with goal-."""
_GOAL = "goal-"
_TYPES = {Form.PDF: "application/pdf", Form.HTML: "text/html; charset=utf-8"}


@dataclass(frozen=True, slots=True)
class PaperPage:
    """What the page shows."""

    documents: tuple[Document, ...]
    stocks: tuple[Stock, ...]
    sizes: tuple[str, ...]
    languages: tuple[tuple[str, str], ...]
    """What is chosen, and what it is called."""
    units: tuple[str, ...]
    goals: tuple[Goal, ...]
    names: tuple[str, ...]
    fault: str


@require_safe
@for_role(Role.VIEWER)
def paper(request: HttpRequest, visit: Visit) -> HttpResponse:
    """Show what can be printed."""
    return _shown(request, visit)


@require_safe
@for_role(Role.VIEWER)
def make(request: HttpRequest, visit: Visit, name: str) -> HttpResponse | FileResponse:
    """Make a document; what cannot be made is told on the page."""
    try:
        document = document_called(name)
        state = in_its_garage(here().workshop, visit.logbook)
        wanted = _wanted(request.GET, visit, state, document)
        form = Form.HTML if request.GET.get("form") == Form.HTML else Form.PDF
        return _as_file(document, state, wanted, form)
    except InputError as error:
        return _shown(request, visit, str(error), status=400)


@require_POST
@for_role(Role.WORKER)
def blank_tags(request: HttpRequest, visit: Visit) -> HttpResponse | FileResponse:
    """Make blank tags; their codes are reserved for the device that asks."""
    try:
        document = document_called("tags")
        state = in_its_garage(here().workshop, visit.logbook)
        count = _whole(request.POST.get("blank", ""), "blank tags")
        if not count:
            raise BadInput("no number of blank tags was given", mend="say how many")
        wanted = _wanted(request.POST, visit, state, document, blank=count)
        return _as_file(document, state, wanted, Form.PDF)
    except InputError as error:
        return _shown(request, visit, str(error), status=400)


def _shown(request: HttpRequest, visit: Visit, fault: str = "", status: int = 200) -> HttpResponse:
    state = in_its_garage(here().workshop, visit.logbook)
    context = PaperPage(
        documents=DOCUMENTS,
        stocks=STOCKS,
        sizes=tuple(SIZES_MM),
        languages=languages_for(language_of(request)),
        units=tuple(Units),
        goals=goals_in_order(state),
        names=names_on_offer(state, ("part", "assembly")),
        fault=fault,
    )
    return page(request, "pages/paper.html", context, visit, status=status)


def _as_file(
    document: Document, state: State, wanted: Wanted, form: Form
) -> HttpResponse | FileResponse:
    """Make it, and hand it over under a name that tells vehicle and document."""
    vehicle = re.sub(r"[^a-z0-9]+", "-", state.vehicle.about.name.casefold()).strip("-")
    name = "-".join(filter(None, (vehicle, document.name)))
    response: HttpResponse | FileResponse
    if document.save is None:
        response = HttpResponse(document.made_as(form, wanted), content_type=_TYPES[form])
    else:
        with TemporaryDirectory() as folder:
            target = Path(folder) / name
            document.save_as(form, wanted, target)
            content = target.open("rb")  # the file lives on until the answer is sent
        response = FileResponse(content, content_type=_TYPES[form])
    response["Content-Disposition"] = f'attachment; filename="{name}.{form}"'
    response["Cache-Control"] = "no-store"
    return response


def _wanted(
    given: QueryDict, visit: Visit, state: State, document: Document, blank: int = 0
) -> Wanted:
    """Read what was chosen; a plan that is asked for and not fresh is asked of the planner."""
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
            _whole(given.get("used", ""), "labels"),
        ),
        blank=blank,
        words=words_chosen(given.get("language", "")),
        units=units_called(given.get("units") or Units.BOTH),
        page=page_called(given.get("size") or "a4", is_large="large" in given),
        is_rebuild=is_rebuild,
        goal=goal,
        sittings=(_whole(sitting, "sittings"),) if sitting else (),
        lift=tuple(Ref(find_subject(state, each, ("part", "assembly"))) for each in lift),
        apart_from=(PartId(find(state, "part", off)),) if off else (),
        runs=(PartId(find(state, "part", run)),) if run else (),
        with_money="money" in given,
    )


def _whole(text: str, what: str) -> int:
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
