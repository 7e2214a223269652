"""The hardware check, and one bag, box or crate."""

from dataclasses import dataclass

from django.http import Http404, HttpRequest, HttpResponse
from django.views.decorators.http import require_safe

from putback.logbook.entries.base import Subject, TagCode
from putback.web.here import here
from putback.web.pages.access import Visit, for_role
from putback.web.pages.show import page
from putback.workshop.logbooks.garage import in_its_garage
from putback.workshop.logbooks.ports import Role
from putback.workshop.things.book import BookLine, history_lines
from putback.workshop.things.deeds import Deed, deeds_of_bag
from putback.workshop.things.hardware_told import BagTold, HardwareTold, tell_bag, tell_hardware
from putback.workshop.things.part_card import Step

BY = (("joints", "Short and over"), ("bags", "Bags and boxes"), ("fasteners", "Fasteners"))


@dataclass(frozen=True, slots=True)
class HardwarePage:
    """The hardware check."""

    told: HardwareTold
    words: str
    by: str
    """Which of the three lists is shown."""
    ways: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class TagPage:
    """One bag."""

    bag: BagTold
    chain: tuple[Step, ...]
    main: Deed
    deeds: tuple[Deed, ...]
    history: tuple[BookLine, ...]
    photos: tuple[BookLine, ...]
    tags: tuple[str, ...]


@require_safe
@for_role(Role.VIEWER)
def hardware(request: HttpRequest, visit: Visit) -> HttpResponse:
    """Show the hardware check."""
    words, by = request.GET.get("words", ""), request.GET.get("by", "")
    told = tell_hardware(in_its_garage(here().workshop, visit.logbook), words)
    known = dict(BY)
    shown = HardwarePage(told, words, by if by in known else BY[0][0], BY)
    return page(request, "pages/hardware.html", shown, visit)


@require_safe
@for_role(Role.VIEWER)
def tag(request: HttpRequest, visit: Visit, tag: str) -> HttpResponse:
    """Show one bag, box or crate."""
    state, code = in_its_garage(here().workshop, visit.logbook), TagCode(tag.upper())
    bag, subject = tell_bag(state, code), Subject(f"tag:{tag.upper()}")
    if bag is None:
        raise Http404
    main, *deeds = deeds_of_bag(state, code)
    history = history_lines(here().workshop, visit.logbook, subject)
    shown = TagPage(
        bag=bag,
        chain=tuple(Step(each, state.name_of(each)) for each in state.chain_of(subject)),
        main=main,
        deeds=tuple(deeds),
        history=history,
        photos=tuple(each for each in history if each.photo or each.sound),
        tags=tuple(sorted(state.containers)),
    )
    return page(request, "pages/tag.html", shown, visit)
