"""What this process serves: one workshop over one store, opened once."""

from dataclasses import dataclass
from functools import cached_property

from putback.errors import StoreError
from putback.web.store import Opened
from putback.web.zone import zone_there
from putback.workshop.desk import Desk
from putback.workshop.logbooks.ports import Clock, SystemClock
from putback.workshop.logbooks.workshop import Workshop
from putback.workshop.people.letting_in import LettingIn
from putback.workshop.people.people import People
from putback.workshop.printing.kept_papers import KeptPapers


@dataclass
class Here:
    """The store that is open here, and the use cases over it."""

    opened: Opened
    clock: Clock

    @cached_property
    def workshop(self) -> Workshop:
        """The workshop; it keeps the folds of the logbooks warm between requests."""
        return Workshop(self.opened.entries, self.opened.photos, self.clock, zone_there)

    @property
    def desk(self) -> Desk:
        """The planner's desk: what takes planning is asked there, never in a request."""
        return self.opened.desk

    @cached_property
    def papers(self) -> KeptPapers:
        """Papers that take long: made beside the pages, found here."""
        return KeptPapers(self.opened.papers)

    @cached_property
    def people(self) -> People:
        """Who may come in."""
        return People(self.opened.people, self.clock)

    @cached_property
    def letting_in(self) -> LettingIn:
        """Links that let somebody in."""
        return LettingIn(self.workshop, self.people)


_here: list[Here] = []


def open_here(opened: Opened, clock: Clock | None = None) -> Here:
    """Serve this store from now on."""
    _here[:] = [Here(opened, clock or SystemClock())]
    return _here[0]


def here() -> Here:
    """Give what is served.

    Raises
    ------
    StoreError
        If nothing was opened.
    """
    if not _here:
        raise StoreError("this server", "no store is open", "start it by: putback serve")
    return _here[0]
