"""What is put off goes back as late as it can, with all that must come after it, and says so."""

from collections.abc import Collection, Iterator, Sequence
from dataclasses import replace

from putback.logbook.entries.base import Subject
from putback.logbook.moments import day_words
from putback.logbook.state import State
from putback.planning.known import things_of
from putback.planning.plan import Step
from putback.planning.rebuild.work import Node, Work
from putback.vehicle.ids import Ref
from putback.vehicle.vehicle import Vehicle


def put_off_nodes(work: Work, put_off: Collection[Ref]) -> Iterator[Node]:
    """Give the steps to be that deal with what is put off."""
    for node in work.nodes:
        if any(what in put_off for what in things_of(work.vehicle, node.what)):
            yield node


def saying_so(
    vehicle: Vehicle, state: State, steps: Sequence[Step], put_off: Collection[Ref]
) -> tuple[Step, ...]:
    """Note on every step that deals with what is put off why that is, and until when."""
    return tuple(
        replace(
            step,
            notes=(*step.notes, *put_off_words(state, things_of(vehicle, step.what), put_off)),
        )
        for step in steps
    )


def put_off_words(
    state: State, things: Collection[Ref], put_off: Collection[Ref]
) -> Iterator[str]:
    """Say of each thing that is put off until when, and why."""
    for what in things:
        if what in put_off:
            said = state.put_off[Subject(what)]
            until = f" until {day_words(said.until)}" if said.until else ""
            yield f"put off{until}, {said.why}{f': {said.note}' if said.note else ''}"
