"""In which order a vehicle came apart: turned round, the one order proven to put it together."""

from collections.abc import Iterator

from putback.logbook.order import Key
from putback.logbook.state import State
from putback.vehicle.ids import PartId, Ref, joint_ref, part_ref
from putback.vehicle.part import PartKind

LOOK_FIRST = "look first: it was laid away, and nobody logged that it came off"
"""What to say of a part that the logbook has in two places, wherever it is worked on."""


def parts_aside(state: State) -> frozenset[PartId]:
    """Parts hung aside of which no joint is described: that alone tells that they go back."""
    joints_of = state.vehicle.joints_of
    return frozenset(
        part
        for part, each in state.parts.items()
        if each.hung is not None and not each.is_off and not joints_of.get(part)
    )


def parts_laid_away(state: State) -> frozenset[PartId]:
    """Parts put away or sent out though nobody logged them off: as likely off as on.

    What all else comes off goes from place to place as the vehicle itself.
    """
    vehicle = state.vehicle
    bare = {goal.datum for goal in vehicle.goals.values()} or {
        part for part, each in vehicle.parts.items() if each.kind is PartKind.STRUCTURE
    }
    return frozenset(
        part
        for part, each in state.parts.items()
        if each.laid_away is not None and not each.gone and part not in bare
    )


def came_off(state: State) -> tuple[Ref, ...]:
    """Joints undone and parts off, in the order in which that happened.

    With them parts hung aside, where no joint of them is described, and those laid away of which
    nobody logged that they came off.
    """
    return tuple(ref for _, ref in sorted(_keyed(state)))


def _keyed(state: State) -> Iterator[tuple[Key, Ref]]:
    aside, laid_away = parts_aside(state), parts_laid_away(state)
    for joint, seen in state.joints.items():
        if seen.undone is not None and seen.out:
            yield seen.undone.key, joint_ref(joint)
    for part, each in state.parts.items():
        told = each.off
        if told is None and part in laid_away:
            told = each.laid_away
        if told is None and part in aside:
            told = each.hung
        if told is not None:
            yield told.key, part_ref(part)
