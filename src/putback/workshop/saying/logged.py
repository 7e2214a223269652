"""What came of an act: what it says, in words, and what it left open."""

from dataclasses import dataclass
from datetime import datetime, timedelta

from putback.logbook.entries.base import ActId, DeviceId, LogbookId
from putback.logbook.entries.working import TakenInHand
from putback.logbook.open_items import OpenItem
from putback.logbook.state import State
from putback.workshop.logbooks.garage import in_its_garage
from putback.workshop.logbooks.open_now import open_now
from putback.workshop.logbooks.ports import GARAGE
from putback.workshop.logbooks.workshop import Act, Workshop
from putback.workshop.saying.whereabouts import cautions_of

A_MOMENT = timedelta(minutes=1)
"""So long an act counts as written just now."""


@dataclass(frozen=True, slots=True)
class Logged:
    """An act that was written."""

    act: Act
    sentences: tuple[str, ...]
    """One an entry, without who and when."""
    cautions: tuple[str, ...]
    """Of a job that was taken in hand by it."""


def tell_of(workshop: Workshop, logbook: LogbookId, before: State, act: Act) -> Logged:
    """Tell what came of an act.

    Names are those of the moment ``before``; what was described only now has none but its new one.
    """
    state = workshop.state(logbook) if logbook == GARAGE else in_its_garage(workshop, logbook)
    begun = [entry.body.what for entry in act.entries if isinstance(entry.body, TakenInHand)]

    def name(subject: str) -> str:
        was = before.name_of(subject)
        return was if was != subject.partition(":")[2] else state.name_of(subject)

    return Logged(
        act=act,
        sentences=tuple(entry.body.sentence(name) for entry in act.entries),
        cautions=tuple(each for what in begun for each in cautions_of(state.vehicle, what, state)),
    )


def left_open(workshop: Workshop, logbook: LogbookId, act: Act) -> tuple[OpenItem, ...]:
    """Tell what an act left open, dangers first; what vehicles share leaves nothing open.

    It takes longer than the logging itself, so that whoever logs many acts at once does without.
    """
    if logbook == GARAGE:
        return ()
    written = {entry.id for entry in act.entries}
    return tuple(each for each in open_now(workshop, logbook) if written & set(each.causes))


@dataclass(frozen=True, slots=True)
class Retold:
    """An act that a form led to, to be told once more."""

    act: ActId
    sentences: tuple[str, ...]
    before: str
    """When it was written, where that is more than a minute ago: the form was sent once more."""


def told_again(
    workshop: Workshop, logbook: LogbookId, act: ActId, device: DeviceId
) -> Retold | None:
    """Tell of an act of this device again, as long as it stands; else ``None``."""
    state = in_its_garage(workshop, logbook)
    entries = [
        entry
        for entry in workshop.standing(logbook)
        if entry.act == act and entry.device == device
    ]
    if not entries:
        return None
    logged_at = entries[0].logged_at
    is_new = workshop.clock.now() - datetime.fromisoformat(logged_at) < A_MOMENT
    sentences = tuple(entry.body.sentence(state.name_of) for entry in entries)
    return Retold(act, sentences, "" if is_new else logged_at)
