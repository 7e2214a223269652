"""What a phone holds of a vehicle: asked for when it is looked at, and after acts."""

from collections.abc import Sequence
from typing import Any

from django.http import HttpRequest, HttpResponse
from ninja import Router, Schema, Status

from putback.units.show import duration_text
from putback.web.api.acts import FAULTS, visited
from putback.web.api.schemas import OpenThing
from putback.web.assets import static_prefix
from putback.web.here import here
from putback.web.pages.in_language import language_of
from putback.web.pages.known_tags import known_tags
from putback.web.pages.words import moment
from putback.workshop.logbooks.garage import in_its_garage
from putback.workshop.logbooks.ports import RANK, Role
from putback.workshop.now.held import Held, HeldJob, basis, held, tags_to_hold
from putback.workshop.pictures.album import Picture
from putback.workshop.pictures.photo_before import photos_before
from putback.workshop.plans.job_card import JobCard

router = Router(tags=["asking"])
MOST_PHOTOS = 40
"""Jobs whose photo is held, the next ones first [jobs]: one or two megabytes a vehicle."""


class EndToClose(Schema):
    """An opening that a job leaves open."""

    opening: str
    name: str
    ends: int
    closed_with: str


class MarkToMake(Schema):
    """A mark to make before a part comes off."""

    part: str
    how: str
    where: str
    record: str
    words: str


class Card(Schema):
    """All that whoever does a job wants to know; figures are guides, the maker's data win."""

    deed: str
    what: str
    identity: str
    is_joint: bool
    verb: str
    title: str
    fastenings: list[str]
    pieces: str
    of: int
    out: int
    """Of the fixings, so many are out."""
    has_pieces: bool
    is_exact: bool
    """Whether its hardware is kept apart from any other."""
    tool: str
    takes: str
    """How long it takes, in words; empty where nobody knows."""
    crew: int
    zone: str
    standing: str
    first: list[str]
    marks: list[MarkToMake]
    close: list[EndToClose]
    drops: str
    prop: str
    support: str
    cautions: list[str]
    why: list[str]
    torque: str
    renew: list[str]
    take_out: list[str]
    waits_for: str
    parts: list[str]
    tightness: str
    tightnesses: list[str]
    can_hurt: bool


class DoneByEntry(Schema):
    """An entry of this kind, whose fields are one of these values, does a job or part of it."""

    kind: str
    fields: dict[str, list[str]]
    all_of: int | None
    """Of a joint that is undone: so many fixings must be out."""


class Bag(Schema):
    """Where pieces are proposed to go."""

    tag: str
    in_use: bool


class PhotoHeld(Schema):
    """The photo that whoever does a job wants to see; its bytes are asked for by themselves."""

    photo: str
    words: str
    """When it was taken, whether that is before the thing came off, and its caption."""


class JobHeld(Schema):
    """One job that is left, and what must precede it; jobs are counted from 0 in this list."""

    card: Card
    standing: str | None
    stint: int
    """All jobs of the stints before are done first."""
    needs: list[list[int]]
    """Of each of these lists at least one job is done before; of an empty one none can be."""
    visit: int | None
    """Jobs of one visit follow one another once it is begun."""
    log: list[dict[str, Any]]
    """What it is logged as, with the usual answers: entries as the acts of this API take them."""
    done_by: list[DoneByEntry]
    """It is done once there is an entry of each of these sorts."""
    bag: Bag | None
    is_put_off: bool
    photo: PhotoHeld | None
    """Of the first jobs only, as a phone has little room."""


class StandingHeld(Schema):
    """A change of standing that is to come."""

    standing: str
    card: Card
    log: list[dict[str, Any]]


class OpenHeld(OpenThing):
    """Something left open, and the thing it is about."""

    subject: str


class ToPackUp(Schema):
    """Something to do before one goes home."""

    part: str
    words: str
    do: str


class NamedPlace(Schema):
    """A place of the garage."""

    place: str
    name: str


class HeldVehicle(Schema):
    """A vehicle as far as a phone holds it, to go on where there is no network."""

    logbook: str
    name: str
    notice: str
    position: int
    may_log: bool
    way: str
    goal: str
    """What the strip is on the way to; empty in a rebuild."""
    fault: str
    """Why nothing is planned."""
    parts_off: int
    parts: int
    joints_made_again: int
    joints: int
    standing: str | None
    jobs: list[JobHeld]
    jobs_left_off: int
    """Jobs behind these, which are not held."""
    standings: list[StandingHeld]
    holds: list[str]
    open: list[OpenHeld]
    pack_up: list[ToPackUp]
    places: list[NamedPlace]
    names: list[str]
    tags: list[str]
    """Tags that this device may issue, in their order."""
    known: dict[str, Any]
    """What scanned tags stand for."""


@router.get("/{logbook}/held", response={200: HeldVehicle, 304: None, **FAULTS}, url_name="held")
def vehicle_held(
    request: HttpRequest, logbook: str, response: HttpResponse
) -> HeldVehicle | Status[None]:
    """Give what a phone is to hold of a vehicle; 304 if `If-None-Match` says it has that."""
    visit = visited(request, logbook, Role.VIEWER)
    workshop = here().workshop
    tags = tags_to_hold(workshop, visit.logbook, visit.device, visit.role)
    facts = (visit.role, language_of(request), static_prefix()[-16:])
    tag = f'"{"-".join((basis(workshop, visit.logbook, tags), *facts))}"'
    response["ETag"] = tag
    if request.headers.get("If-None-Match", "").removeprefix("W/") == tag:
        return Status(304, None)
    may_log = RANK[visit.role] >= RANK[Role.WORKER]
    known = known_tags(visit, in_its_garage(workshop, visit.logbook))
    found = held(workshop, visit.logbook, tags)
    cards = [each.card for each in found.jobs[:MOST_PHOTOS]]
    photos = photos_before(workshop, visit.logbook, cards)
    return _shown(found, photos, known, may_log=may_log)


def _shown(
    found: Held, photos: Sequence[Picture | None], known: dict[str, Any], *, may_log: bool
) -> HeldVehicle:
    return HeldVehicle(
        logbook=found.logbook,
        name=found.name,
        notice=found.notice,
        position=found.position,
        may_log=may_log,
        way=found.hand.way.value,
        goal=found.hand.goal.name if found.hand.goal else "",
        fault=found.hand.fault,
        parts_off=found.far.parts_off,
        parts=found.far.parts,
        joints_made_again=found.far.joints_made_again,
        joints=found.far.joints,
        standing=found.standing,
        jobs=[
            _job(each, photos[at] if at < len(photos) else None)
            for at, each in enumerate(found.jobs)
        ],
        jobs_left_off=found.jobs_left_off,
        standings=[
            StandingHeld(standing=each.standing, card=_card(each.card), log=list(each.log))
            for each in found.standings
        ],
        holds=list(found.holds),
        open=[
            OpenHeld(
                rule=each.rule,
                danger=each.danger,
                words=each.words,
                clears=each.clears,
                subject=each.subject,
            )
            for each in found.open
        ],
        pack_up=[ToPackUp(part=each.part, words=each.words, do=each.do) for each in found.pack_up],
        places=[NamedPlace(place=place, name=name) for place, name in found.places],
        names=list(found.names),
        tags=list(found.tags),
        known=known,
    )


def _job(job: HeldJob, photo: Picture | None) -> JobHeld:
    return JobHeld(
        card=_card(job.card),
        standing=job.standing,
        stint=job.precedence.stint,
        needs=[list(way) for way in job.precedence.needs],
        visit=job.precedence.visit,
        log=list(job.log),
        done_by=[
            DoneByEntry(
                kind=each.kind,
                fields={name: list(values) for name, values in each.fields.items()},
                all_of=each.all_of,
            )
            for each in job.done_by
        ],
        bag=Bag(tag=job.bag.tag, in_use=job.bag.in_use) if job.bag else None,
        is_put_off=job.is_put_off,
        photo=_photo(photo) if photo and photo.stored else None,
    )


def _photo(picture: Picture) -> PhotoHeld:
    when = f"{'From before' if picture.from_before else 'Photo'}: {moment(picture.happened_at)}"
    words = f"{when}, {picture.words}" if picture.words else when
    return PhotoHeld(photo=picture.photo, words=words)


_AS_IT_IS = (
    *("deed", "what", "identity", "is_joint", "verb", "title", "pieces", "of", "out"),
    *("has_pieces", "is_exact", "tool", "crew", "zone", "standing", "drops", "prop", "support"),
    *("torque", "waits_for", "can_hurt"),
)
_LISTED = ("fastenings", "first", "cautions", "why", "renew", "take_out", "parts", "tightnesses")


def _card(card: JobCard) -> Card:
    marks = ("part", "how", "where", "record", "words")
    ends = ("opening", "name", "ends", "closed_with")
    plain: dict[str, Any] = {name: getattr(card, name) for name in _AS_IT_IS}
    plain |= {name: list(getattr(card, name)) for name in _LISTED}
    return Card(
        **plain,
        takes=duration_text(card.minutes) if card.minutes else "",
        tightness=card.tightness or "",
        marks=[MarkToMake(**{name: getattr(mark, name) for name in marks}) for mark in card.marks],
        close=[EndToClose(**{name: getattr(end, name) for name in ends}) for end in card.close],
    )
