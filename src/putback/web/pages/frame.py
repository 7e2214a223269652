"""The frame around every page of a vehicle: its name, how far it is, and the ways to go."""

from dataclasses import dataclass

from django.urls import reverse

from putback.logbook.entries.base import LogbookId
from putback.logbook.state import HoldState
from putback.web.here import here
from putback.web.pages.access import Visit
from putback.workshop.how_far import HowFar, how_far
from putback.workshop.ports import Role

PAGES = (
    ("now", "Now"),
    ("parts", "Parts"),
    ("hardware", "Hardware"),
    ("places", "Places"),
    ("book", "Logbook"),
)
"""The pages of a vehicle in the order of the ways to them: name of the route, and word."""


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
    far: HowFar
    ways: tuple[Way, ...]
    visit: Visit
    may_log: bool
    may_own: bool


def frame_of(visit: Visit, path: str) -> Frame:
    """Give the frame for somebody's visit to a page at ``path``."""
    state = here().workshop.state(visit.logbook)
    ways = [(word, reverse(name, args=[visit.logbook])) for name, word in PAGES]
    best = max((way for _, way in ways if path.startswith(way)), key=len, default="")
    return Frame(
        logbook=visit.logbook,
        name=state.vehicle.about.name,
        notice=state.vehicle.about.notice,
        holds=state.in_force,
        far=how_far(state),
        ways=tuple(Way(word, way, way == best) for word, way in ways),
        visit=visit,
        may_log=visit.may(Role.WORKER),
        may_own=visit.may(Role.OWNER),
    )
