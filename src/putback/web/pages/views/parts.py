"""Parts and joints: the list, and all that is known of one."""

from dataclasses import dataclass

from django.http import Http404, HttpRequest, HttpResponse
from django.views.decorators.http import require_safe

from putback.logbook.entries.base import Subject
from putback.logbook.state import State
from putback.vehicle.ids import JointId, PartId
from putback.web.here import here
from putback.web.pages.access import Visit, for_role
from putback.web.pages.show import page
from putback.workshop.logbooks.garage import in_its_garage
from putback.workshop.logbooks.ports import Role
from putback.workshop.things.book import BookLine, history_lines
from putback.workshop.things.condition import Condition
from putback.workshop.things.deeds import Deed, Option, deeds_of_joint, deeds_of_part
from putback.workshop.things.part_card import JointCard, PartCard, joint_card, part_card
from putback.workshop.things.parts_list import ListedPart, list_parts


@dataclass(frozen=True, slots=True)
class PartsPage:
    """The parts, narrowed by what was asked for."""

    parts: tuple[ListedPart, ...]
    of: int
    """How many there are in all."""
    words: str
    zone: str
    condition: str
    zones: tuple[Option, ...]
    conditions: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class PartPage:
    """One part."""

    card: PartCard
    main: Deed
    """What is most likely to be said of it now."""
    deeds: tuple[Deed, ...]
    history: tuple[BookLine, ...]
    photos: tuple[BookLine, ...]
    tags: tuple[str, ...]
    """Bags and boxes that there are."""


@dataclass(frozen=True, slots=True)
class JointPage:
    """One joint."""

    card: JointCard
    main: Deed
    deeds: tuple[Deed, ...]
    history: tuple[BookLine, ...]
    photos: tuple[BookLine, ...]
    tags: tuple[str, ...]


@require_safe
@for_role(Role.VIEWER)
def parts(request: HttpRequest, visit: Visit) -> HttpResponse:
    """List the parts."""
    state = in_its_garage(here().workshop, visit.logbook)
    words, zone = request.GET.get("words", ""), request.GET.get("zone", "")
    condition = request.GET.get("condition", "")
    found = list_parts(state, words=words, zone=zone, condition=condition)
    shown = PartsPage(
        parts=found,
        of=len(state.vehicle.parts.keys() | state.parts.keys()),
        words=words,
        zone=zone,
        condition=condition,
        zones=tuple((each.id, each.name) for each in state.vehicle.zones.values()),
        conditions=tuple(Condition),
    )
    return page(request, "pages/parts.html", shown, visit)


@require_safe
@for_role(Role.VIEWER)
def part(request: HttpRequest, visit: Visit, part: str) -> HttpResponse:
    """Show one part."""
    state, identity = in_its_garage(here().workshop, visit.logbook), PartId(part)
    if identity not in state.vehicle.parts and identity not in state.parts:
        raise Http404
    main, *deeds = deeds_of_part(state, identity)
    history, photos = _told(visit, f"part:{part}")
    shown = PartPage(part_card(state, identity), main, tuple(deeds), history, photos, _tags(state))
    return page(request, "pages/part.html", shown, visit)


@require_safe
@for_role(Role.VIEWER)
def joint(request: HttpRequest, visit: Visit, joint: str) -> HttpResponse:
    """Show one joint."""
    state, identity = in_its_garage(here().workshop, visit.logbook), JointId(joint)
    if identity not in state.vehicle.joints and identity not in state.joints:
        raise Http404
    main, *deeds = deeds_of_joint(state, identity)
    history, photos = _told(visit, f"joint:{joint}")
    card = joint_card(state, identity)
    shown = JointPage(card, main, tuple(deeds), history, photos, _tags(state))
    return page(request, "pages/joint.html", shown, visit)


def _told(visit: Visit, subject: str) -> tuple[tuple[BookLine, ...], tuple[BookLine, ...]]:
    """Give the entries on a thing, and those of them that are photos or spoken notes."""
    told = history_lines(here().workshop, visit.logbook, Subject(subject))
    return told, tuple(each for each in told if each.photo or each.sound)


def _tags(state: State) -> tuple[str, ...]:
    return tuple(sorted(state.containers))
