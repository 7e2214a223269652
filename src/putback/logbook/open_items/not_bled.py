"""A hydraulic circuit was filled, or a union of it made again, and it is not bled since."""

from collections.abc import Iterable

from putback.logbook.entries.base import Subject
from putback.logbook.entries.rebuilding import Bled
from putback.logbook.fluids import air_in
from putback.logbook.open_items.item import Danger, OpenItem, entries_of
from putback.logbook.open_items.situation import Situation, joint_subject
from putback.vehicle.circuit import bled_fluids, circuit_joints
from putback.vehicle.ids import FluidId


def rule(situation: Situation) -> Iterable[OpenItem]:
    """Find fluids that a job of the vehicle bleeds, with air in them since they were bled.

    Of a circuit that is still open somewhere nothing is lost by waiting: it is bled when it is
    closed. On its wheels somebody may move it all the same.
    """
    vehicle, state = situation.state.vehicle, situation.state
    for identity in sorted(bled_fluids(vehicle)):
        air = air_in(vehicle, state, identity)
        if air is None:
            continue
        subject = Subject(f"fluid:{identity}")
        fluid = situation.name(subject)
        if air.filled is not None:
            words = f"{fluid} is filled and the circuit is not bled"
        else:
            last = max(air.closed, key=lambda joint: air.closed[joint].key)
            union = situation.name(joint_subject(last))
            words = f"the circuit of {fluid} was open at {union} and is not bled since"
        ready = air.filled is not None or _is_closed(situation, identity)
        yield OpenItem(
            Danger.DANGER if situation.on_wheels else Danger.NOW if ready else Danger.LATER,
            subject,
            words,
            entries_of(*([air.filled] if air.filled is not None else air.closed.values())),
            "bleed it; do not trust the pedal before",
            (Bled,),
        )


def _is_closed(situation: Situation, fluid: FluidId) -> bool:
    return all(
        situation.holds(joint) and not situation.joint(joint).out
        for joint in circuit_joints(situation.state.vehicle, fluid)
    )
