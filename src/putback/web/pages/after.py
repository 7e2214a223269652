"""After a form was logged: back to where it belongs, and told there for ten seconds."""

from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.urls import reverse
from django.utils.http import url_has_allowed_host_and_scheme

from putback.web.pages.access import Visit
from putback.workshop.logbooks.workshop import Act


def after_logging(request: HttpRequest, visit: Visit, act: Act) -> HttpResponse:
    """Go to the address that the form names as ``next``, if it is ours, else to the next job."""
    wanted = request.POST.get("next", "")
    is_ours = bool(wanted) and url_has_allowed_host_and_scheme(wanted, allowed_hosts=None)
    address = wanted if is_ours else reverse("now", args=[visit.logbook])
    joined = "&" if "?" in address else "?"
    return HttpResponseRedirect(f"{address}{joined}logged={act.id}")
