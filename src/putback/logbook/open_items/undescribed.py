"""Something was logged that nobody described yet: a bag, a zone and a photo, to be named later."""

from collections.abc import Iterable, Iterator
from dataclasses import fields
from typing import Any

from putback.logbook.entries.base import EntryId, Subject
from putback.logbook.entries.describing import Described
from putback.logbook.open_items.item import Danger, OpenItem
from putback.logbook.open_items.situation import Situation
from putback.logbook.state import Said, State
from putback.vehicle.ids import FluidId, JobId, JointId, OpeningId, PartId


def rule(situation: Situation) -> Iterable[OpenItem]:
    """Find what the logbook speaks of and the description does not."""
    for subject in sorted(situation.state.undescribed):
        kind, _, identity = subject.partition(":")
        yield OpenItem(
            Danger.LATER,
            subject,
            f"{kind} {identity} is logged and not described yet",
            tuple(dict.fromkeys(_told(_record(situation.state, subject)))),
            "say what it is, whenever there is time",
            (Described,),
        )


def _record(state: State, subject: Subject) -> Any:
    kind, _, identity = subject.partition(":")
    match kind:
        case "part":
            return state.parts[PartId(identity)]
        case "joint":
            return state.joints[JointId(identity)]
        case "opening":
            return state.openings[OpeningId(identity)]
        case "fluid":
            return state.fluids[FluidId(identity)]
        case _:
            return state.jobs[JobId(identity)]


def _told(record: Any) -> Iterator[EntryId]:
    """Name every entry that the record, or a record inside it, was made by."""
    for each in fields(record):
        for value in _members(getattr(record, each.name)):
            if isinstance(value, Said):
                yield value.entry
            elif hasattr(value, "__dataclass_fields__"):
                yield from _told(value)
    common = getattr(record, "common", None)
    if common is not None:
        yield from common.notes


def _members(value: Any) -> tuple[Any, ...]:
    return value if isinstance(value, tuple) else (value,)
