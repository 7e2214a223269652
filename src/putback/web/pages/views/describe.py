"""Describing: forms checked in place, templates, a list of parts from a file, what we learned."""

import tempfile
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path

from django.http import HttpRequest, HttpResponse, QueryDict
from django.shortcuts import redirect
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from putback.errors import BadInput, InputError, NotFound
from putback.logbook.entries.base import ActId, Body
from putback.logbook.entries.describing import Described
from putback.logbook.state import State
from putback.vehicle.ids import part_ref
from putback.vehicle.table_import import Imported, TableFaults, import_parts
from putback.vehicle.table_rows import LARGEST_BYTES
from putback.vehicle.templates import SIDES, Template, add, list_templates
from putback.web.here import here
from putback.web.pages.access import Visit, for_role
from putback.web.pages.sent_once import sent_once, to_page
from putback.web.pages.show import page
from putback.workshop.describing.answers import Answer, in_words, read_answer
from putback.workshop.describing.draft_forms import FORMS, Form, form_of_table
from putback.workshop.describing.drafts import Draft, is_gone, kept_up, read_draft, texts_of
from putback.workshop.describing.from_list import said_by
from putback.workshop.describing.learned import Proposal, learned
from putback.workshop.describing.records import records_of, title_of
from putback.workshop.describing.taken_back import take_back
from putback.workshop.logbooks.describe import described_as
from putback.workshop.logbooks.garage import in_its_garage
from putback.workshop.logbooks.ports import Role
from putback.workshop.logbooks.workshop import Act
from putback.workshop.saying.names import names_of

LISTED = {
    Answer.PART: "part",
    Answer.PARTS: "part",
    Answer.JOINTS: "joint",
    Answer.STANDING: "standing",
    Answer.STANDINGS: "standing",
    Answer.OPENINGS: "opening",
    Answer.FLUID: "fluid",
    Answer.JOB: "job",
    Answer.JOBS: "job",
    Answer.GOAL: "goal",
    Answer.ZONE: "zone",
    Answer.OPENED: "thing",
    Answer.WORK: "thing",
}
"""Answers that are offered from a list, and which one."""
SEVERAL = {Answer.PARTS, Answer.JOINTS, Answer.STANDINGS, Answer.OPENINGS, Answer.JOBS}
QUANTITIES = {Answer.MASS, Answer.LENGTH, Answer.VOLUME, Answer.TORQUE, Answer.MINUTES}
"""Answers of which is said back, while they are typed, how they are understood."""
WIDGETS = {
    Answer.TICK: "tick",
    Answer.TICK_AGAINST: "tick",
    Answer.CHOICE: "choice",
    **dict.fromkeys(
        (
            *(Answer.LONG, Answer.LINES, Answer.MARKS, Answer.NUMBERS, Answer.USED_UP),
            *(Answer.FIXINGS, Answer.STAGES, Answer.SHIMS, Answer.ENDS, Answer.PASSAGES),
            *(Answer.SUPPORTS, Answer.CHANGES, Answer.OUTLINE),
        ),
        "lines",
    ),
}
"""How an answer is asked for, where it is not by one line."""
MORE = 2
"""Empty fields for further things, in a question that takes several."""


@dataclass(frozen=True, slots=True)
class Table:
    """A table that can be described, and how much is in it."""

    form: Form
    described: int


@dataclass(frozen=True, slots=True)
class TablePage:
    """What is described in one table."""

    form: Form
    records: tuple[tuple[str, str], ...]
    """Identity and name of those that are shown."""
    of: int
    words: str
    """What was looked for."""


@dataclass(frozen=True, slots=True)
class TakenOver:
    """What a list of parts came to, of which the vehicle had some."""

    new: int
    known: int
    changed: tuple[str, ...]
    """Names of those that the list says otherwise."""
    not_listed: tuple[str, ...]
    """Names of parts of the vehicle that the list does not have."""


@dataclass(frozen=True, slots=True)
class DescribePage:
    """What can be described."""

    tables: tuple[Table, ...]
    templates: tuple[Template, ...]
    places: tuple[str, ...]
    sides: tuple[str, ...]
    learned: tuple[Proposal, ...]
    fault: str = ""
    place: str = ""
    remedy: str = ""
    faults: tuple[str, ...] = ()
    """Of a list of parts, row by row."""
    left_out: tuple[str, ...] = ()
    """Headings of a list that was taken over which nobody knew."""
    taken: TakenOver | None = None
    """Of a list of which some parts were on the vehicle already."""
    headings: tuple[str, ...] = ()
    """Of a list that was refused."""
    wants_heading: bool = False
    """Whether nobody can tell which of them holds the names."""


@dataclass(frozen=True, slots=True)
class Filled:
    """A question with what stands in it, and what is wrong with that."""

    name: str
    id: str
    label: str
    widget: str
    is_whole: bool
    is_quantity: bool
    hint: str
    options: tuple[str, ...]
    required: bool
    is_rare: bool
    texts: tuple[str, ...]
    """Several where the question takes several."""
    found: str
    """What is described of it, to tell apart what is typed from what was found so."""
    listed: str
    faults: tuple[str, ...]
    contradictions: tuple[str, ...]
    doubts: tuple[str, ...]
    read_as: str

    @property
    def text(self) -> str:
        """The only text."""
        return self.texts[0]

    @property
    def is_wrong(self) -> bool:
        """Whether something is wrong with it."""
        return bool(self.faults or self.contradictions)

    @property
    def is_asked_first(self) -> bool:
        """Whether it stands before those that are seldom asked for."""
        return not self.is_rare or self.is_wrong or any(self.texts)


@dataclass(frozen=True, slots=True)
class DraftPage:
    """One form of description."""

    form: Form
    name: str
    first: tuple[Filled, ...]
    """The questions that are usual, and what is answered of the others."""
    rare: tuple[Filled, ...]
    """The questions that are seldom asked for."""
    lists: Mapping[str, tuple[str, ...]]
    draft: Draft | None = None
    whole: tuple[str, ...] = field(default=())
    """What is wrong with the record as a whole."""
    must_confirm: bool = False
    identity: str = ""
    """Of a record that can be taken back."""
    missed: tuple[str, ...] = ()
    """Why it cannot be taken back as it stands."""


@require_safe
@for_role(Role.WORKER)
def describe(request: HttpRequest, visit: Visit) -> HttpResponse:
    """Show what can be described."""
    return page(request, "pages/describe.html", _page(visit), visit)


def _to_described(
    request: HttpRequest, visit: Visit, act: Act, table: str, identity: str | None = None
) -> HttpResponse:
    """Go to what was described before: a new record's identity is in the logbook alone."""
    del request
    said = (each.body for each in act.entries)
    new = (each.id for each in said if isinstance(each, Described) and each.table == table)
    return _to(visit, table, identity or next(new))


@require_http_methods(["GET", "HEAD", "POST"])
@for_role(Role.WORKER)
@sent_once(_to_described)
def describe_one(
    request: HttpRequest,
    visit: Visit,
    act: ActId | None,
    table: str,
    identity: str | None = None,
) -> HttpResponse:
    """Ask for the description of one record, and take it."""
    form = form_of_table(table)
    state = in_its_garage(here().workshop, visit.logbook)
    if request.method != "POST":
        texts = texts_of(state, table, identity)
        shown = _draft_page(state, form, identity, texts)
        return page(request, "pages/draft.html", shown, visit)
    texts = _typed(form, request.POST)
    found = _found(form, request.POST)
    draft = read_draft(state, table, identity, texts, found)
    if draft.faults or (draft.contradictions and request.POST.get("anyway") != "yes"):
        if found and not is_gone(state, table, identity, found):
            texts = kept_up(texts, found, texts_of(state, table, identity))
        shown = _draft_page(state, form, identity, texts, draft)
        return page(request, "pages/draft.html", shown, visit, status=400)
    if draft.bodies:
        _log(visit, act, draft.bodies)
    return _to(visit, table, draft.identity)


@require_safe
@for_role(Role.WORKER)
def describe_table(request: HttpRequest, visit: Visit, table: str) -> HttpResponse:
    """List what is described in one table."""
    form, words = form_of_table(table), request.GET.get("words", "").strip()
    state = in_its_garage(here().workshop, visit.logbook)
    records = [(each, title_of(state, table, each)) for each in records_of(state, table)]
    wanted = words.casefold().split()
    found = [each for each in records if all(word in " ".join(each).casefold() for word in wanted)]
    found.sort(key=lambda each: each[1].casefold())
    shown = TablePage(form, tuple(found), len(records), words)
    return page(request, "pages/described.html", shown, visit)


def _to_table(
    request: HttpRequest, visit: Visit, act: Act, table: str, identity: str
) -> HttpResponse:
    del request, act, identity
    return redirect("describe_table", visit.logbook, table)


@require_POST
@for_role(Role.WORKER)
@sent_once(_to_table)
def describe_back(
    request: HttpRequest, visit: Visit, act: ActId | None, table: str, identity: str
) -> HttpResponse:
    """Take a description back, unless something else rests on it."""
    form, workshop = form_of_table(table), here().workshop
    state = in_its_garage(workshop, visit.logbook)
    if form.is_one or identity not in records_of(state, table):
        raise NotFound(form.word, identity)
    taken = take_back(state, workshop.standing(visit.logbook), table, identity)
    if taken.missed:
        texts = texts_of(state, table, identity)
        shown = replace(_draft_page(state, form, identity, texts), missed=taken.missed)
        return page(request, "pages/draft.html", shown, visit, status=400)
    _log(visit, act, taken.bodies)
    return redirect("describe_table", visit.logbook, table)


@require_safe
@for_role(Role.WORKER)
def read_back(request: HttpRequest, visit: Visit, table: str) -> HttpResponse:
    """Say how one quantity is understood that is being typed."""
    state = in_its_garage(here().workshop, visit.logbook)
    told = ""
    for blank in form_of_table(table).blanks:
        if (text := request.GET.get(blank.name)) is not None:
            try:
                told = in_words(blank.answer, read_answer(blank.answer, text, state))
            except InputError as error:
                told = str(error)
    return HttpResponse(told, content_type="text/plain; charset=utf-8")


@require_POST
@for_role(Role.WORKER)
@sent_once(to_page("parts"))
def add_template(request: HttpRequest, visit: Visit, act: ActId | None) -> HttpResponse:
    """Add a sub-assembly in one tap."""
    wanted, side = request.POST.get("template", ""), request.POST.get("side", "")
    template = next((each for each in list_templates() if each.id == wanted), None)
    if template is None:
        raise NotFound("template", wanted)
    state = here().workshop.state(visit.logbook)
    additions = add(
        state.vehicle,
        template,
        side=SIDES.get(side),
        place=request.POST.get("place", ""),
    )
    bodies = [described_as(table, record) for table, record in additions]
    _log(visit, act, bodies)
    return redirect("parts", visit.logbook)


@require_POST
@for_role(Role.WORKER)
@sent_once(to_page("parts"))
def import_list(request: HttpRequest, visit: Visit, act: ActId | None) -> HttpResponse:
    """Take over a list of parts: all of it, or nothing and every fault by its row."""
    sent, heading = request.FILES.get("list"), request.POST.get("heading", "").strip()
    try:
        if sent is None:
            raise BadInput("no file was sent", mend="choose one")
        if sent.size is None or sent.size > LARGEST_BYTES:
            raise BadInput(f"the file is larger than {LARGEST_BYTES // 2**20} MB", mend="split it")
        with tempfile.TemporaryDirectory() as folder:
            path = Path(folder) / "list"
            path.write_bytes(sent.read())
            vehicle = here().workshop.state(visit.logbook).vehicle
            found = import_parts(path, vehicle, {"name": heading} if heading else None)
    except TableFaults as error:
        shown = _page(
            visit,
            faults=tuple(map(str, error.faults)),
            headings=error.headings,
            wants_heading="name" in error.unclear,
        )
        return page(request, "pages/describe.html", shown, visit, status=400)
    except InputError as error:
        shown = _page(visit, fault=error.fault(), remedy=error.remedy())
        return page(request, "pages/describe.html", shown, visit, status=400)
    if bodies := said_by(found):
        _log(visit, act, bodies)
    if found.ignored_columns or found.known:
        shown = _page(visit, left_out=found.ignored_columns, taken=_taken(visit, found))
        return page(request, "pages/describe.html", shown, visit)
    return redirect("parts", visit.logbook)


@require_POST
@for_role(Role.WORKER)
@sent_once(to_page("describe"))
def accept(request: HttpRequest, visit: Visit, act: ActId | None) -> HttpResponse:
    """Take up what we learned; it is logged like any other description."""
    workshop, key = here().workshop, request.POST.get("key", "")
    proposals = learned(workshop.state(visit.logbook), workshop.standing(visit.logbook))
    wanted = next((each for each in proposals if each.key == key), None)
    if wanted is not None:  # else somebody else took it up already
        _log(visit, act, wanted.bodies)
    return redirect("describe", visit.logbook)


def _taken(visit: Visit, found: Imported) -> TakenOver | None:
    if not found.known:
        return None
    state = here().workshop.state(visit.logbook)
    named = [
        tuple(state.name_of(part_ref(each)) for each in parts)
        for parts in (found.changed, found.not_listed)
    ]
    return TakenOver(len(found.parts), len(found.known), *named)


def _log(visit: Visit, act: ActId | None, bodies: Sequence[Body]) -> None:
    here().workshop.log(visit.logbook, bodies, who=visit.person, device=visit.device, as_act=act)


def _page(
    visit: Visit,
    *,
    fault: str = "",
    remedy: str = "",
    faults: tuple[str, ...] = (),
    left_out: tuple[str, ...] = (),
    taken: TakenOver | None = None,
    headings: tuple[str, ...] = (),
    wants_heading: bool = False,
) -> DescribePage:
    workshop = here().workshop
    state = in_its_garage(workshop, visit.logbook)
    return DescribePage(
        tables=tuple(Table(form, len(records_of(state, form.table))) for form in FORMS.values()),
        templates=list_templates(),
        places=("front", "rear"),
        sides=("left", "right"),
        learned=learned(state, workshop.standing(visit.logbook)),
        fault=fault,
        remedy=remedy,
        faults=faults,
        left_out=left_out,
        taken=taken,
        headings=headings,
        wants_heading=wants_heading,
    )


def _typed(form: Form, sent: QueryDict) -> dict[str, str]:
    """Gather the texts of a form; what is missing in it was left empty."""
    return {each.name: "\n".join(sent.getlist(each.name)) for each in form.blanks}


def _found(form: Form, sent: QueryDict) -> dict[str, str] | None:
    """Gather what stood in the fields when they were shown; ``None`` where that was not sent."""
    names = [each.name for each in form.blanks if f"found.{each.name}" in sent]
    return {name: sent.get(f"found.{name}", "") for name in names} or None


def _draft_page(
    state: State,
    form: Form,
    identity: str | None,
    texts: Mapping[str, str],
    draft: Draft | None = None,
) -> DraftPage:
    found = draft or Draft(form.table, identity or "", {})
    identity = state.vehicle.about.id if form.is_one else identity
    name = title_of(state, form.table, identity) if identity is not None else ""
    is_there = identity in records_of(state, form.table)
    written = texts_of(state, form.table, identity)
    blanks = [
        Filled(
            name=each.name,
            id=each.name.replace(".", "-"),
            label=each.label,
            widget=WIDGETS.get(each.answer, "line"),
            is_whole=each.answer is Answer.WHOLE,
            is_quantity=each.answer in QUANTITIES,
            hint=each.hint,
            options=each.options,
            required=each.required,
            is_rare=each.rare,
            texts=_fields(each.answer, texts.get(each.name, "")),
            found=written[each.name],
            listed=LISTED.get(each.answer, ""),
            faults=found.faults.get(each.name, ()),
            contradictions=found.contradictions.get(each.name, ()),
            doubts=found.doubts.get(each.name, ()),
            read_as=found.read_as.get(each.name, ""),
        )
        for each in form.blanks
    ]
    return DraftPage(
        form=form,
        name=name,
        first=tuple(each for each in blanks if each.is_asked_first),
        rare=tuple(each for each in blanks if not each.is_asked_first),
        lists=_lists(state, form),
        draft=draft,
        whole=(*found.faults.get("", ()), *found.contradictions.get("", ())),
        must_confirm=not found.faults and bool(found.contradictions),
        identity=identity if identity and is_there and not form.is_one else "",
    )


def _fields(answer: Answer, text: str) -> tuple[str, ...]:
    if answer not in SEVERAL:
        return (text,)
    return (*filter(None, text.splitlines()), *[""] * MORE)


def _lists(state: State, form: Form) -> dict[str, tuple[str, ...]]:
    """Give the names that the form's questions offer."""
    wanted = {LISTED[each.answer] for each in form.blanks if each.answer in LISTED}
    kinds: dict[str, tuple[str, ...]] = {kind: (kind,) for kind in wanted - {"thing"}}
    if "thing" in wanted:
        kinds["thing"] = ("joint", "part", "job")
    return {
        key: tuple(
            dict.fromkeys(
                next(filter(None, names), identity)
                for kind in of
                for identity, names in names_of(state, kind).items()
            )
        )
        for key, of in kinds.items()
    }


def _to(visit: Visit, table: str, identity: str) -> HttpResponse:
    """Go to what was described."""
    if table in {"parts", "runs"}:
        return redirect("part", visit.logbook, identity)
    if table == "joints":
        return redirect("joint", visit.logbook, identity)
    if table == "about":
        return redirect("describe", visit.logbook)
    return redirect("describe_table", visit.logbook, table)
