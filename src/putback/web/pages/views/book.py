"""The logbook: reading it, striking out, late notes, and a copy to take away."""

import json
import tempfile
from dataclasses import dataclass
from pathlib import Path

from django.http import FileResponse, Http404, HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import redirect
from django.utils.http import urlencode
from django.views.decorators.http import require_POST, require_safe

from putback.logbook.entries.base import ActId, EntryId
from putback.web.here import here
from putback.web.pages.access import Visit, for_role
from putback.web.pages.sent_once import sent_once, to_page
from putback.web.pages.show import page
from putback.workshop.exchange.exchange import export_bundle
from putback.workshop.logbooks.garage import in_its_garage
from putback.workshop.logbooks.ports import Role
from putback.workshop.things.book import (
    BookLine,
    BookPage,
    EntryTold,
    Wanted,
    late_note,
    read_book,
    tell_entry,
)


@dataclass(frozen=True, slots=True)
class LogbookPage:
    """A page of the logbook."""

    book: BookPage
    wanted: Wanted
    thing: str
    """The name of the thing that is asked for."""
    asked: str
    """What is asked for, as the query of an address, without the page."""


@dataclass(frozen=True, slots=True)
class EntryPage:
    """One entry."""

    told: EntryTold
    mates: tuple[BookLine, ...]
    """The other entries of its act."""
    body: str
    """As JSON, the way it is kept."""


@require_safe
@for_role(Role.VIEWER)
def book(request: HttpRequest, visit: Visit) -> HttpResponse:
    """Show a page of the logbook, newest first."""
    names = ("kind", "person", "day", "thing", "words")
    asked = {name: request.GET[name] for name in names if request.GET.get(name)}
    at = request.GET.get("page", "")
    number = int(at) if at.isascii() and at.isdecimal() and len(at) < 7 else 1
    read = read_book(here().workshop, visit.logbook, Wanted(**asked), number)
    state = in_its_garage(here().workshop, visit.logbook)
    thing = state.name_of(asked["thing"]) if "thing" in asked else ""
    shown = LogbookPage(read, Wanted(**asked), thing, urlencode(asked))
    return page(request, "pages/book.html", shown, visit)


@require_safe
@for_role(Role.VIEWER)
def entry(request: HttpRequest, visit: Visit, entry: str) -> HttpResponse:
    """Show one entry, and all that came with it."""
    told, mates = tell_entry(here().workshop, visit.logbook, EntryId(entry))
    body = json.dumps(told.raw, indent=2, ensure_ascii=False)
    return page(request, "pages/entry.html", EntryPage(told, mates, body), visit)


@require_POST
@for_role(Role.WORKER)
@sent_once(to_page("book"))
def strike(request: HttpRequest, visit: Visit, act: ActId | None) -> HttpResponse:
    """Strike an entry out, or all of its act; struck itself, a strike brings back."""
    what = request.POST.get("what", "")
    if not what:
        raise Http404
    here().workshop.strike(
        visit.logbook,
        ActId(what),
        who=visit.person,
        device=visit.device,
        why=request.POST.get("why", "")[:1000],
        as_act=act,
    )
    return redirect("book", visit.logbook)


@require_POST
@for_role(Role.WORKER)
@sent_once(to_page("book"))
def late(request: HttpRequest, visit: Visit, act: ActId | None) -> HttpResponse:
    """Log a note late: for its day, and behind the entry that it belongs after."""
    workshop = here().workshop
    said = {name: request.POST.get(name, "") for name in ("text", "day", "after", "thing")}
    body, happened_at, after = late_note(workshop, visit.logbook, **said)
    workshop.log(
        visit.logbook,
        [body],
        who=visit.person,
        device=visit.device,
        happened_at=happened_at,
        after=after,
        as_act=act,
    )
    return redirect("book", visit.logbook)


@require_POST
@for_role(Role.WORKER)
def export(request: HttpRequest, visit: Visit) -> HttpResponseBase:
    """Give the whole logbook as one file."""
    without = request.POST.get("without_private") == "yes"
    located = request.POST.get("with_location") == "yes"
    with tempfile.TemporaryDirectory() as folder:
        target = Path(folder) / f"{visit.logbook}.putback.zip"
        export_bundle(
            here().workshop,
            visit.logbook,
            target,
            without_private=without,
            with_location=located,
        )
        content = target.open("rb")  # the file lives on until the answer is sent
    return FileResponse(content, as_attachment=True, filename=target.name)
