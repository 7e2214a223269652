"""A form that is sent twice logs once: on a slow network people tap again, browsers send again.

Every form that logs bears an identity, made when its page is drawn. The act that it logs is named
by that identity, by who sends it and by all that they filled in: what is sent once more says the
same, finds its act in the logbook, and is led to the page that the first one led to. Nothing is
kept for it but the entries, so that it holds for days, over a restart and with several processes.

What was filled in otherwise is another act, and is logged: whoever goes back and corrects a figure
means it, and can strike the first out. So is what was struck out since: that is sent on purpose.
"""

import json
from collections.abc import Callable
from dataclasses import dataclass
from functools import wraps
from hashlib import sha256
from time import time_ns
from typing import Any, Concatenate, ParamSpec

from django import template
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils.safestring import SafeString

from putback.errors import InputError
from putback.logbook.entries.base import ActId, LogbookId, PersonId
from putback.web.here import here
from putback.web.pages.access import Visit
from putback.workshop.logbooks.identity import Identities, following
from putback.workshop.logbooks.ports import GARAGE
from putback.workshop.logbooks.said_once import said_as
from putback.workshop.logbooks.workshop import Act

FIELD = "once"
"""The form's identity, a UUIDv7."""
NOT_FILLED_IN = {FIELD, "csrfmiddlewaretoken"}
_MS = 10**6

register = template.Library()
_identities = Identities()


@register.simple_tag
def once() -> SafeString:
    """Give a form its identity; stands in every form that logs."""
    identity = _identities.next(time_ns() // _MS)
    return SafeString(f'<input type="hidden" name="{FIELD}" value="{identity}">')


@dataclass(frozen=True, slots=True)
class Sending:
    """A form that was sent."""

    act: ActId | None
    """As what it is logged; ``None`` if it bears no identity: each sending is an act then."""
    logged: Act | None = None
    """What it logged when it was sent before."""


P = ParamSpec("P")
LedTo = Callable[Concatenate[HttpRequest, Visit, Act, P], HttpResponse]
"""Gives the page to which a form leads that logged this act."""
SentView = Callable[Concatenate[HttpRequest, Visit, ActId | None, P], HttpResponse]


def sent_once(
    led_to: LedTo[P],
) -> Callable[[SentView[P]], Callable[Concatenate[HttpRequest, Visit, P], HttpResponse]]:
    """Let a form log once: sent again, it is ``led_to`` the same page; the view gets its act."""

    def for_view(
        view: SentView[P],
    ) -> Callable[Concatenate[HttpRequest, Visit, P], HttpResponse]:
        @wraps(view)
        def sent(
            request: HttpRequest, visit: Visit, /, *args: P.args, **kwargs: P.kwargs
        ) -> HttpResponse:
            if request.method != "POST":
                return view(request, visit, None, *args, **kwargs)
            books = (visit.logbook, GARAGE)
            found = sending_of(request, visit.person, *books)
            if found.logged:
                return led_to(request, visit, found.logged, *args, **kwargs)
            refused: InputError | None = None
            try:
                answer = view(request, visit, found.act, *args, **kwargs)
                if answer.status_code < 400:  # RFC 9110, section 15.5: it was taken
                    return answer
            except InputError as error:
                refused = error
            # Two that come at once: by what the first logged, the second no longer fits.
            again = sending_of(request, visit.person, *books)
            if again.logged:
                return led_to(request, visit, again.logged, *args, **kwargs)
            if refused:
                raise refused
            return answer

        return sent

    return for_view


def to_page(name: str) -> Callable[[HttpRequest, Visit, Act], HttpResponse]:
    """Lead to a page of the vehicle, whatever was logged."""

    def led(request: HttpRequest, visit: Visit, act: Act) -> HttpResponse:
        del request, act
        return redirect(name, visit.logbook)

    return led


def sending_of(request: HttpRequest, person: PersonId, *logbooks: LogbookId) -> Sending:
    """Say as what a form is logged, and what it has logged in one of these logbooks already."""
    workshop = here().workshop
    drawn, said = request.POST.get(FIELD, ""), _filled_in(request)
    attempt = 0
    while True:
        try:
            act = ActId(following(drawn, person, said, str(attempt)))
        except ValueError:  # a page from before forms had one, or a program
            return Sending(None)
        there = _logged(act, logbooks)
        struck = workshop.facts(there.logbook).struck if there else frozenset()
        if there is None or not {each.id for each in there.entries} <= struck:
            return Sending(act, there)
        attempt += 1


def _logged(act: ActId, logbooks: tuple[LogbookId, ...]) -> Act | None:
    workshop = here().workshop
    for each in logbooks:
        if each != GARAGE or workshop.has_garage():
            entries = said_as(workshop.store, each, act)
            if entries:
                return Act(act, each, entries)
    return None


def _filled_in(request: HttpRequest) -> str:
    """Digest all that a form says, its files included."""
    said: list[Any] = [request.path]
    said += [each for each in request.POST.lists() if each[0] not in NOT_FILLED_IN]
    for name, files in request.FILES.lists():
        for each in files:
            found = sha256()
            for piece in each.chunks():
                found.update(piece)
            each.seek(0)
            said.append((name, each.name, found.hexdigest()))
    return sha256(json.dumps(said).encode()).hexdigest()
