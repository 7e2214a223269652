"""A mark that the description asks for was not made."""

from collections.abc import Iterable

from putback.logbook.entries.working import MarkMade
from putback.logbook.open_items.item import Danger, OpenItem
from putback.logbook.open_items.record import off_by, unrecorded_free, unrecorded_off
from putback.logbook.open_items.situation import Situation, part_subject
from putback.logbook.open_items.wording import listed
from putback.vehicle.part import Part


def rule(situation: Situation) -> Iterable[OpenItem]:
    """Find parts that are off, or free to come off, and carry no mark."""
    for part in unrecorded_off(situation, _is_asked):
        yield OpenItem(
            Danger.NOW,
            part_subject(part.id),
            f"{part.name} is off without its mark",
            off_by(situation, (part,)),
            f"mark it while the place is remembered ({_wanted(part)})",
            (MarkMade,),
        )
    for part, causes in unrecorded_free(situation, _is_asked):
        yield OpenItem(
            Danger.NOW,
            part_subject(part.id),
            f"{part.name} is free and not marked yet",
            causes,
            f"mark it: {_wanted(part)}",
            (MarkMade,),
        )


def _wanted(part: Part) -> str:
    return listed(
        f"{mark.how} at {mark.where}{f': {mark.record}' if mark.record else ''}"
        for mark in part.marks
    )


def _is_asked(situation: Situation, part: Part) -> bool:
    return bool(part.marks) and not bool(situation.part(part.id).marks)
