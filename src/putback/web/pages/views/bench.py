"""The bench: the workshop's calculators, and keeping what they answer."""

from collections.abc import Collection, Mapping
from dataclasses import dataclass, replace

from django.core.exceptions import PermissionDenied
from django.http import Http404, HttpRequest, HttpResponse, QueryDict
from django.shortcuts import redirect
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from putback.bench.calculator import Answer, Calculator, Quantity
from putback.errors import InputError
from putback.logbook.entries.base import LogbookId, Subject
from putback.paper.page import SIZES_MM, page_called
from putback.web.here import here
from putback.web.pages.access import for_people, role_in, visit_of
from putback.web.pages.bench_form import Field, fields_of, typed_in
from putback.web.pages.in_language import language_of
from putback.web.pages.printed_in import languages_for, words_chosen
from putback.web.pages.sent_once import sending_of
from putback.web.pages.show import page
from putback.workshop.benching.drawing import Drawn, drawn
from putback.workshop.benching.every import EVERY
from putback.workshop.benching.given import Given, given
from putback.workshop.benching.keeping import (
    KEPT_ON,
    AsReading,
    kept,
    measures_of,
    readings_of,
    short_command,
)
from putback.workshop.benching.reading import BadFields, work_out
from putback.workshop.benching.showing import (
    cell_text,
    figure_text,
    label,
    put_in,
    symbols_told,
)
from putback.workshop.logbooks.garage import in_its_garage
from putback.workshop.logbooks.ports import RANK, Role
from putback.workshop.people.people import Device
from putback.workshop.printing.answers import answer_on_paper
from putback.workshop.saying.names import find_subject

VEHICLE, WHAT, EXAMPLE = "for-vehicle", "for-what", "example"
READING, CALLED = "as-reading", "called"
SIZE, LANGUAGE = "paper-size", "paper-language"
"""Fields beside a calculator's own: what the answer is for, and that the example is wanted."""
MOST_ROWS, MOST_STEPS = 12, 8
"""A table of more rows is folded, and so are more formulas."""


@dataclass(frozen=True, slots=True)
class BenchPage:
    """The calculators there are."""

    calculators: tuple[Calculator, ...]
    carried: str
    """What the answer will be for, as the rest of an address."""


@dataclass(frozen=True, slots=True)
class AwayPage:
    """What there would be with a network."""

    calculators: tuple[Calculator, ...]


@dataclass(frozen=True, slots=True)
class ShownTable:
    """A table in words."""

    title: str
    head: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]

    @property
    def is_long(self) -> bool:
        """Whether it is folded, so that a phone is not filled with it."""
        return len(self.rows) > MOST_ROWS


@dataclass(frozen=True, slots=True)
class ShownAnswer:
    """An answer in words and pictures."""

    verdict: str
    results: tuple[tuple[str, str], ...]
    """What each is, and the figure."""
    given: tuple[Given, ...]
    """What was put in."""
    steps: tuple[tuple[str, str, str], ...]
    """Each formula with its numbers, what its symbols are, and where it comes from."""
    tables: tuple[ShownTable, ...]
    drawings: tuple[Drawn, ...]
    cautions: tuple[str, ...]
    limits: tuple[str, ...]
    sources: tuple[str, ...]
    command: str
    """The command that gives the same; empty where its lines are too long for one."""

    @property
    def is_brief(self) -> bool:
        """Whether its formulas are few enough to stand open."""
        return len(self.steps) <= MOST_STEPS


@dataclass(frozen=True, slots=True)
class Keep:
    """The form that keeps an answer in a logbook."""

    vehicles: tuple[tuple[str, str], ...]
    """Those that one may log to: identity and name."""
    vehicle: str
    what: str
    called: str
    """The name of what that is, where an identity was brought along."""
    readings: tuple[tuple[str, str], ...]
    """Results that can be kept as a reading: name and words."""
    reading: str
    measurement: str
    """What the reading is called on the part."""
    measures: tuple[str, ...]
    """What is to be measured of that part, by its description."""
    fault: str = ""


@dataclass(frozen=True, slots=True)
class CalculatorPage:
    """One calculator: its form, and its answer if there is one."""

    calculator: Calculator
    fields: tuple[Field, ...]
    is_long: bool
    """Whether a field takes many lines, too many for an address."""
    answer: ShownAnswer | None
    wrong: tuple[Field, ...]
    """The fields at which something is wrong."""
    fault: str
    """What is wrong with the fields together."""
    keep: Keep | None
    typed: tuple[tuple[str, str], ...]
    """The calculator's fields as they were typed, for what is done with the answer."""
    sizes: tuple[str, ...]
    languages: tuple[tuple[str, str], ...]
    """What it can be printed in: what is chosen, and what it is called."""
    carried: tuple[tuple[str, str], ...]
    """What the answer will be for: hidden fields."""


@require_safe
@for_people
def bench(request: HttpRequest, device: Device) -> HttpResponse:
    """List the calculators."""
    del device
    carried = QueryDict(mutable=True)
    carried.update(dict(_carried(request.GET)))
    return page(request, "pages/bench.html", BenchPage(tuple(EVERY.values()), carried.urlencode()))


@require_safe
def away(request: HttpRequest) -> HttpResponse:
    """Say what a phone shows in the bench's place where there is no network."""
    return page(request, "pages/bench_away.html", AwayPage(tuple(EVERY.values())))


@require_http_methods(["GET", "HEAD", "POST"])
@for_people
def calculator(request: HttpRequest, device: Device, name: str) -> HttpResponse:
    """Show a calculator, and work out what is asked."""
    found = _found(name)
    sent = request.POST if request.method == "POST" else request.GET
    if EXAMPLE in sent:
        return _shown(request, device, found, dict(found.example), sent)
    return _shown(request, device, found, typed_in(found, sent.dict()), sent)


@require_http_methods(["GET", "HEAD", "POST"])
@for_people
def printed(request: HttpRequest, device: Device, name: str) -> HttpResponse:
    """Work it out anew, and hand it over as a PDF; what is wrong is told on the page."""
    found = _found(name)
    sent = request.POST if request.method == "POST" else request.GET
    typed = typed_in(found, sent.dict())
    try:
        words, size = words_chosen(sent.get(LANGUAGE, "")), page_called(sent.get(SIZE) or "a4")
    except InputError as error:
        return _shown(request, device, found, typed, sent, fault=str(error), status=400)
    try:
        answer = work_out(found, typed)
    except InputError:
        return _shown(request, device, found, typed, sent)
    today = here().workshop.now_there().date()
    pdf = answer_on_paper(found, typed, answer, today, size, words)
    response = HttpResponse(pdf, content_type="application/pdf")
    response["Content-Disposition"] = f'attachment; filename="{found.name}.pdf"'
    response["Cache-Control"] = "no-store"
    return response


@require_POST
@for_people
def keep(request: HttpRequest, device: Device, name: str) -> HttpResponse:
    """Work it out anew, and log the answer on a part or joint."""
    found, sent = _found(name), request.POST
    typed = typed_in(found, sent.dict())
    visit = visit_of(request, LogbookId(sent.get(VEHICLE, "")))
    if visit is None:
        fault = "choose the vehicle whose logbook it goes into"
        return _shown(request, device, found, typed, sent, fault, status=400)
    if not visit.may(Role.WORKER):
        raise PermissionDenied(Role.WORKER.value)
    workshop = here().workshop
    state = in_its_garage(workshop, visit.logbook)
    try:
        answer = work_out(found, typed)
        on = find_subject(state, sent.get(WHAT, ""), KEPT_ON)
        reading = AsReading(sent[READING], sent.get(CALLED, "")) if sent.get(READING) else None
        bodies = kept(found, typed, answer, on, reading)
        sending = sending_of(request, visit.person, visit.logbook)
        act = workshop.log(
            visit.logbook, bodies, who=visit.person, device=visit.device, as_act=sending.act
        )
    except InputError as error:
        return _shown(request, device, found, typed, sent, str(error), status=400)
    kind, _, identity = on.partition(":")
    at = (
        reverse(kind, args=[visit.logbook, identity])
        if kind in ("part", "joint")
        else reverse("book", args=[visit.logbook])
    )
    return redirect(f"{at}?logged={act.id}")


def _found(name: str) -> Calculator:
    if name not in EVERY:
        raise Http404
    return EVERY[name]


def _carried(sent: Mapping[str, str]) -> tuple[tuple[str, str], ...]:
    return tuple((name, sent[name]) for name in (VEHICLE, WHAT) if sent.get(name))


def _shown(
    request: HttpRequest,
    device: Device,
    found: Calculator,
    typed: dict[str, str],
    sent: Mapping[str, str],
    keep_fault: str = "",
    fault: str = "",
    status: int = 200,
) -> HttpResponse:
    """Show the form, with the answer if anything was typed."""
    faults: Mapping[str, InputError] = {}
    answer = None
    if typed or request.method == "POST":
        try:
            answer = work_out(found, typed)
        except BadFields as error:
            faults, status = error.faults, 400
        except InputError as error:
            fault, status = str(error), 400
    fields = fields_of(found, typed, faults)
    shown = CalculatorPage(
        calculator=found,
        fields=fields,
        wrong=tuple(each for each in fields if each.fault),
        is_long=any(each.quantity is Quantity.LINES for each in found.asked),
        answer=_in_words(found, typed, answer) if answer else None,
        fault=fault,
        keep=_keep(device, answer, sent, keep_fault) if answer else None,
        typed=tuple(typed.items()),
        sizes=tuple(SIZES_MM),
        languages=languages_for(language_of(request)),
        carried=_carried(sent),
    )
    return page(request, "pages/calculator.html", shown, status=status)


def _in_words(found: Calculator, typed: Mapping[str, str], answer: Answer) -> ShownAnswer:
    return ShownAnswer(
        verdict=answer.verdict,
        results=tuple((label(each.words), figure_text(each)) for each in answer.results),
        given=given(found, typed),
        steps=tuple((put_in(each), symbols_told(each), each.source) for each in answer.steps),
        tables=tuple(
            ShownTable(
                each.title,
                tuple(map(label, each.head)),
                tuple(tuple(map(cell_text, row)) for row in each.rows),
            )
            for each in answer.tables
        ),
        drawings=tuple(map(drawn, answer.drawings)),
        cautions=answer.cautions,
        limits=answer.limits,
        sources=answer.sources,
        command=short_command(found, typed),
    )


def _keep(
    device: Device,
    answer: Answer,
    sent: Mapping[str, str],
    fault: str,
) -> Keep | None:
    """Give the form that keeps it; none for whoever has no vehicle to log to."""
    away = here().people.store.put_away(device.person)
    roles = ((each, role_in(each.id, device.person)) for each in here().workshop.logbooks())
    vehicles = tuple(
        (each.id, each.name)
        for each, role in roles
        if role is not None and RANK[role] >= RANK[Role.WORKER] and each.id not in away
    )
    if not vehicles:
        return None
    plain = Keep(
        vehicles=vehicles,
        vehicle=sent.get(VEHICLE, ""),
        what=sent.get(WHAT, ""),
        called=_called({each for each, _ in vehicles}, sent),
        readings=tuple((each.name, each.words) for each in readings_of(answer)),
        reading=sent.get(READING, ""),
        measurement=sent.get(CALLED, ""),
        measures=_measures({each for each, _ in vehicles}, sent),
    )
    return replace(plain, fault=fault) if fault else plain


def _called(vehicles: Collection[str], sent: Mapping[str, str]) -> str:
    """Name what an answer is for, if it is a thing of a vehicle that one may log to."""
    logbook, what = sent.get(VEHICLE, ""), sent.get(WHAT, "")
    if logbook not in vehicles or what.partition(":")[0] not in KEPT_ON:
        return ""
    return here().workshop.state(LogbookId(logbook)).name_of(Subject(what))


def _measures(vehicles: Collection[str], sent: Mapping[str, str]) -> tuple[str, ...]:
    """Give what is to be measured of the part an answer is for, by its description."""
    logbook, what = sent.get(VEHICLE, ""), sent.get(WHAT, "")
    if logbook not in vehicles:
        return ()
    state = here().workshop.state(LogbookId(logbook))
    return measures_of(state, what)
