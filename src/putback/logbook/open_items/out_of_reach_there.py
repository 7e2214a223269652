"""What is half done, waits or can be reached now will be out of reach in the next standing."""

from collections.abc import Iterable

from putback.logbook.entries.rebuilding import JointMade
from putback.logbook.entries.working import JointUndone
from putback.logbook.open_items.item import Danger, OpenItem, entries_of
from putback.logbook.open_items.situation import Situation, joint_subject, standing_subject
from putback.logbook.open_items.tight import is_final
from putback.logbook.open_items.wording import count, listed
from putback.vehicle.joint import FinalWhen, Joint
from putback.vehicle.standing import Standing

_ON_WHEELS = frozenset({FinalWhen.LADEN, FinalWhen.ON_WHEELS})


def rule(situation: Situation, standing: Standing) -> Iterable[OpenItem]:
    """Find joints that can be worked on now and not there: each that is begun, the rest in one."""
    now = situation.state.standing
    if now.standing is None or standing.id == now.standing:
        return
    leaves_wheels = situation.on_wheels and not situation.stands_on_wheels(standing)
    untouched: list[Joint] = []
    for joint in situation.state.vehicle.joints.values():
        state = situation.joint(joint.id)
        here = now.standing in joint.standings and standing.id not in joint.standings
        made = state.made is not None and state.times_made > 0
        half = situation.is_begun(joint.id) or (made and not is_final(joint, state))
        waits = made and not is_final(joint, state) and joint.final_when in _ON_WHEELS
        if (here and half) or (leaves_wheels and waits):
            why = "waits to be tightened on the wheels" if waits else "is left half done"
            yield OpenItem(
                Danger.NOW,
                joint_subject(joint.id),
                f"{joint.name} {why} and cannot be reached {standing.name}",
                entries_of(state.made, state.counted, state.cracked),
                "finish it before the change",
                (JointMade, JointUndone),
            )
        elif here and situation.holds(joint.id) and not made:
            untouched.append(joint)
    if untouched:
        yield OpenItem(
            Danger.LATER,
            standing_subject(standing.id),
            f"{count(len(untouched), 'joint')} can be reached now and not {standing.name}:"
            f" {listed(joint.name for joint in untouched)}",
            entries_of(now.said),
            "undo what has to come off before the change",
            (JointUndone,),
        )
