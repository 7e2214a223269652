"""Paper: the documents of a vehicle, each made when it is asked for, to print or to keep.

What takes long is asked for at the desk, made beside the pages, and fetched once it is there.
"""

import re
from dataclasses import dataclass

from django.http import FileResponse, Http404, HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import redirect
from django.urls import reverse
from django.views.decorators.http import require_POST, require_safe

from putback.errors import BadInput, InputError
from putback.paper.page import SIZES_MM
from putback.paper.stock import STOCKS, Stock
from putback.vehicle.goal import Goal
from putback.web.here import here
from putback.web.pages.access import Visit, for_role
from putback.web.pages.in_language import language_of
from putback.web.pages.kept_paper import KeptPaper, kept_file, kept_of
from putback.web.pages.paper_form import form_chosen, wanted_from, whole_number
from putback.web.pages.printed_in import languages_for
from putback.web.pages.show import page
from putback.workshop.desk.port import PAPERS, SlipId
from putback.workshop.logbooks.garage import in_its_garage
from putback.workshop.logbooks.ports import Role
from putback.workshop.plans.how_far import goals_in_order
from putback.workshop.printing.documents import DOCUMENTS, Document, document_called
from putback.workshop.printing.form import Form
from putback.workshop.printing.kept_papers import ask_for_paper
from putback.workshop.printing.units import Units
from putback.workshop.printing.wanted import Wanted
from putback.workshop.saying.on_offer import names_on_offer

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
    kept: tuple[KeptPaper, ...]
    """Those that take long and were asked for."""
    fault: str


@require_safe
@for_role(Role.VIEWER)
def paper(request: HttpRequest, visit: Visit) -> HttpResponse:
    """Show what can be printed."""
    return _shown(request, visit)


@require_safe
@for_role(Role.VIEWER)
def make(request: HttpRequest, visit: Visit, name: str) -> HttpResponse:
    """Make a document; what cannot be made is told on the page."""
    try:
        document = document_called(name)
        if document.is_long:
            return redirect("paper", visit.logbook)  # it is ordered there
        state = in_its_garage(here().workshop, visit.logbook)
        wanted = wanted_from(request.GET, visit, state, document)
        return _as_file(document, visit, wanted)
    except InputError as error:
        return _shown(request, visit, str(error), status=400)


@require_POST
@for_role(Role.VIEWER)
def order(request: HttpRequest, visit: Visit, name: str) -> HttpResponse:
    """Ask for a document that takes long; one that is there, and nothing logged since, stays."""
    try:
        document = document_called(name)
        state = in_its_garage(here().workshop, visit.logbook)
        wanted = wanted_from(request.POST, visit, state, document)
    except InputError as error:
        return _shown(request, visit, str(error), status=400)
    if not document.is_long:
        raise Http404
    desk, form = here().desk, form_chosen(request.POST)
    slip = ask_for_paper(desk, document.name, form, wanted)
    is_there = slip.is_open or kept_file(slip) is not None
    if not is_there or "again" in request.POST:
        ask_for_paper(desk, document.name, form, wanted, again=True)
    return redirect(f"{reverse('paper', args=[visit.logbook])}#made")


@require_safe
@for_role(Role.VIEWER)
def fetch(request: HttpRequest, visit: Visit, slip: str) -> FileResponse:
    """Hand over a document that took long."""
    del request
    found = here().desk.look(SlipId(slip))
    is_theirs = found is not None and found.question.logbook == visit.logbook
    if found is None or not is_theirs or found.question.kind not in PAPERS:
        raise Http404
    kept = kept_file(found)
    if kept is None:
        raise Http404
    form = Form(kept[1].suffix[1:])
    response = FileResponse(kept[1].open("rb"), content_type=_TYPES[form])
    _to_be_saved(response, visit, found.question.kind, form)
    return response


@require_POST
@for_role(Role.WORKER)
def blank_tags(request: HttpRequest, visit: Visit) -> HttpResponse:
    """Make blank tags; their codes are reserved for the device that asks."""
    try:
        document = document_called("tags")
        state = in_its_garage(here().workshop, visit.logbook)
        count = whole_number(request.POST.get("blank", ""), "blank tags")
        if not count:
            raise BadInput("no number of blank tags was given", mend="say how many")
        wanted = wanted_from(request.POST, visit, state, document, blank=count)
        return _as_file(document, visit, wanted)
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
        kept=kept_of(visit),
        fault=fault,
    )
    return page(request, "pages/paper.html", context, visit, status=status)


def _as_file(document: Document, visit: Visit, wanted: Wanted) -> HttpResponse:
    """Make it, and hand it over."""
    response = HttpResponse(document.make(wanted), content_type=_TYPES[Form.PDF])
    _to_be_saved(response, visit, document.name, Form.PDF)
    return response


def _to_be_saved(response: HttpResponseBase, visit: Visit, document: str, form: Form) -> None:
    """Let it be saved under a name that tells vehicle and document, and kept nowhere else."""
    name = here().workshop.state(visit.logbook).vehicle.about.name
    vehicle = re.sub(r"[^a-z0-9]+", "-", name.casefold()).strip("-")
    saved_as = "-".join(filter(None, (vehicle, document)))
    response["Content-Disposition"] = f'attachment; filename="{saved_as}.{form}"'
    response["Cache-Control"] = "no-store"
