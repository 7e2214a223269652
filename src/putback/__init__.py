"""Putback: log the strip of an old vehicle as you go, and the rebuild is planned for you.

The names here are the library's face; ``docs/library.md`` shows them at work. Each is loaded when
it is first used, so that ``import putback`` is quick and brings in neither the database nor the
solver.
"""

from importlib import import_module
from typing import TYPE_CHECKING

from putback.version import __version__ as __version__

if TYPE_CHECKING:
    from putback.errors import ImpossibleGoal as ImpossibleGoal
    from putback.errors import InputError as InputError
    from putback.errors import PutbackError as PutbackError
    from putback.face import Garage as Garage
    from putback.face import VehicleLog as VehicleLog
    from putback.face import garage_in_memory as garage_in_memory
    from putback.face import open_bundle as open_bundle
    from putback.face import open_garage as open_garage
    from putback.face.bench import work_out as work_out
    from putback.logbook.entries.describing import Described as Described
    from putback.logbook.entries.judging import CameBack as CameBack
    from putback.logbook.entries.judging import Decided as Decided
    from putback.logbook.entries.judging import SentOut as SentOut
    from putback.logbook.entries.keeping import ContainerMade as ContainerMade
    from putback.logbook.entries.keeping import Counted as Counted
    from putback.logbook.entries.keeping import Moved as Moved
    from putback.logbook.entries.keeping import Pieces as Pieces
    from putback.logbook.entries.keeping import PutIn as PutIn
    from putback.logbook.entries.rebuilding import Checked as Checked
    from putback.logbook.entries.rebuilding import JointMade as JointMade
    from putback.logbook.entries.rebuilding import PartOn as PartOn
    from putback.logbook.entries.rebuilding import Tightness as Tightness
    from putback.logbook.entries.working import Found as Found
    from putback.logbook.entries.working import JointUndone as JointUndone
    from putback.logbook.entries.working import MarkMade as MarkMade
    from putback.logbook.entries.working import NoteMade as NoteMade
    from putback.logbook.entries.working import OpeningClosed as OpeningClosed
    from putback.logbook.entries.working import PartOff as PartOff
    from putback.logbook.hardware_check import HardwareCheck as HardwareCheck
    from putback.logbook.open_items.item import OpenItem as OpenItem
    from putback.logbook.state import State as State
    from putback.logbook.tags import Tag as Tag
    from putback.planning.plan import Plan as Plan
    from putback.planning.reach import Reach as Reach
    from putback.vehicle.demo import demo_vehicle as demo_vehicle
    from putback.vehicle.vehicle import Vehicle as Vehicle
    from putback.workshop.logbooks.workshop import Act as Act
    from putback.workshop.plans.wishes import Wishes as Wishes

_HOMES = {
    "putback.errors": ("ImpossibleGoal", "InputError", "PutbackError"),
    "putback.face": ("Garage", "VehicleLog", "garage_in_memory", "open_bundle", "open_garage"),
    "putback.face.bench": ("work_out",),
    "putback.logbook.entries.describing": ("Described",),
    "putback.logbook.entries.judging": ("CameBack", "Decided", "SentOut"),
    "putback.logbook.entries.keeping": ("ContainerMade", "Counted", "Moved", "Pieces", "PutIn"),
    "putback.logbook.entries.rebuilding": ("Checked", "JointMade", "PartOn", "Tightness"),
    "putback.logbook.entries.working": (
        "Found",
        "JointUndone",
        "MarkMade",
        "NoteMade",
        "OpeningClosed",
        "PartOff",
    ),
    "putback.logbook.hardware_check": ("HardwareCheck",),
    "putback.logbook.open_items.item": ("OpenItem",),
    "putback.logbook.state": ("State",),
    "putback.logbook.tags": ("Tag",),
    "putback.planning.plan": ("Plan",),
    "putback.planning.reach": ("Reach",),
    "putback.vehicle.demo": ("demo_vehicle",),
    "putback.vehicle.vehicle": ("Vehicle",),
    "putback.workshop.logbooks.workshop": ("Act",),
    "putback.workshop.plans.wishes": ("Wishes",),
}
"""Where each public name lives: what the type checker reads above, for the running program."""

_HOME_OF = {name: home for home, names in _HOMES.items() for name in names}
__all__ = sorted(_HOME_OF)


if not TYPE_CHECKING:  # else a misspelt name would pass the type checker

    def __getattr__(name: str) -> object:
        """Load a public name when it is first used."""
        if name not in _HOME_OF:
            raise AttributeError(f"module 'putback' has no attribute {name!r}")
        found = globals()[name] = getattr(import_module(_HOME_OF[name]), name)
        return found

    def __dir__() -> list[str]:
        """List what is loaded and what can be."""
        return sorted({*globals(), *__all__})
