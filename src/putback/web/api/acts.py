"""Logging over the API: acts as a page makes them, entries as a phone made them itself."""

from django.core.exceptions import PermissionDenied
from django.http import Http404, HttpRequest
from ninja import Router
from ninja.errors import HttpError

from putback.logbook.entries.base import ActId, EntryId, LogbookId
from putback.web.api.schemas import (
    Completions,
    Fault,
    LoggedAct,
    Received,
    SaidAct,
    SaidStrike,
)
from putback.web.here import here
from putback.web.pages.access import Visit, visit_of
from putback.web.pages.words import sentence
from putback.workshop.logbooks.garage import in_its_garage
from putback.workshop.logbooks.ports import Role
from putback.workshop.saying.completion import completions, names_offered
from putback.workshop.saying.from_phone import SaidByAnother, take_from_phone
from putback.workshop.saying.logged import Logged, tell_of
from putback.workshop.saying.plain import read_plain

router = Router(tags=["logging"])
LONGEST_LINE = 500
"""What is typed on in one line [characters]; more is not looked at."""
FAULTS = dict.fromkeys((400, 401, 403, 404, 409, 413, 422, 503, 507), Fault)


def visited(request: HttpRequest, logbook: str, least: Role) -> Visit:
    """Give the visit of whoever asks, if they may."""
    visit = visit_of(request, LogbookId(logbook))
    if visit is None:
        raise Http404
    if not visit.may(least):
        raise PermissionDenied(least.value)
    return visit


@router.post("/{logbook}/acts", response={200: LoggedAct, **FAULTS}, url_name="acts")
def log_act(request: HttpRequest, logbook: str, said: SaidAct) -> LoggedAct:
    """Log one act."""
    visit = visited(request, logbook, Role.WORKER)
    workshop = here().workshop
    bodies = read_plain(said.entries)
    before = in_its_garage(workshop, visit.logbook)
    act = workshop.log(
        visit.logbook,
        bodies,
        who=visit.person,
        device=visit.device,
        happened_at=said.happened_at,
        after=EntryId(said.after) if said.after else None,
    )
    return _shown(tell_of(workshop, visit.logbook, before, act))


@router.post("/{logbook}/strikes", response={200: LoggedAct, **FAULTS}, url_name="strikes")
def strike(request: HttpRequest, logbook: str, said: SaidStrike) -> LoggedAct:
    """Strike out an entry or an act; striking the strike brings it back."""
    visit = visited(request, logbook, Role.WORKER)
    workshop = here().workshop
    before = in_its_garage(workshop, visit.logbook)
    act = workshop.strike(
        visit.logbook, ActId(said.what), who=visit.person, device=visit.device, why=said.why
    )
    return _shown(tell_of(workshop, visit.logbook, before, act))


@router.post("/{logbook}/entries", response={200: Received, **FAULTS}, url_name="entries")
def receive(request: HttpRequest, logbook: str, own: bool = False) -> Received:
    """Take in entries as a phone made them, one JSON document a line: all, or none.

    Sent twice, they are there once. With ``own`` they are the words of the one who asks: they are
    refused if somebody else logged one (403), or if one cannot be meant (400); without it what
    cannot be read is kept unread.
    """
    visit = visited(request, logbook, Role.WORKER)
    workshop = here().workshop
    lines = [line for line in request.body.split(b"\n") if line.strip()]
    told: tuple[Logged, ...] = ()
    if own:
        try:
            taken_in = take_from_phone(
                workshop, visit.logbook, lines, who=visit.person, received_from=visit.device
            )
        except SaidByAnother as error:
            raise HttpError(403, str(error)) from error
        taken, told = taken_in.appended, taken_in.told
    else:
        taken = workshop.receive(visit.logbook, lines, received_from=visit.device)
    return Received(
        new=list(taken.new),
        known=list(taken.known),
        position=taken.position,
        sentences=[sentence(line) for each in told for line in each.sentences],
        cautions=[line for each in told for line in each.cautions],
        clock=list(workshop.seen_clock()),
    )


@router.get(
    "/{logbook}/completions", response={200: Completions, **FAULTS}, url_name="completions"
)
def complete(request: HttpRequest, logbook: str, line: str = "", name: str = "") -> Completions:
    """Offer lines that go on from what is typed, or names of things from a ``name`` begun."""
    visit = visited(request, logbook, Role.VIEWER)
    state = in_its_garage(here().workshop, visit.logbook)
    if name.strip():
        return Completions(lines=list(names_offered(state, name[:LONGEST_LINE])))
    return Completions(lines=list(completions(state, line[:LONGEST_LINE])))


def _shown(logged: Logged) -> LoggedAct:
    return LoggedAct(
        act=logged.act.id,
        entries=[entry.id for entry in logged.act.entries],
        sentences=[sentence(each) for each in logged.sentences],
        cautions=list(logged.cautions),
    )
