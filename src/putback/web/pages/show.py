"""Showing a page: its context, the frame around it, and nothing else."""

from dataclasses import fields, is_dataclass
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from putback.web.here import here
from putback.web.pages.access import Visit
from putback.web.pages.frame import frame_of
from putback.web.pages.liking import here_so, liking_of


def page(
    request: HttpRequest,
    template: str,
    context: Any,
    visit: Visit | None = None,
    status: int = 200,
    within: str = "",
) -> HttpResponse:
    """Show a page; within the frame of a vehicle, if one is visited.

    Parameters
    ----------
    context : dataclass instance
        What the template is given, field by field; each page has a record of its own.
    within : str
        The page of the frame that it belongs to, where its address does not say.
    """
    liking = liking_of(request)
    facts = _facts(context)
    if visit is not None:
        liking = here_so(liking, here().workshop.state(visit.logbook))
        facts["frame"] = frame_of(visit, request.path, request.GET.get("logged", ""), within)
    return render(request, template, facts | {"liking": liking}, status=status)


def fragment(
    request: HttpRequest, template: str, context: Any, visit: Visit, status: int = 200
) -> HttpResponse:
    """Show a piece of a page by itself, as a script asked for it."""
    return render(request, template, _facts(context) | {"visit": visit}, status=status)


def is_piece(request: HttpRequest) -> bool:
    """Tell whether a script asks for a piece of a page."""
    return bool(request.headers.get("HX-Request"))


def _facts(context: Any) -> dict[str, Any]:
    if not is_dataclass(context) or isinstance(context, type):
        raise TypeError(f"a page is given a record, not {context!r}")
    return {each.name: getattr(context, each.name) for each in fields(context)}
