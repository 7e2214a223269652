"""Devices over the API: who asks, tags reserved for the one that does, tokens for programs."""

from django.core.exceptions import PermissionDenied
from django.http import Http404, HttpRequest
from django.middleware.csrf import get_token
from ninja import Router

from putback.logbook.entries.base import DeviceId
from putback.web.api.acts import FAULTS
from putback.web.api.schemas import (
    Done,
    MadeToken,
    Oneself,
    OwnToken,
    ReservedTags,
    SaidLabel,
    WantedTags,
)
from putback.web.here import here
from putback.web.pages.access import signed_in_device
from putback.workshop.people.people import DeviceKind

me = Router(tags=["oneself"])
tags = Router(tags=["tags"])
tokens = Router(tags=["tokens"])


@me.get("", response={200: Oneself, **FAULTS}, url_name="me")
def who_am_i(request: HttpRequest) -> Oneself:
    """Say who asks."""
    device = signed_in_device(request)
    people = here().people.store.people()
    return Oneself(
        person=device.person,
        name=next((each.name for each in people if each.id == device.person), device.person),
        device=device.id,
        csrf=get_token(request),
        clock=list(here().workshop.seen_clock()),
    )


@tags.post("", response={200: ReservedTags, **FAULTS}, url_name="tags")
def reserve(request: HttpRequest, said: WantedTags) -> ReservedTags:
    """Reserve tags for this device, which it may then issue without a connection."""
    device = signed_in_device(request)
    return ReservedTags(tags=list(here().workshop.reserve_tags(device.id, said.count)))


@tags.get("", response={200: ReservedTags, **FAULTS})
def reserved(request: HttpRequest) -> ReservedTags:
    """List all tags that were ever reserved for this device."""
    return ReservedTags(tags=list(here().workshop.tags_of(signed_in_device(request).id)))


@tokens.get("", response={200: list[OwnToken], **FAULTS}, url_name="tokens")
def own_tokens(request: HttpRequest) -> list[OwnToken]:
    """List your programs that have a token; the tokens themselves are shown once only."""
    return [
        OwnToken(id=each.id, label=each.label, made_at=each.made_at, seen_at=each.seen_at)
        for each in here().people.store.devices(signed_in_device(request).person)
        if each.kind is DeviceKind.PROGRAM and not each.ended_at
    ]


@tokens.post("", response={200: MadeToken, **FAULTS})
def make_token(request: HttpRequest, said: SaidLabel) -> MadeToken:
    """Make a token for a program; only from a browser, so that no token makes more of its kind."""
    device = signed_in_device(request)
    if device.kind is not DeviceKind.BROWSER:
        raise PermissionDenied("browser")
    made = here().people.sign_in(device.person, said.label, DeviceKind.PROGRAM)
    return MadeToken(id=made.device.id, label=made.device.label, token=made.token)


@tokens.delete("/{token}", response={200: Done, **FAULTS}, url_name="token")
def end_token(request: HttpRequest, token: str) -> Done:
    """End a token of yours, named by its identity."""
    own = here().people.store.devices(signed_in_device(request).person)
    if all(each.id != token or each.ended_at for each in own):
        raise Http404
    here().people.end(DeviceId(token))
    return Done(done=True)
