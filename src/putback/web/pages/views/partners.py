"""Partners: bringing this copy of a vehicle and another workshop's together.

A partner is asked while the page waits, for two seconds a request and never long for one answer:
each step is kept, so the page asks again until all is done, and whoever leaves it goes on later.
No other process has to run for it, and no worker is held up by a partner that sleeps.
"""

from dataclasses import dataclass
from time import monotonic

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_POST, require_safe

from putback.errors import BadInput
from putback.web.here import here
from putback.web.pages.access import Visit, for_role
from putback.web.pages.show import page
from putback.workshop.exchange.course import Ahead, Exchange, Step
from putback.workshop.exchange.far import NoExchange
from putback.workshop.exchange.over_https import FarByApi
from putback.workshop.exchange.partners import Partner, Partners
from putback.workshop.exchange.with_partner import exchange_with, reached
from putback.workshop.logbooks.ports import Role

AT_ONCE_S = 2.0
"""After so long a request ends between two steps [s]."""
PATIENCE_S = 5.0
"""How long a partner may take for one answer before it counts as asleep [s]."""
PUSH, PULL = "push", "pull"


@dataclass(frozen=True, slots=True)
class PartnerTold:
    """A partner, and how far the exchange of this vehicle with it has come."""

    name: str
    address: str
    pushed_at: str
    pulled_at: str
    filed_at: str


@dataclass(frozen=True, slots=True)
class PartnersPage:
    """Partners, what would change, and how far an exchange is."""

    partners: tuple[PartnerTold, ...]
    with_whom: str = ""
    """The partner that is looked at or exchanged with."""
    ahead: Ahead | None = None
    way: str = ""
    """Pushing or pulling, while it is not done."""
    step: Step | None = None
    done: str = ""
    """What was done to its end, in words."""
    same: bool = False
    """Whether both copies hold the same entries now."""
    fault: str = ""
    remedy: str = ""


@require_safe
@for_role(Role.OWNER)
def partners(request: HttpRequest, visit: Visit) -> HttpResponse:
    """List the owner's partners."""
    return page(request, "pages/partners.html", PartnersPage(_told(visit)), visit)


@require_POST
@for_role(Role.OWNER)
def look(request: HttpRequest, visit: Visit) -> HttpResponse:
    """Show what an exchange would change."""
    partner = _called(request, visit)
    try:
        with reached(partner, PATIENCE_S) as far:
            ahead = _exchange(visit, partner, far).look_ahead()
    except NoExchange as error:
        return _refused(request, visit, partner, error)
    shown = PartnersPage(_told(visit), with_whom=partner.name, ahead=ahead)
    return page(request, "pages/partners.html", shown, visit)


@require_POST
@for_role(Role.OWNER)
def go(request: HttpRequest, visit: Visit) -> HttpResponse:
    """Push or pull for two seconds, and say whether that was all."""
    partner = _called(request, visit)
    way = PULL if request.POST.get("way") == PULL else PUSH
    end = monotonic() + AT_ONCE_S
    last: Step | None = None
    try:
        with reached(partner, PATIENCE_S) as far:
            exchange = _exchange(visit, partner, far)
            for step in exchange.pull() if way == PULL else exchange.push():
                last = step
                if monotonic() >= end:
                    break
            else:
                there = exchange.far.stands(visit.logbook)
                digest = here().workshop.facts(visit.logbook).digest
                shown = PartnersPage(
                    _told(visit),
                    with_whom=partner.name,
                    done="pulled" if way == PULL else "pushed",
                    same=there is not None and there.digest == digest,
                )
                return page(request, "pages/partners.html", shown, visit)
    except NoExchange as error:
        return _refused(request, visit, partner, error)
    shown = PartnersPage(_told(visit), with_whom=partner.name, way=way, step=last)
    return page(request, "pages/partners.html", shown, visit)


def _refused(
    request: HttpRequest, visit: Visit, partner: Partner, error: NoExchange
) -> HttpResponse:
    shown = PartnersPage(
        _told(visit), partner.name, fault=f"{partner.name} {error.fault()}", remedy=error.remedy()
    )
    return page(request, "pages/partners.html", shown, visit)


def _kept() -> Partners:
    return Partners(here().opened.home)


def _called(request: HttpRequest, visit: Visit) -> Partner:
    """Find one of the owner's own partners: a token is nobody else's to use."""
    wanted = request.POST.get("partner", "")
    for each in _kept().all():
        if each.name == wanted and each.person == visit.person and each.address:
            return each
    raise BadInput(f"{wanted!r} is no partner of yours", mend="see the list on the page Partners")


def _told(visit: Visit) -> tuple[PartnerTold, ...]:
    kept = _kept()
    found = []
    for each in kept.all():
        if each.person == visit.person:
            course = kept.course(each.name, visit.logbook)
            filed = kept.filed(each.name, visit.logbook)
            found.append(
                PartnerTold(each.name, each.address, course.pushed_at, course.pulled_at, filed.at)
            )
    return tuple(found)


def _exchange(visit: Visit, partner: Partner, far: FarByApi) -> Exchange:
    return exchange_with(here().workshop, _kept(), partner, far, visit.logbook, visit.person)
