"""What is known of one thing: its state as plain values, where it is, what was logged of it."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from pydantic import TypeAdapter

from putback.errors import NotFound
from putback.logbook.entries.base import EntryId, LogbookId, Subject
from putback.logbook.state import State
from putback.vehicle.ids import Ref
from putback.workshop.logbooks.garage import in_its_garage
from putback.workshop.logbooks.sayers import sayers_of
from putback.workshop.logbooks.workshop import Workshop

STANDING = "standing"


@dataclass(frozen=True, slots=True)
class Thing:
    """One thing of a vehicle, for programs."""

    subject: Subject
    name: str
    state: Mapping[str, Any]
    """What was logged of it comes to; empty where nothing was."""
    where: tuple[str, ...]
    """The bags, boxes and the place it is in, the innermost first."""


@dataclass(frozen=True, slots=True)
class Said:
    """One entry on a thing."""

    entry: EntryId
    happened_at: str
    who: str
    is_claimed: bool
    """It came from elsewhere: who it was is what that says."""
    kind: str
    sentence: str


def thing(workshop: Workshop, logbook: LogbookId, subject: str) -> Thing:
    """Tell the state of one thing: ``part:radiator``, ``tag:3CAH``, ``standing``.

    Raises
    ------
    NotFound
        If nobody described it or spoke of it.
    """
    state = in_its_garage(workshop, logbook)
    record = _record(state, subject)
    if record is None and not _is_described(state, subject):
        raise NotFound("thing", subject)
    return Thing(
        Subject(subject),
        state.name_of(subject),
        TypeAdapter(type(record)).dump_python(record, mode="json") if record is not None else {},
        tuple(state.name_of(each) for each in state.chain_of(Subject(subject))),
    )


def history_of(workshop: Workshop, logbook: LogbookId, subject: str) -> tuple[Said, ...]:
    """Tell what was logged of one thing, in the order of the logbook."""
    state, sayers = in_its_garage(workshop, logbook), sayers_of(workshop, logbook)
    return tuple(
        Said(
            each.id,
            each.happened_at,
            sayers.name(each.id, each.who),
            sayers.is_claimed(each.id),
            each.kind,
            each.body.sentence(state.name_of),
        )
        for each in workshop.history(logbook, Subject(subject))
    )


def _record(state: State, subject: str) -> object | None:
    if subject == STANDING:
        return state.standing
    kind, _, identity = subject.partition(":")
    tables: dict[str, Mapping[Any, object]] = {
        "part": state.parts,
        "joint": state.joints,
        "opening": state.openings,
        "tag": state.containers,
        "fluid": state.fluids,
        "fit": state.fits,
        "job": state.jobs,
        "hold": state.holds,
    }
    return tables[kind].get(identity) if kind in tables else None


def _is_described(state: State, subject: str) -> bool:
    kind, _, identity = subject.partition(":")
    described: dict[str, Mapping[Any, object]] = {
        "part": state.vehicle.parts,
        "joint": state.vehicle.joints,
        "opening": state.vehicle.openings,
        "fluid": state.vehicle.fluids,
        "job": state.vehicle.jobs,
        "assembly": state.vehicle.assemblies,
    }
    return identity in described.get(kind, {}) or Subject(Ref(subject)) in state.others
