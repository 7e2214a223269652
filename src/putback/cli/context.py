"""What every command shares: where the store is, which vehicle is meant, who speaks."""

from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from putback.cli.wire import open_store, this_device, this_person
from putback.errors import BadInput
from putback.logbook.entries.base import DeviceId, LogbookId, PersonId

if TYPE_CHECKING:
    from putback.cli.wire import Opened
    from putback.logbook.state import State
    from putback.workshop.workshop import Workshop

VEHICLE = "PUTBACK_VEHICLE"

AsJson = Annotated[bool, typer.Option("--json", help="Answer as JSON, for programs.")]


@dataclass
class Session:
    """One run of the command line; the store is opened when it is first needed."""

    home: Path | None = None
    vehicle: str | None = None
    who: str | None = None

    @cached_property
    def store(self) -> "Opened":
        """The open store."""
        return open_store(self.home)

    @cached_property
    def workshop(self) -> "Workshop":
        """The workshop over the store."""
        from putback.workshop.workshop import Workshop

        return Workshop(self.store.entries, self.store.photos)

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
        """The logbook of the vehicle that is meant: the one named, or the only one."""
        if self.vehicle:
            return self.workshop.find(self.vehicle)
        shelved = self.workshop.logbooks()
        if len(shelved) == 1:
            return shelved[0].id
        if not shelved:
            raise BadInput("there is no vehicle yet", mend='begin with: putback new "My old car"')
        names = ", ".join(repr(each.name) for each in shelved[:6])
        raise BadInput(
            f"there are {len(shelved)} vehicles",
            mend=f"say which with --vehicle: {names}",
        )

    @property
    def state(self) -> "State":
        """Where everything of that vehicle is now."""
        return self.workshop.state(self.logbook)


def session(context: typer.Context) -> Session:
    """Give the session of the command that runs."""
    found = context.find_object(Session)
    return found if found is not None else Session()
