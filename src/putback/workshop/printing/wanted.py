"""What somebody wants printed, and how: the options of every document in one record."""

from dataclasses import dataclass

from putback.logbook.entries.base import DeviceId, LogbookId
from putback.logbook.state import State
from putback.paper.stock import AS_IT_IS, Calibration, Stock
from putback.workshop.logbooks.garage import in_its_garage
from putback.workshop.logbooks.workshop import Workshop


@dataclass(frozen=True, slots=True)
class Wanted:
    """One document of one vehicle; each document reads those options that concern it."""

    workshop: Workshop
    logbook: LogbookId
    device: DeviceId
    """For which tags are reserved, if any are."""
    stock: Stock | None = None
    """What tags are printed on; what is usual for the document where nobody said."""
    at: Calibration = AS_IT_IS
    tags: tuple[str, ...] = ()
    """Print only these."""
    blank: int = 0
    """So many blank ones instead [tags]."""

    def state(self) -> State:
        """The state as a person here sees it."""
        return in_its_garage(self.workshop, self.logbook)
