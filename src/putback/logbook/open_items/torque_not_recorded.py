"""A critical joint is tight, and no torque is recorded."""

from collections.abc import Iterable

from putback.logbook.entries.rebuilding import JointMade
from putback.logbook.open_items.item import Danger, OpenItem, entries_of
from putback.logbook.open_items.situation import Situation, joint_subject
from putback.logbook.open_items.tight import is_tight
from putback.vehicle.joint import Joint


def rule(situation: Situation) -> Iterable[OpenItem]:
    """Find critical joints that hold by a thread, made again without a torque."""
    for joint, state in situation.made_again:
        if joint.critical and _has_thread(joint) and is_tight(state) and state.torque_nm is None:
            figure = joint.tightening.torque_nm
            known = f" ({figure:g} N·m is described)" if figure is not None else ""
            yield OpenItem(
                Danger.NOW,
                joint_subject(joint.id),
                f"{joint.name} is {state.tightness}, and no torque is recorded{known}",
                entries_of(state.made),
                "put the torque wrench on it, and log the torque",
                (JointMade,),
            )


def _has_thread(joint: Joint) -> bool:
    return any(piece.spec.kind.is_threaded for each in joint.fixings for piece in each.stack)
