"""The frame around every page of a vehicle: its name, how far it is, and the ways to go."""

from dataclasses import dataclass

from django.urls import resolve, reverse

from putback.logbook.entries.base import ActId, LogbookId
from putback.logbook.state import HoldState
from putback.web.here import here
from putback.web.pages.access import Visit
from putback.workshop.logbooks.ports import Role
from putback.workshop.now.at_a_glance import Glance, at_a_glance
from putback.workshop.saying.logged import Retold, told_again

PAGES = (
    ("now", "Now"),
    ("scan", "Scan"),
    ("say", "Say"),
    ("strip", "Strip"),
    ("rebuild", "Rebuild"),
    ("parts", "Parts"),
    ("hardware", "Hardware"),
    ("places", "Places"),
    ("vehicle_view", "Vehicle"),
    ("photos", "Photos"),
    ("paper", "Paper"),
    ("book", "Logbook"),
    ("people", "People"),
    ("hold", "Hold"),
)
"""The pages of a vehicle in the order of the ways to them: name of the route, and word."""

TO_LOG = frozenset({"say"})
"""Pages that are only for logging."""
WITHIN = dict.fromkeys(
    ("part", "joint", "describe", "describe_table", "describe_new", "describe_one"), "parts"
)
WITHIN |= {"tag": "hardware", "slate": "scan", "partners": "book"}
WITHIN |= dict.fromkeys(("exchange_look", "exchange_go"), "book")
WITHIN |= dict.fromkeys(("reach", "ties", "why", "what_if"), "strip")
"""Pages that belong to another whose address theirs does not begin with."""


@dataclass(frozen=True, slots=True)
class Way:
    """A way to another page."""

    word: str
    address: str
    is_here: bool


@dataclass(frozen=True, slots=True)
class Frame:
    """What stands around every page of a vehicle."""

    logbook: LogbookId
    name: str
    notice: str
    """What must be said of the vehicle at once: that it is made up, for one."""
    holds: tuple[HoldState, ...]
    """Standing holds in force: what must not be done until somebody lifts them."""
    glance: Glance
    ways: tuple[Way, ...]
    visit: Visit
    may_log: bool
    may_own: bool
    logged: Retold | None
    """What was logged by the form that led here, to be struck out by one tap."""


def frame_of(visit: Visit, path: str, logged: str = "", within: str = "") -> Frame:
    """Give the frame for somebody's visit to a page at ``path``.

    ``logged`` names the act that they have just logged by a form, if they have; ``within`` the
    page that it belongs to, where the address does not say.
    """
    state = here().workshop.state(visit.logbook)
    pages = [each for each in PAGES if each[0] not in TO_LOG or visit.may(Role.WORKER)]
    ways = [(word, reverse(name, args=[visit.logbook])) for name, word in pages]
    within = within or WITHIN.get(resolve(path).url_name or "", "")
    at = reverse(within, args=[visit.logbook]) if within else path
    best = max((way for _, way in ways if at.startswith(way)), key=len, default="")
    return Frame(
        logbook=visit.logbook,
        name=state.vehicle.about.name,
        notice=state.vehicle.about.notice,
        holds=state.in_force,
        glance=at_a_glance(here().workshop, visit.logbook),
        ways=tuple(Way(word, way, way == best) for word, way in ways),
        visit=visit,
        may_log=visit.may(Role.WORKER),
        may_own=visit.may(Role.OWNER),
        logged=told_again(here().workshop, visit.logbook, ActId(logged), visit.device)
        if logged
        else None,
    )
