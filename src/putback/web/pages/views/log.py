"""Logging by a form that no script sent on: the same act, and back to where it came from."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils.http import url_has_allowed_host_and_scheme
from django.views.decorators.http import require_POST

from putback.web.here import here
from putback.web.pages.access import Visit, for_role
from putback.web.pages.act_form import read_act
from putback.workshop.plain import read_plain
from putback.workshop.ports import Role


@require_POST
@for_role(Role.WORKER)
def log(request: HttpRequest, visit: Visit) -> HttpResponse:
    """Write one act."""
    fields = ((name, value) for name, values in request.POST.lists() for value in values)
    bodies = read_plain(read_act((name, str(value)) for name, value in fields))
    here().workshop.log(visit.logbook, bodies, who=visit.person, device=visit.device)
    wanted = request.POST.get("next", "")
    is_ours = url_has_allowed_host_and_scheme(wanted, allowed_hosts=None)
    return redirect(wanted) if wanted and is_ours else redirect("now", visit.logbook)
