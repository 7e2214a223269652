"""In which order a vehicle came apart: turned round, the one order proven to put it together."""

from collections.abc import Iterator

from putback.logbook.order import Key
from putback.logbook.state import State
from putback.vehicle.ids import PartId, Ref, joint_ref, part_ref


def parts_aside(state: State) -> frozenset[PartId]:
    """Parts hung aside of which no joint is described: that alone tells that they go back."""
    joints_of = state.vehicle.joints_of
    return frozenset(
        part
        for part, each in state.parts.items()
        if each.hung is not None and not each.is_off and not joints_of.get(part)
    )


def came_off(state: State) -> tuple[Ref, ...]:
    """Joints undone and parts off, in the order in which that happened.

    With them parts hung aside, where no joint of them is described.
    """
    return tuple(ref for _, ref in sorted(_keyed(state)))


def _keyed(state: State) -> Iterator[tuple[Key, Ref]]:
    aside = parts_aside(state)
    for joint, seen in state.joints.items():
        if seen.undone is not None and seen.out:
            yield seen.undone.key, joint_ref(joint)
    for part, each in state.parts.items():
        told = each.off or (each.hung if part in aside else None)
        if told is not None:
            yield told.key, part_ref(part)
