"""Ticking off ties on a walk-round: one gesture, and the entry that it means."""

from collections.abc import Iterable

from putback.errors import BadInput
from putback.logbook.entries.base import Body
from putback.logbook.entries.working import JointUndone, SeenFree
from putback.logbook.state import State
from putback.planning.ties import Ties
from putback.vehicle.ids import JointId, joint_ref


def ticked(state: State, found: Ties, joints: Iterable[JointId]) -> tuple[Body, ...]:
    """Say in entries that these ties are free, each once.

    What still held in the logbook is logged as undone; what was undone already was looked at,
    and is logged as seen free before this lift.

    Raises
    ------
    BadInput
        If a joint is no tie of the lift.
    """
    ties = {tie.joint: tie for tie in found.ties}
    bodies: list[Body] = []
    for joint in dict.fromkeys(joints):
        if joint not in ties and joint not in found.unknown:
            lift = ", ".join(map(state.name_of, found.lift))
            raise BadInput(
                f"{state.name_of(joint_ref(joint))!r} does not tie {lift}",
                mend="name joints of the walk-round; nothing was logged",
            )
        if joint not in ties or ties[joint].holds:
            bodies.append(JointUndone(joint=joint))
        else:
            bodies.append(SeenFree(joint=joint, before=found.lift[0]))
    return tuple(bodies)
