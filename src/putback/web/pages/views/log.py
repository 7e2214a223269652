"""Logging by a form that no script sent on: the same act, and back to where it came from."""

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_POST

from putback.web.here import here
from putback.web.pages.access import Visit, for_role
from putback.web.pages.act_form import read_act
from putback.web.pages.after import after_logging
from putback.workshop.logbooks.garage import in_its_garage
from putback.workshop.logbooks.ports import Role
from putback.workshop.saying.plain import read_plain
from putback.workshop.saying.said_off import said_off


@require_POST
@for_role(Role.WORKER)
def log(request: HttpRequest, visit: Visit) -> HttpResponse:
    """Write one act."""
    fields = ((name, value) for name, values in request.POST.lists() for value in values)
    bodies = read_plain(read_act((name, str(value)) for name, value in fields))
    act = here().workshop.log(visit.logbook, bodies, who=visit.person, device=visit.device)
    return after_logging(request, visit, act.id)


@require_POST
@for_role(Role.WORKER)
def log_off(request: HttpRequest, visit: Visit) -> HttpResponse:
    """Write that parts came off, of which nothing is said but their names."""
    workshop = here().workshop
    names = [str(name) for name in request.POST.getlist("part")]
    state = in_its_garage(workshop, visit.logbook)
    bodies = said_off(state, names, request.POST.get("tag", ""))
    act = workshop.log(visit.logbook, bodies, who=visit.person, device=visit.device)
    return after_logging(request, visit, act.id)
