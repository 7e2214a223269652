"""A workshop in memory in which things happen line by line, as a person types them."""

import shlex
from dataclasses import dataclass, field

from putback.logbook.entries.base import Body, LogbookId
from putback.logbook.state import State
from putback.vehicle.vehicle import Vehicle
from putback.workshop.logbooks.garage import in_its_garage
from putback.workshop.logbooks.memory import MemoryEntryStore, MemoryPhotoStore
from putback.workshop.logbooks.workshop import Act, Workshop
from putback.workshop.saying.short_forms import read_line
from tests.makers import vehicle
from tests.stores import ANN, PHONE, Watch

CAR = LogbookId("car")


@dataclass
class Lines:
    """``lines("off lid tag=3CAH")`` logs it; ``lines.read(...)`` only reads."""

    about: Vehicle = field(default_factory=vehicle)
    watch: Watch = field(default_factory=Watch)

    def __post_init__(self) -> None:
        """Open the logbook."""
        self.workshop = Workshop(MemoryEntryStore(self.watch), MemoryPhotoStore(), self.watch)
        self.workshop.new_vehicle(self.about, who=ANN, device=PHONE, logbook=CAR)

    def read(self, line: str, *, new: bool = False) -> tuple[Body, ...]:
        """Read a line against the state as it is."""
        return read_line(shlex.split(line), self.state, new=new)

    def __call__(self, line: str, *, new: bool = False, who: str = ANN) -> Act:
        """Log a line, a minute later."""
        self.watch.put_on(minutes=1)
        return self.workshop.log(CAR, self.read(line, new=new), who=who, device=PHONE)

    @property
    def state(self) -> State:
        """The state as it is."""
        return in_its_garage(self.workshop, CAR)
