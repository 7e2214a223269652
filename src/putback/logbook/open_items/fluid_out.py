"""A fluid was drained and is not in again, though the rebuild has begun."""

from collections.abc import Iterable

from putback.logbook.entries.base import Subject
from putback.logbook.entries.rebuilding import Filled
from putback.logbook.fluids import fluid_of
from putback.logbook.open_items.item import Danger, OpenItem, entries_of
from putback.logbook.open_items.situation import Situation
from putback.vehicle.circuit import circuit_joints
from putback.vehicle.ids import joint_ref, part_ref
from putback.vehicle.opening import Fluid
from putback.vehicle.usual_cautions import is_of_brakes, opens_brakes


def rule(situation: Situation) -> Iterable[OpenItem]:
    """Find fluids that are out; pressing once nothing keeps them from being filled."""
    if not situation.rebuild_begun:
        return
    state = situation.state
    for identity in sorted({*state.fluids, *state.vehicle.fluids}):
        fluid = fluid_of(state.vehicle, state, identity)
        if not fluid.is_out:
            continue
        described = state.vehicle.fluids.get(identity)
        ready = described is not None and _can_be_filled(situation, described)
        subject = Subject(f"fluid:{identity}")
        yield OpenItem(
            Danger.NOW if ready else Danger.LATER,
            subject,
            f"{situation.name(subject)} is drained"
            + (", and all is together to fill it" if ready else " and must be filled again"),
            entries_of(fluid.drained),
            "fill it before anything turns",
            (Filled,),
        )


def _can_be_filled(situation: Situation, fluid: Fluid) -> bool:
    """Whether all that keeps it in is together: all there is, where nobody said what does."""
    state = situation.state
    if fluid.part not in state.vehicle.parts:
        return not state.parts_off and not any(each.out for each in state.joints.values())
    joints = circuit_joints(state.vehicle, fluid.id)
    if is_of_brakes(fluid) and not joints:
        apart = [*map(part_ref, state.parts_off)]
        apart += [joint_ref(joint) for joint, each in state.joints.items() if each.out]
        if any(opens_brakes(situation.name(each)) for each in apart):
            return False
    parts = (fluid.part, *fluid.leaks_if_off)
    return all(situation.holds(joint) and not situation.joint(joint).out for joint in joints) and (
        not any(situation.is_off(part) for part in parts)
    )
