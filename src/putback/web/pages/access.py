"""Who asks, and what they may: the one place where a request meets a role.

A vehicle that is not yours is not there: whoever has no role in it, signed in or not, gets 404.
"""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime, timedelta
from functools import wraps
from typing import Any, Concatenate, ParamSpec

from django.core.exceptions import PermissionDenied
from django.http import Http404, HttpRequest, HttpResponse
from django.http.response import HttpResponseBase

from putback.errors import NotFound
from putback.logbook.entries.base import DeviceId, LogbookId, PersonId
from putback.web.here import here
from putback.web.pages.safety import Answerer
from putback.workshop.logbooks.ports import RANK, Role, in_utc
from putback.workshop.people.people import Device

COOKIE = "putback"
COOKIE_S = 400 * 24 * 3600
"""How long a browser keeps a device signed in; browsers allow no more [s]."""
SEEN_EVERY = timedelta(hours=1)
"""How exactly we know when a device was last seen: more exact would be a write a request."""


@dataclass(frozen=True, slots=True)
class Visit:
    """Somebody who looks at one vehicle, and may do so."""

    logbook: LogbookId
    person: PersonId
    device: DeviceId
    role: Role

    def may(self, least: Role) -> bool:
        """Tell whether they have this role or more."""
        return RANK[self.role] >= RANK[least]


def signed_in(answer: Answerer) -> Answerer:
    """Find out which device asks: by the browser's cookie, or a program's token."""

    def with_device(request: HttpRequest) -> HttpResponse:
        request.device = _device(request)  # type: ignore[attr-defined]
        return answer(request)

    return with_device


def device_of(request: HttpRequest) -> Device | None:
    """Give the device that asks; ``None`` for a stranger."""
    found: Device | None = getattr(request, "device", None)
    return found


def signed_in_device(request: HttpRequest) -> Device:
    """Give the device that asks.

    Raises
    ------
    Http404
        If a stranger asks.
    """
    device = device_of(request)
    if device is None:
        raise Http404
    return device


def role_in(logbook: LogbookId, person: PersonId) -> Role | None:
    """Give somebody's role in a logbook; ``None`` if there is none, or no such logbook."""
    try:
        return here().workshop.store.roles(logbook).get(person)
    except NotFound:
        return None


P = ParamSpec("P")


def for_people(
    view: Callable[Concatenate[HttpRequest, Device, P], HttpResponse],
) -> Callable[..., HttpResponse]:
    """Let only somebody who is signed in ask; the view is given their device."""

    @wraps(view)
    def asked(request: HttpRequest, *args: P.args, **kwargs: P.kwargs) -> HttpResponse:
        return view(request, signed_in_device(request), *args, **kwargs)

    return asked


def for_role(
    least: Role,
) -> Callable[
    [Callable[Concatenate[HttpRequest, Visit, P], HttpResponseBase]], Callable[..., Any]
]:
    """Let only somebody with this role in the vehicle ask; the view is given their visit.

    The address names the vehicle as ``logbook``.
    """

    def for_view(view: Callable[Concatenate[HttpRequest, Visit, P], HttpResponseBase]) -> Any:
        @wraps(view)
        def asked(
            request: HttpRequest, logbook: str, *args: P.args, **kwargs: P.kwargs
        ) -> HttpResponseBase:
            visit = visit_of(request, LogbookId(logbook))
            if visit is None:
                raise Http404
            if not visit.may(least):
                raise PermissionDenied(least.value)
            return view(request, visit, *args, **kwargs)

        return asked

    return for_view


def visit_of(request: HttpRequest, logbook: LogbookId) -> Visit | None:
    """Say who looks at a vehicle; ``None`` if it is none of their business."""
    device = device_of(request)
    role = role_in(logbook, device.person) if device is not None else None
    if device is None or role is None:
        return None
    return Visit(logbook, device.person, device.id, role)


def keep_signed_in(request: HttpRequest, response: HttpResponse, token: str) -> None:
    """Give the browser the token of its device."""
    keep_in_browser(request, response, COOKIE, token)


def keep_in_browser(request: HttpRequest, response: HttpResponse, name: str, value: str) -> None:
    """Let the browser keep something for us, which no script and no other site may read."""
    response.set_cookie(
        name,
        value,
        max_age=COOKIE_S,
        secure=request.is_secure(),
        httponly=True,
        samesite="Lax",
    )


def _device(request: HttpRequest) -> Device | None:
    scheme, _, sent = request.headers.get("Authorization", "").partition(" ")
    token = sent.strip() if scheme.casefold() == "bearer" else request.COOKIES.get(COOKIE, "")
    if not token:
        return None
    people, now = here().people, here().clock.now()
    device = people.by_token(token)
    if device is not None and now - datetime.fromisoformat(device.seen_at) > SEEN_EVERY:
        people.store.note_seen(device.id, in_utc(now))
    return device
