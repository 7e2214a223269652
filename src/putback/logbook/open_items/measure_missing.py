"""A measurement that the description asks for was not taken."""

from collections.abc import Iterable

from putback.logbook.entries.working import Measured
from putback.logbook.open_items.item import Danger, OpenItem
from putback.logbook.open_items.record import unrecorded
from putback.logbook.open_items.situation import Situation
from putback.logbook.open_items.wording import listed
from putback.vehicle.part import Part


def rule(situation: Situation) -> Iterable[OpenItem]:
    """Find parts that are off, or free to come off, and were not measured."""
    for part, subject, off, causes in unrecorded(situation, _is_asked):
        name = situation.name(subject)
        yield OpenItem(
            Danger.LATER if off else Danger.NOW,
            subject,
            f"{name} is off and was not measured" if off else f"{name} is free and not measured",
            causes,
            f"measure {listed(part.measures)}" + ("" if off else " before it comes off"),
            (Measured,),
        )


def _is_asked(situation: Situation, part: Part) -> bool:
    return bool(part.measures) and not bool(situation.part(part.id).common.readings)
