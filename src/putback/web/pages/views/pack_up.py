"""Pack up: what to do before anybody goes home, to be ticked."""

from dataclasses import dataclass

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_safe

from putback.web.here import here
from putback.web.pages.access import Visit, for_role
from putback.web.pages.show import page
from putback.workshop.logbooks.ports import Role
from putback.workshop.now.pack_up import Matter, PackUp, PackUpLine, pack_up

_HEADINGS = {
    Matter.DANGER: "Dangers",
    Matter.HANGS: "What hangs",
    Matter.CLOSE: "Close",
    Matter.HALF_DONE: "Half done",
    Matter.BAG: "Bags and places",
    Matter.FLUIDS: "Fluids",
    Matter.COUNT: "Count",
    Matter.PHOTO: "Photo of the bench",
    Matter.SOAK: "Soak now",
}


@dataclass(frozen=True, slots=True)
class Heap:
    """Lines about one matter."""

    heading: str
    lines: tuple[PackUpLine, ...]


@dataclass(frozen=True, slots=True)
class PackUpPage:
    """What the page shows."""

    found: PackUp
    heaps: tuple[Heap, ...]
    begun: str
    """On which the sitting began, as ISO 8601: ticks are of one sitting."""


@require_safe
@for_role(Role.VIEWER)
def show_pack_up(request: HttpRequest, visit: Visit) -> HttpResponse:
    """Show the list."""
    found = pack_up(here().workshop, visit.logbook, may_plan=False)
    heaps = (
        Heap(heading, tuple(line for line in found.lines if line.part is matter))
        for matter, heading in _HEADINGS.items()
    )
    begun = found.begun.isoformat()
    shown = PackUpPage(found, tuple(heap for heap in heaps if heap.lines), begun)
    return page(request, "pages/pack_up.html", shown, visit)
