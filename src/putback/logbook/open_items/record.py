"""Parts of which nothing is recorded of what the description asks for before they come off."""

from collections.abc import Callable, Iterable, Iterator

from putback.logbook.entries.base import EntryId
from putback.logbook.open_items.item import entries_of
from putback.logbook.open_items.situation import Situation
from putback.vehicle.part import Part

Asks = Callable[[Situation, Part], bool]
"""Whether a record of the part is asked for and there is none."""


def unrecorded_off(situation: Situation, asks: Asks) -> tuple[Part, ...]:
    """Give parts that are off without their record; once back on, it is of no more use."""
    described = situation.state.vehicle.parts
    off = [described[each.part] for each in situation.off_parts if each.part in described]
    return tuple(part for part in off if asks(situation, part))


def unrecorded_free(
    situation: Situation, asks: Asks
) -> Iterator[tuple[Part, tuple[EntryId, ...]]]:
    """Give parts that come off next without their record, and what set them free."""
    for unit in situation.coming_off:
        if len(unit.parts) == 1 and not unit.ties:
            part = situation.state.vehicle.parts[unit.parts[0]]
            if asks(situation, part):
                yield part, situation.begun_by(unit)


def off_by(situation: Situation, parts: Iterable[Part]) -> tuple[EntryId, ...]:
    """Name the entries by which parts came off."""
    return entries_of(*(situation.part(part.id).off for part in parts))
