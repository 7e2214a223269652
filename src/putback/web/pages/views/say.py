"""Say or type what was done: one line, what it would log, and logging it."""

from dataclasses import dataclass

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_http_methods

from putback.logbook.entries.base import ActId
from putback.web.here import here
from putback.web.pages.access import Visit, for_role
from putback.web.pages.after import after_logging
from putback.web.pages.sent_once import sent_once
from putback.web.pages.show import fragment, is_piece, page
from putback.workshop.logbooks.ports import Role
from putback.workshop.saying.forms import FORMS
from putback.workshop.saying.said_line import Understood, understand


@dataclass(frozen=True, slots=True)
class SayPage:
    """What the page shows."""

    said: Understood | None
    """The line as it was understood; ``None`` before anything was typed."""
    examples: tuple[tuple[str, str], ...]
    """Each short word, and an example."""
    is_otherwise: bool = False
    """Whether the line is understood otherwise than it was shown; nothing was logged then."""


@require_http_methods(["GET", "HEAD", "POST"])
@for_role(Role.WORKER)
@sent_once(after_logging)
def say(request: HttpRequest, visit: Visit, act: ActId | None) -> HttpResponse:
    """Show what a line would log; sent as a form, log it."""
    given = request.POST if request.method == "POST" else request.GET
    line, is_new = given.get("line", "").strip(), bool(given.get("new"))
    workshop = here().workshop
    said = understand(workshop, visit.logbook, line, new=is_new) if line else None
    is_otherwise = said is not None and _is_otherwise(request, said)
    if request.method == "POST" and said and said.bodies and said.book and not is_otherwise:
        logged = workshop.log(
            said.book,
            said.bodies,
            who=visit.person,
            device=visit.device,
            happened_at=said.happened_at,
            as_act=act,
        )
        return after_logging(request, visit, logged)
    examples = tuple((word, form.example) for word, form in FORMS.items())
    shown = SayPage(said, examples, is_otherwise)
    if is_piece(request):
        return fragment(request, "fragments/understood.html", shown, visit)
    wrong = request.method == "POST"
    return page(request, "pages/say.html", shown, visit, status=400 if wrong else 200)


def _is_otherwise(request: HttpRequest, said: Understood) -> bool:
    """Whether this very line was shown as logging something else: a name, or the day, is another.

    A line that was sent before it was shown, by a quick hand or without a script, is as it is.
    """
    was_shown = bool(said.bodies) and request.POST.get("seen") == said.text
    return was_shown and request.POST.get("seen_as") != said.told
