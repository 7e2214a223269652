"""Parts of which nothing is recorded of what the description asks for before they come off."""

from collections.abc import Callable, Iterator

from putback.logbook.entries.base import EntryId, Subject
from putback.logbook.open_items.item import entries_of
from putback.logbook.open_items.situation import Situation, part_subject
from putback.vehicle.part import Part

Unrecorded = tuple[Part, Subject, bool, tuple[EntryId, ...]]
"""The part, the same as a subject, whether it is off already, and the entries that made it so."""


def unrecorded(
    situation: Situation, is_asked: Callable[[Situation, Part], bool]
) -> Iterator[Unrecorded]:
    """Give parts of which a record is still asked: those that are off, and those free to go.

    Once a part is back on, the record is of no more use.
    """
    for part in situation.state.vehicle.parts.values():
        state = situation.part(part.id)
        if state.is_off and not state.gone and is_asked(situation, part):
            yield part, part_subject(part.id), True, entries_of(state.off)
    for unit in situation.coming_off:
        if len(unit.parts) == 1 and not unit.ties:
            part = situation.state.vehicle.parts[unit.parts[0]]
            if is_asked(situation, part):
                yield part, part_subject(part.id), False, situation.begun_by(unit)
