"""How far a question is that was put to the planner, and stopping it or asking it again."""

from dataclasses import dataclass

from django.core.exceptions import PermissionDenied
from django.http import Http404, HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import redirect
from django.utils.http import url_has_allowed_host_and_scheme
from django.views.decorators.http import require_POST, require_safe

from putback.web.here import here
from putback.web.pages.access import Visit, for_role
from putback.web.pages.asked import Asked, asked
from putback.web.pages.show import fragment, is_piece
from putback.workshop.desk import Slip
from putback.workshop.desk.port import PAPERS, SlipId
from putback.workshop.logbooks.ports import Role


@dataclass(frozen=True, slots=True)
class AskedPiece:
    """How far a question is."""

    asked: Asked | None
    """Nothing, where the question is not on the desk any more."""
    may_stop: bool


@require_safe
@for_role(Role.VIEWER)
def look(request: HttpRequest, visit: Visit, slip: str) -> HttpResponse:
    """Show how far it is; a page hears *planned* when there is nothing more to wait for.

    A question that waited is thrown away when the logbook goes on: the page must ask anew.
    """
    found = _found(visit, slip)
    if found is None and not is_piece(request):
        raise Http404
    return _piece(request, visit, found)


@require_POST
@for_role(Role.VIEWER)
def stop(request: HttpRequest, visit: Visit, slip: str) -> HttpResponse:
    """Want no answer any more: of a paper whoever may have it, of planning whoever works."""
    found = _found(visit, slip)
    if found is not None:
        if not _may_stop(visit, found):
            raise PermissionDenied(Role.WORKER.value)
        here().desk.cancel(found.id)
    if is_piece(request):
        return _piece(request, visit, _found(visit, slip))
    return _back(request, visit)


@require_POST
@for_role(Role.WORKER)
def again(request: HttpRequest, visit: Visit, slip: str) -> HttpResponse:
    """Ask once more what was stopped or failed; the page itself asks where that is of before."""
    if (found := _found(visit, slip)) is not None:
        here().desk.ask(found.question, again=True)
    return _back(request, visit)


def _piece(request: HttpRequest, visit: Visit, found: Slip | None) -> HttpResponse:
    may_stop = found is not None and _may_stop(visit, found)
    piece = AskedPiece(asked(found) if found else None, may_stop)
    response = fragment(request, "fragments/asked.html", piece, visit)
    if found is None or not found.is_open:
        response["HX-Trigger"] = "planned"
    return response


def _may_stop(visit: Visit, found: Slip) -> bool:
    return found.question.kind in PAPERS or visit.may(Role.WORKER)


def _found(visit: Visit, slip: str) -> Slip | None:
    """Find a question; ``None`` where it is not on the desk any more, as the logbook went on."""
    found = here().desk.look(SlipId(slip))
    if found is not None and found.question.logbook != visit.logbook:
        raise Http404
    return found


def _back(request: HttpRequest, visit: Visit) -> HttpResponse:
    wanted = request.POST.get("next", "")
    is_ours = url_has_allowed_host_and_scheme(wanted, allowed_hosts=None)
    return HttpResponseRedirect(wanted) if wanted and is_ours else redirect("strip", visit.logbook)
