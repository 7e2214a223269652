"""A joint is in, but only by hand, nipped or part tightened; or was broken loose and left."""

from collections.abc import Iterable

from putback.logbook.entries.rebuilding import JointMade, Tightness
from putback.logbook.entries.working import JointUndone
from putback.logbook.open_items.item import Danger, OpenItem, entries_of
from putback.logbook.open_items.situation import Situation, joint_subject
from putback.logbook.state import JointState, Made
from putback.vehicle.joint import FinalWhen, Joint

_SLACK = frozenset({Tightness.FINGER_TIGHT, Tightness.NIPPED, Tightness.STAGED})


def rule(situation: Situation) -> Iterable[OpenItem]:
    """Find joints that were made again and not tightened, and critical ones that were cracked.

    Loose before tight is right while the other joints of the same parts are still to be made; a
    joint that waits for its final tightening is rightly nipped.
    """
    for joint, state in situation.made_again:
        waits = joint.final_when is not FinalWhen.AS_FITTED and state.tightness is Tightness.NIPPED
        if state.out == 0 and state.tightness in _SLACK and not waits:
            yield OpenItem(
                _danger(situation, joint),
                joint_subject(joint.id),
                f"{joint.name} is only {state.tightness}",
                entries_of(state.made),
                "tighten it",
                (JointMade,),
            )
    for joint in situation.state.vehicle.joints.values():
        state = situation.joint(joint.id)
        if joint.critical and _is_left_cracked(state):
            yield OpenItem(
                Danger.DANGER if situation.on_wheels else Danger.NOW,
                joint_subject(joint.id),
                f"{joint.name} was broken loose and is only nipped: do not move the vehicle",
                entries_of(state.cracked),
                "undo it, or tighten it again",
                (JointUndone, JointMade),
            )


def _is_left_cracked(state: JointState) -> bool:
    return state.stage is Made.CRACKED and state.made is None


def _danger(situation: Situation, joint: Joint) -> Danger:
    if joint.critical and situation.on_wheels:
        return Danger.DANGER
    others = {
        other
        for part in joint.parts
        for other in situation.state.vehicle.joints_of[part]
        if situation.joint(other).out or not situation.holds(other)
    }
    return Danger.LATER if others else Danger.NOW
