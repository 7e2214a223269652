"""A part is off though something that is said to be in its way is on."""

from collections.abc import Iterable

from putback.logbook.entries.describing import Described
from putback.logbook.entries.rebuilding import PartOn
from putback.logbook.entries.working import PartOff
from putback.logbook.open_items.item import Danger, OpenItem, entries_of
from putback.logbook.open_items.situation import Situation, part_subject
from putback.logbook.open_items.wording import listed
from putback.vehicle.ids import part_ref


def rule(situation: Situation) -> Iterable[OpenItem]:
    """Find parts that are off while all that one of them must clear is on.

    If what is in the way is back on, the part was forgotten: it cannot go back now. Else either
    the description or the log is wrong, and both are kept.
    """
    for part in situation.off_parts:
        subject = part_subject(part.part)
        for fact in situation.state.vehicle.obstructions_of.get(part_ref(part.part), ()):
            if any(situation.is_off(each) for each in fact.any_of) or not fact.any_of:
                continue
            blocking = [situation.part(each) for each in fact.any_of]
            forgotten = all(each.on for each in blocking)
            names = listed(situation.name(f"part:{each}") for each in fact.any_of)
            yield OpenItem(
                Danger.NOW if forgotten else Danger.LATER,
                subject,
                f"{situation.name(subject)} is still off, and {names} in its way is back on"
                if forgotten
                else f"{situation.name(subject)} came off though {names} is said to be in its way",
                entries_of(part.off, *(each.on for each in blocking)),
                f"take {names} off again to put it back"
                if forgotten
                else f"say that {names} is off, or mend the description",
                (PartOff, PartOn) if forgotten else (PartOff, Described),
            )
