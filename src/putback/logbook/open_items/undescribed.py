"""Something was logged that nobody described yet: a bag, a zone and a photo, to be named later."""

from collections.abc import Iterable, Iterator
from dataclasses import fields, is_dataclass
from typing import Any

from putback.logbook.common import Said
from putback.logbook.entries.base import EntryId, Subject
from putback.logbook.entries.describing import Described
from putback.logbook.open_items.item import Danger, OpenItem
from putback.logbook.open_items.situation import Situation
from putback.logbook.state import State
from putback.vehicle.ids import FluidId, JobId, JointId, OpeningId, PartId


def rule(situation: Situation) -> Iterable[OpenItem]:
    """Find what the logbook speaks of and the description does not."""
    for subject in sorted(situation.state.undescribed):
        kind, _, identity = subject.partition(":")
        yield OpenItem(
            Danger.LATER,
            subject,
            f"{kind} {identity} is logged and not described yet",
            tuple(dict.fromkeys(_told(situation.state, subject))),
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


def _told(state: State, subject: Subject) -> Iterator[EntryId]:
    """Name every entry that made its record so, as far as the state keeps who said it."""
    record = _record(state, subject)
    yield from _said(record)
    yield from record.common.notes
    yield from (each.entry for each in state.movements.get(subject, ()) if each.entry)


def _said(record: Any) -> Iterator[EntryId]:
    """Name the entries in a record, and in the records inside it."""
    for each in fields(record):
        for value in _members(getattr(record, each.name)):
            if isinstance(value, Said):
                yield value.entry
            elif is_dataclass(value):
                yield from _said(value)


def _members(value: Any) -> tuple[Any, ...]:
    return value if isinstance(value, tuple) else (value,)
