"""What every command shares: the store, which vehicle is meant, who speaks, what is supposed."""

from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from putback.cli.wire import open_store, this_device, this_person
from putback.errors import BadInput, NotFound
from putback.logbook.entries.base import DeviceId, LogbookId, PersonId

if TYPE_CHECKING:
    from putback.cli.wire import Opened
    from putback.logbook.open_items import Situation
    from putback.logbook.state import State
    from putback.workshop.logbooks.workshop import Workshop

VEHICLE = "PUTBACK_VEHICLE"
GARAGE_NAME = "garage"
MOST_NAMED = 6


@dataclass
class Session:
    """One run of the command line; the store is opened when it is first needed."""

    home: Path | None = None
    vehicle: str | None = None
    who: str | None = None
    as_json: bool = False
    supposed: tuple[str, ...] = ()
    """Lines that are taken to have happened; nothing of them is ever written."""

    @cached_property
    def store(self) -> "Opened":
        """The open store."""
        return open_store(self.home)

    @cached_property
    def _stored(self) -> "Workshop":
        """The workshop over the store."""
        from putback.workshop.logbooks.workshop import Workshop

        return Workshop(self.store.entries, self.store.photos)

    @cached_property
    def workshop(self) -> "Workshop":
        """The workshop over the store; with what is supposed, if anything is."""
        if not self.supposed:
            return self._stored
        from putback.workshop.plans.what_if import suppose

        return suppose(
            self._stored, self.logbook, self.supposed, who=self.person, device=self.device
        )

    @property
    def person(self) -> PersonId:
        """Who speaks."""
        return PersonId(self.who) if self.who else this_person()

    @property
    def device(self) -> DeviceId:
        """The machine that logs."""
        return this_device()

    @cached_property
    def logbook(self) -> LogbookId:
        """The logbook that is meant: of the vehicle named, or of the only one; or the garage's."""
        from putback.workshop.logbooks.ports import GARAGE

        if self.vehicle:
            if self.vehicle.casefold() == GARAGE_NAME:
                return GARAGE
            return self._named(self.vehicle)
        shelved = self._stored.logbooks()
        if len(shelved) == 1:
            return shelved[0].id
        if not shelved:
            raise BadInput("there is no vehicle yet", mend='begin with: putback new "My old car"')
        names = ", ".join(repr(each.name) for each in shelved[:MOST_NAMED])
        raise BadInput(
            f"there are {len(shelved)} vehicles",
            mend=f"say which, as in: putback --vehicle NAME ...; they are {names}",
        )

    def _named(self, name: str) -> LogbookId:
        try:
            return self._stored.find(name)
        except NotFound as error:
            names = tuple(each.name for each in self._stored.logbooks()[:MOST_NAMED])
            raise NotFound("vehicle", name, error.nearest or names) from error

    @property
    def state(self) -> "State":
        """Where everything of that vehicle is now; places and people by the garage's names."""
        from putback.workshop.logbooks.garage import in_its_garage

        return in_its_garage(self.workshop, self.logbook)

    @property
    def situation(self) -> "Situation":
        """What the rules of open items look at."""
        from putback.workshop.logbooks.situation import situation_of

        return situation_of(self.workshop, self.logbook)


def session(context: typer.Context) -> Session:
    """Give the session of the command that runs."""
    found = context.find_object(Session)
    return found if found is not None else Session()


def _note_json(context: typer.Context, wanted: bool) -> bool:
    """Remember it, so that a mistake is told as JSON as well."""
    found = context.find_object(Session)
    if found is not None and wanted:
        found.as_json = True
    return wanted


AsJson = Annotated[
    bool, typer.Option("--json", callback=_note_json, help="Answer as JSON, for programs.")
]
