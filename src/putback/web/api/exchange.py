"""Exchange over the API: what another workshop asks to bring two copies of a vehicle together."""

from typing import Annotated

from django.http import Http404, HttpRequest, HttpResponse
from ninja import Router, Schema
from pydantic import Field, StringConstraints

from putback.errors import AlreadyExists, BadInput
from putback.logbook.bundle.lines import from_line
from putback.logbook.entries.base import LogbookId
from putback.web.api.acts import FAULTS, visited
from putback.web.api.schemas import Done
from putback.web.here import here
from putback.web.pages.access import role_in, signed_in_device
from putback.workshop.exchange.far import LARGEST_PHOTO_BYTES, MOST_ASKED, Handed
from putback.workshop.exchange.handing import (
    garage_in,
    hand_out,
    hand_out_garage,
    photo_in,
    photo_out,
    wanted_here,
    where_it_stands,
)
from putback.workshop.logbooks.ports import GARAGE, PhotoId, Role

router = Router(tags=["exchange"])

Digest = Annotated[str, StringConstraints(pattern=r"^[0-9a-f]{64}$")]
Position = Annotated[int, Field(ge=0, le=2**53)]
LogbookName = Annotated[str, StringConstraints(pattern=r"^[a-z0-9][a-z0-9.-]{0,199}$")]


class CopyStands(Schema):
    """Where the copy here stands."""

    name: str
    position: int
    """Of its last entry."""
    last: str
    """Identity of its last entry."""
    entries: int
    digest: str
    """Of the set of entries: equal where two copies hold the same."""
    there: str
    """Identity of the entry at the position that was asked about."""
    tags: list[list[int]]
    """Blocks of tags that are reserved here: the first place in the order of issue, and that
    behind the last."""


class SaidName(Schema):
    """What the vehicle is called."""

    name: str = Field(min_length=1, max_length=200)


class HandedOut(Schema):
    """Entries, each the text of one JSON document as it was received."""

    lines: list[str]
    position: int
    """Where the next asking begins."""
    end: int


class AskedFor(Schema):
    """Photos, and digests of garage entries, that another copy has."""

    photos: list[Digest] = Field(default=[], max_length=MOST_ASKED)
    garage: list[Digest] = Field(default=[], max_length=MOST_ASKED)


class Lacking(Schema):
    """Those of them that are not here."""

    photos: list[str]
    garage: list[str]


class TakenIn(Schema):
    """Entries that were new here."""

    new: list[str]


@router.get("/{logbook}/exchange", response={200: CopyStands, **FAULTS}, url_name="exchange")
def stands(request: HttpRequest, logbook: str, at: Position = 0) -> CopyStands:
    """Say where the copy here stands, and which entry is at a position."""
    visit = visited(request, logbook, Role.VIEWER)
    found = where_it_stands(here().workshop, visit.logbook, at)
    return CopyStands(
        name=found.name,
        position=found.position,
        last=found.last,
        entries=found.entries,
        digest=found.digest,
        there=found.there,
        tags=[list(block) for block in found.tags],
    )


@router.post("/{logbook}/exchange", response={200: Done, **FAULTS})
def begin(request: HttpRequest, logbook: LogbookName, said: SaidName) -> Done:
    """Begin a copy of a vehicle that is not here; it is yours, and its entries follow."""
    device = signed_in_device(request)
    if logbook == GARAGE:
        raise Http404
    if role_in(LogbookId(logbook), device.person) is None:
        try:
            here().workshop.store.create_logbook(LogbookId(logbook), said.name, device.person)
        except AlreadyExists as error:  # somebody else's: as if it were not there
            raise Http404 from error
    return Done(done=True)


@router.get(
    "/{logbook}/exchange/entries",
    response={200: HandedOut, **FAULTS},
    url_name="exchange_entries",
)
def entries(
    request: HttpRequest, logbook: str, after: Position = 0, all: bool = False
) -> HandedOut:
    """Give some entries after a position, as received; yours to send back only if you want all."""
    visit = visited(request, logbook, Role.VIEWER)
    not_from = "" if all else visit.device
    handed, _ = hand_out(here().workshop, visit.logbook, after, not_from=not_from)
    return _shown(handed)


@router.post("/{logbook}/exchange/entries", response={200: TakenIn, **FAULTS})
def take_entries(request: HttpRequest, logbook: str) -> TakenIn:
    """Take in entries, one a line as in a bundle, all or none; twice sent they are there once."""
    visit = visited(request, logbook, Role.WORKER)
    taken = here().workshop.receive(visit.logbook, _lines(request), received_from=visit.device)
    return TakenIn(new=list(taken.new))


@router.get(
    "/{logbook}/exchange/garage", response={200: HandedOut, **FAULTS}, url_name="exchange_garage"
)
def garage(request: HttpRequest, logbook: str, after: Position = 0) -> HandedOut:
    """Give entries of the garage that the vehicle refers to: places, people, tags."""
    visit = visited(request, logbook, Role.VIEWER)
    return _shown(hand_out_garage(here().workshop, visit.logbook, after))


@router.post("/{logbook}/exchange/garage", response={200: TakenIn, **FAULTS})
def take_garage(request: HttpRequest, logbook: str) -> TakenIn:
    """Take in entries of the garage: all, or none."""
    visit = visited(request, logbook, Role.WORKER)
    new = garage_in(here().workshop, _lines(request), received_from=visit.device)
    return TakenIn(new=list(new))


@router.post(
    "/{logbook}/exchange/wanted", response={200: Lacking, **FAULTS}, url_name="exchange_wanted"
)
def wanted(request: HttpRequest, logbook: str, asked: AskedFor) -> Lacking:
    """Say which of these are not here: who has them sends them ahead of what names them."""
    visited(request, logbook, Role.WORKER)
    photos = [PhotoId(each) for each in asked.photos]
    lacking = wanted_here(here().workshop, photos, asked.garage)
    return Lacking(photos=list(lacking.photos), garage=list(lacking.garage))


@router.get("/{logbook}/exchange/photos/{photo}", response=FAULTS, url_name="exchange_photo")
def give_photo(request: HttpRequest, logbook: str, photo: str) -> HttpResponse:
    """Give a photo or sound that any entry of the vehicle names, as it came."""
    visit = visited(request, logbook, Role.VIEWER)
    content = photo_out(here().workshop, visit.logbook, photo)
    return HttpResponse(content, content_type="application/octet-stream")


@router.put("/{logbook}/exchange/photos/{photo}", response={200: Done, **FAULTS})
def take_photo(request: HttpRequest, logbook: str, photo: Digest) -> Done:
    """Store a photo or sound ahead of the entry that names it."""
    visited(request, logbook, Role.WORKER)
    if int(request.headers.get("Content-Length") or 0) > LARGEST_PHOTO_BYTES:
        raise BadInput("the photo is too large", photo, "nothing was stored")
    photo_in(here().workshop, photo, request.body)
    return Done(done=True)


def _shown(handed: Handed) -> HandedOut:
    lines = [line.decode() for line in handed.lines]
    return HandedOut(lines=lines, position=handed.position, end=handed.end)


def _lines(request: HttpRequest) -> list[bytes]:
    """Read the lines of a body, each as in a bundle."""
    found = [line for line in request.body.split(b"\n") if line.strip()]
    try:
        return [from_line(line) for line in found]
    except ValueError as error:
        raise BadInput("a line is no JSON string", mend="nothing was taken in") from error
