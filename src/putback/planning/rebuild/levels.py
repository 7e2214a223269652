"""What may have run out though nobody said so: its level is looked at before anything runs."""

from collections.abc import Iterator

from putback.logbook.fluids import closed_again, fluid_of
from putback.logbook.order import Key
from putback.logbook.state import State
from putback.vehicle.circuit import bled_fluids, circuit_joints
from putback.vehicle.ids import FluidId, Ref, joint_ref, part_ref
from putback.vehicle.vehicle import Vehicle


def levels_to_look_at(vehicle: Vehicle, state: State) -> Iterator[str]:
    """Name fluids that nobody drained or filled since their circuit was open.

    What was drained is filled by the plan, and what is bled is bled.
    """
    for fluid in vehicle.fluids.values():
        seen = fluid_of(vehicle, state, fluid.id)
        opened = max(_opened(vehicle, state, fluid.id), default=None)
        if seen.is_out or opened is None or fluid.id in bled_fluids(vehicle):
            continue
        if seen.filled is None or seen.filled.key < opened[0]:
            name = state.name_of(opened[1])
            verb = "off" if opened[1].startswith("part:") else "undone"
            yield (
                f"nobody said that {fluid.name} was drained or filled since the {name} was {verb}:"
                " look at its level first"
            )


def _opened(vehicle: Vehicle, state: State, fluid: FluidId) -> Iterator[tuple[Key, Ref]]:
    """When what holds it in was undone or taken off, or made again since."""
    for joint in circuit_joints(vehicle, fluid):
        cell = state.joints.get(joint)
        said = (cell.undone if cell else None) or closed_again(vehicle, state, joint)
        if said is not None:
            yield said.key, joint_ref(joint)
    for part in vehicle.fluids[fluid].leaks_if_off:
        seen = state.parts.get(part)
        if seen is not None and (said := seen.off or seen.on) is not None:
            yield said.key, part_ref(part)
