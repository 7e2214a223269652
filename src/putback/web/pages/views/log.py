"""Logging by a form that no script sent on: the same act, and back to where it came from."""

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_POST

from putback.logbook.entries.base import ActId, PlaceId
from putback.logbook.entries.describing import PlaceDescribed
from putback.logbook.state import State
from putback.web.here import here
from putback.web.pages.access import Visit, for_role
from putback.web.pages.act_form import read_act
from putback.web.pages.after import after_logging
from putback.web.pages.sent_once import sent_once
from putback.workshop.logbooks.garage import in_its_garage
from putback.workshop.logbooks.identity import following
from putback.workshop.logbooks.ports import GARAGE, Role
from putback.workshop.logbooks.said_once import said_as
from putback.workshop.saying.names import find
from putback.workshop.saying.plain import read_plain
from putback.workshop.saying.said_off import said_off
from putback.workshop.things.places_tree import new_place


@require_POST
@for_role(Role.WORKER)
@sent_once(after_logging)
def log(request: HttpRequest, visit: Visit, act: ActId | None) -> HttpResponse:
    """Write one act."""
    fields = ((name, value) for name, values in request.POST.lists() for value in values)
    bodies = read_plain(read_act((name, str(value)) for name, value in fields))
    logged = here().workshop.log(
        visit.logbook, bodies, who=visit.person, device=visit.device, as_act=act
    )
    return after_logging(request, visit, logged)


@require_POST
@for_role(Role.WORKER)
@sent_once(after_logging)
def log_off(request: HttpRequest, visit: Visit, act: ActId | None) -> HttpResponse:
    """Write that parts came off, of which nothing is said but their names and where they lie."""
    workshop = here().workshop
    names = [str(name) for name in request.POST.getlist("part")]
    state = in_its_garage(workshop, visit.logbook)
    tag, named = request.POST.get("tag", "").strip(), request.POST.get("new_place", "").strip()
    placing = ActId(following(act, "place")) if act else None
    new = _new_place(state, named, placing) if named and not tag else None
    known = request.POST.get("place", "") if not tag else ""
    place = new.place if new else PlaceId(find(state, "place", known)) if known else None
    bodies = said_off(state, names, tag, place)
    if new:
        workshop.log(GARAGE, [new], who=visit.person, device=visit.device, as_act=placing)
    logged = workshop.log(visit.logbook, bodies, who=visit.person, device=visit.device, as_act=act)
    return after_logging(request, visit, logged)


def _new_place(state: State, named: str, placing: ActId | None) -> PlaceDescribed:
    """Describe the place, as a form that was broken off half-way has done already."""
    workshop = here().workshop
    if placing and workshop.has_garage():
        for each in said_as(workshop.store, GARAGE, placing):
            if isinstance(each.body, PlaceDescribed):
                return each.body
    return new_place(state, name=named, kind="", fits="", floor="")
