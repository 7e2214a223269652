"""Standing holds: what must not be done with the vehicle until somebody lifts the hold."""

from dataclasses import dataclass

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_POST, require_safe

from putback.errors import BadInput
from putback.logbook.entries.base import ActId, EntryId, Subject
from putback.logbook.entries.holding import HoldLifted, HoldSet, hold_called
from putback.web.here import here
from putback.web.pages.access import Visit, for_role
from putback.web.pages.sent_once import sent_once, to_page
from putback.web.pages.show import page
from putback.workshop.logbooks.ports import Role
from putback.workshop.logbooks.sayers import Sayers, sayers_of
from putback.workshop.people.who import names_here
from putback.workshop.saying.plain import read_plain


@dataclass(frozen=True, slots=True)
class HoldInForce:
    """A hold that nobody lifted yet."""

    hold: str
    words: str
    by: str
    """All who set it since it was lifted last: each of them may be under it."""
    set_by: EntryId
    """The entry that set it, or set it again: whoever lifts it lifts this one."""


@dataclass(frozen=True, slots=True)
class HoldPage:
    """What the page of standing holds shows."""

    holds: tuple[HoldInForce, ...]
    usual: tuple[str, ...]
    """What is often held."""


USUAL = (
    "no brakes: do not roll",
    "on stands: do not push or climb in",
    "nobody under it",
    "fuel is open: no sparks",
    "battery is live: ask before you cut",
)


@require_safe
@for_role(Role.VIEWER)
def hold(request: HttpRequest, visit: Visit) -> HttpResponse:
    """Show what is held, with the forms to lift it or to set another."""
    workshop = here().workshop
    sayers = sayers_of(workshop, visit.logbook, names_here(workshop, here().people))
    holds = tuple(
        HoldInForce(
            each.hold,
            each.words,
            ", ".join(_setters(visit, each.hold, sayers)),
            each.set_by.entry,
        )
        for each in workshop.state(visit.logbook).in_force
        if each.set_by is not None
    )
    return page(request, "pages/hold.html", HoldPage(holds, USUAL), visit)


def _setters(visit: Visit, hold: str, sayers: Sayers) -> tuple[str, ...]:
    """Name those who set a hold since it was lifted last, each once."""
    said: list[str] = []
    for entry in here().workshop.history(visit.logbook, Subject(f"hold:{hold}")):
        if isinstance(entry.body, HoldSet):
            said.append(sayers.words(entry.id, entry.who))
        elif isinstance(entry.body, HoldLifted):
            said.clear()
    return tuple(dict.fromkeys(said))


@require_POST
@for_role(Role.WORKER)
@sent_once(to_page("hold"))
def set_hold(request: HttpRequest, visit: Visit, act: ActId | None) -> HttpResponse:
    """Set a standing hold."""
    words = request.POST.get("words", "").strip()
    return _log(visit, act, {"kind": "hold set", "hold": hold_called(words), "words": words})


@require_POST
@for_role(Role.WORKER)
@sent_once(to_page("hold"))
def lift_hold(request: HttpRequest, visit: Visit, act: ActId | None) -> HttpResponse:
    """Lift a standing hold, and say why; not one that was set again since it was looked at.

    A hold goes by its words. Whoever lifts their own from a page that was left open must not lift
    that of somebody who said the same since, and may be under the vehicle.
    """
    why, which = request.POST.get("why", "").strip(), request.POST.get("hold", "")
    state = here().workshop.state(visit.logbook)
    held = next((each for each in state.in_force if each.hold == which), None)
    if held is None:
        raise BadInput(
            "this hold is lifted already", mend="nothing was changed; look at the page again"
        )
    if held.set_by is not None and held.set_by.entry != request.POST.get("set_by", ""):
        raise BadInput(
            "this hold was set again since you looked at it",
            mend="nothing was lifted; look at the page again, and ask whoever set it",
        )
    return _log(visit, act, {"kind": "hold lifted", "hold": which, "why": why})


def _log(visit: Visit, act: ActId | None, said: dict[str, str]) -> HttpResponse:
    bodies = read_plain([said])
    here().workshop.log(visit.logbook, bodies, who=visit.person, device=visit.device, as_act=act)
    return redirect("hold", visit.logbook)
