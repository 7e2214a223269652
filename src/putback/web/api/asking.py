"""Asking over the API: vehicles, what is open, the state of a thing, what was logged."""

import json
from itertools import islice
from typing import Annotated

from django.http import HttpRequest
from ninja import Router
from pydantic import Field

from putback.logbook.entries.base import LogbookId
from putback.logbook.open_items import open_items
from putback.web.api.acts import FAULTS, visited
from putback.web.api.acts import router as logging
from putback.web.api.schemas import (
    BegunVehicle,
    KnownThing,
    NewVehicle,
    OpenThing,
    SaidEntry,
    SentEntries,
    SentEntry,
    VehicleInList,
    VehicleNow,
)
from putback.web.here import here
from putback.web.pages.access import role_in, signed_in_device
from putback.workshop.logbooks.ports import Role
from putback.workshop.logbooks.situation import situation_of
from putback.workshop.plans.how_far import how_far
from putback.workshop.things.thing import history_of, thing

router = Router(tags=["asking"])
MOST_ENTRIES = 1000
"""Of one answer: who wants more asks after the last position."""


@router.get("", response={200: list[VehicleInList], **FAULTS}, url_name="vehicles")
def vehicles(request: HttpRequest) -> list[VehicleInList]:
    """List the vehicles in which you have a role."""
    person = signed_in_device(request).person
    return [
        VehicleInList(logbook=each.id, name=each.name, role=role.value, position=each.position)
        for each in here().workshop.logbooks()
        if (role := role_in(each.id, person)) is not None
    ]


@router.post("", response={200: BegunVehicle, **FAULTS})
def begin(request: HttpRequest, said: NewVehicle) -> BegunVehicle:
    """Begin a vehicle's logbook; it is yours."""
    device = signed_in_device(request)
    logbook = here().workshop.new_vehicle(said.name, who=device.person, device=device.id)
    return BegunVehicle(logbook=logbook)


@router.get("/{logbook}", response={200: VehicleNow, **FAULTS}, url_name="vehicle")
def vehicle(request: HttpRequest, logbook: str) -> VehicleNow:
    """Say how far a vehicle is, how it stands and what is held."""
    visit = visited(request, logbook, Role.VIEWER)
    state = here().workshop.state(visit.logbook)
    far = how_far(state)
    return VehicleNow(
        logbook=visit.logbook,
        name=state.vehicle.about.name,
        role=visit.role.value,
        position=here().workshop.store.position(visit.logbook),
        way=far.way.value,
        standing=state.standing.standing or "",
        holds=[each.words for each in state.in_force],
        parts_off=len(state.parts_off),
        parts=len(state.vehicle.parts),
    )


@router.get("/{logbook}/open", response={200: list[OpenThing], **FAULTS}, url_name="open")
def whats_open(request: HttpRequest, logbook: str) -> list[OpenThing]:
    """List what is open, dangers first."""
    visit = visited(request, logbook, Role.VIEWER)
    return [
        OpenThing(rule=each.rule, danger=each.danger, words=each.words, clears=each.clears)
        for each in open_items(situation_of(here().workshop, visit.logbook))
    ]


@router.get(
    "/{logbook}/things/{path:subject}", response={200: KnownThing, **FAULTS}, url_name="thing"
)
def known_thing(request: HttpRequest, logbook: str, subject: str) -> KnownThing:
    """Tell the state of one thing: `part:radiator`, `joint:sump`, `tag:3CAH`, `standing`."""
    visit = visited(request, logbook, Role.VIEWER)
    found = thing(here().workshop, visit.logbook, subject)
    return KnownThing(
        subject=found.subject, name=found.name, state=dict(found.state), where=list(found.where)
    )


@router.get(
    "/{logbook}/history",
    response={200: list[SaidEntry], **FAULTS},
    url_name="history",
)
def history(request: HttpRequest, logbook: str, of: str) -> list[SaidEntry]:
    """Tell what was logged of one thing, in the order of the logbook."""
    visit = visited(request, logbook, Role.VIEWER)
    return [
        SaidEntry(
            entry=each.entry,
            happened_at=each.happened_at,
            who=each.who,
            is_claimed=each.is_claimed,
            kind=each.kind,
            sentence=each.sentence,
        )
        for each in history_of(here().workshop, visit.logbook, of)
    ]


@logging.get("/{logbook}/entries", response={200: SentEntries, **FAULTS})
def entries(
    request: HttpRequest,
    logbook: str,
    after: Annotated[int, Field(ge=0, le=2**53)] = 0,
) -> SentEntries:
    """Give entries as they were received, after a position, in the order of arrival."""
    visit = visited(request, logbook, Role.VIEWER)
    rows = islice(here().workshop.since(LogbookId(visit.logbook), after), MOST_ENTRIES)
    sent = [
        SentEntry(
            position=each.position,
            received_at=each.received_at,
            received_from=each.received_from,
            entry=json.loads(each.raw),
        )
        for each in rows
    ]
    return SentEntries(entries=sent, position=here().workshop.store.position(visit.logbook))
