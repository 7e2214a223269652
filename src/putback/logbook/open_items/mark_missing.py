"""A mark that the description asks for was not made."""

from collections.abc import Iterable

from putback.logbook.entries.working import MarkMade
from putback.logbook.open_items.item import Danger, OpenItem
from putback.logbook.open_items.record import unrecorded
from putback.logbook.open_items.situation import Situation
from putback.logbook.open_items.wording import listed
from putback.vehicle.part import Part


def rule(situation: Situation) -> Iterable[OpenItem]:
    """Find parts that are off, or free to come off, and carry no mark."""
    for part, subject, off, causes in unrecorded(situation, _is_asked):
        wanted = listed(
            f"{mark.how} at {mark.where}{f': {mark.record}' if mark.record else ''}"
            for mark in part.marks
        )
        name = situation.name(subject)
        yield OpenItem(
            Danger.NOW,
            subject,
            f"{name} is off without its mark" if off else f"{name} is free and not marked yet",
            causes,
            f"mark it while the place is remembered ({wanted})" if off else f"mark it: {wanted}",
            (MarkMade,),
        )


def _is_asked(situation: Situation, part: Part) -> bool:
    return bool(part.marks) and not bool(situation.part(part.id).marks)
