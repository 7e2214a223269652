"""A measurement that the description asks for was not taken."""

from collections.abc import Iterable

from putback.logbook.entries.working import Measured
from putback.logbook.open_items.item import Danger, OpenItem
from putback.logbook.open_items.record import off_by, unrecorded_free, unrecorded_off
from putback.logbook.open_items.situation import Situation, part_subject
from putback.logbook.open_items.wording import count, listed
from putback.vehicle.part import Part


def rule(situation: Situation) -> Iterable[OpenItem]:
    """Find parts that come off next without it; those that are off are one item: it is late."""
    for part, causes in unrecorded_free(situation, _is_asked):
        yield OpenItem(
            Danger.NOW,
            part_subject(part.id),
            f"{part.name} is free and not measured yet",
            causes,
            f"measure {listed(part.measures)} before it comes off",
            (Measured,),
        )
    off = unrecorded_off(situation, _is_asked)
    if off:
        names = listed(part.name for part in off)
        yield OpenItem(
            Danger.LATER,
            part_subject(off[0].id),
            f"{count(len(off), 'part')} came off unmeasured: {names}",
            off_by(situation, off),
            "measure what can still be measured",
            (Measured,),
        )


def _is_asked(situation: Situation, part: Part) -> bool:
    return bool(part.measures) and not bool(situation.part(part.id).common.readings)
