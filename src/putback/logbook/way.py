"""Which way the work goes, as somebody chose it."""

from dataclasses import dataclass

from putback.logbook.common import Said
from putback.logbook.entries.judging import WayRound
from putback.vehicle.ids import GoalId


@dataclass(frozen=True, slots=True)
class WayState:
    """Which way the work goes, as somebody last chose; ``None`` until somebody did."""

    way: WayRound | None = None
    goal: GoalId | None = None
    """Of a strip; ``None`` is the next that is not reached."""
    said: Said | None = None
