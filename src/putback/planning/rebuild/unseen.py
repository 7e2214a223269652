"""Parts nobody has had in the hand since they were put away: lay hands on these first.

A part that is missed in the middle of a rebuild stops it; one that perished on its shelf does so
too. So there is one list before the rebuild, not a line at every step.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, date, datetime

from putback.logbook.came_off import parts_laid_away
from putback.logbook.entries.base import Subject
from putback.logbook.order import Key
from putback.logbook.state import State
from putback.planning.rebuild.waiting import is_renewed
from putback.vehicle.ids import PartId, part_ref
from putback.vehicle.part import PartKind
from putback.vehicle.vehicle import Vehicle

STORED_DAYS = 60
"""What was seen within this time needs no second look; a convention of this project [days]."""

WHAT_STORAGE_DOES: Mapping[PartKind, str] = {
    PartKind.HOSE: "flex it and look for cracks; brake hoses of unknown age are renewed",
    PartKind.PIPE: "look for rust and dents, blow it through",
    PartKind.CABLE: "pull it through its whole travel",
    PartKind.LOOM: "look for gnawed, brittle and green wires",
    PartKind.MACHINE: "turn it by hand before anything is bolted to it",
    PartKind.SPRING: "look for rust and cracks; it stores energy again once it is fitted",
    PartKind.TRIM: "look for damp, moth and mice",
    PartKind.PANEL: "look for rust under the wrapping",
    PartKind.GLASS: "look for chips at its edges",
    PartKind.WHEEL: "look at the tyre: age, flat spots, cracks",
}
"""What to look at when it comes out of store; common practice."""


@dataclass(frozen=True, slots=True)
class Unseen:
    """One part that goes back: when it was last in somebody's hand, and where it should be."""

    part: PartId
    last: date | None
    where: tuple[Subject, ...]
    """Its container, that one's container, and so on to a place; empty where nobody said."""
    look: str
    """What to look at when it comes out of store."""


def unseen(vehicle: Vehicle, state: State, today: date | None = None) -> tuple[Unseen, ...]:
    """Give the parts to lay hands on before the rebuild, place by place.

    Parameters
    ----------
    vehicle, state : Vehicle, State
        What there is, and what the logbook says of it.
    today : date, optional
        The day of planning; without it, what nobody has seen since the day it came off.
    """
    found = []
    laid_away = parts_laid_away(state)
    for part, seen in state.parts.items():
        off = seen.laid_away if part in laid_away else seen.off
        if off is None or seen.gone or seen.common.sent_out or is_renewed(seen):
            continue
        last = _day(max(off.key, seen.common.seen.key if seen.common.seen else off.key))
        came_off = _day(off.key)
        is_old = (today - last).days >= STORED_DAYS if today else last <= came_off
        if is_old:
            kind = vehicle.parts[part].kind if part in vehicle.parts else PartKind.PART
            where = state.chain_of(Subject(part_ref(part)))
            found.append(Unseen(part, last, where, WHAT_STORAGE_DOES.get(kind, "")))
    return tuple(sorted(found, key=lambda each: (tuple(reversed(each.where)), each.part)))


def _day(key: Key) -> date:
    """The day on which something happened, in UTC."""
    return datetime.fromtimestamp(key[-1][0] / 1000, UTC).date()
