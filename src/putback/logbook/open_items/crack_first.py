"""A joint is to be broken loose in the present standing, before the one about to be entered."""

from collections.abc import Iterable

from putback.logbook.entries.working import JointCracked, JointUndone
from putback.logbook.open_items.item import Danger, OpenItem, entries_of
from putback.logbook.open_items.situation import Situation, joint_subject
from putback.logbook.state import Made
from putback.vehicle.standing import Standing


def rule(situation: Situation, standing: Standing) -> Iterable[OpenItem]:
    """Find untouched joints that are cracked where the vehicle stands now."""
    now = situation.state.standing
    if now.standing is None or standing.id == now.standing or situation.rebuild_begun:
        return
    for joint in situation.state.vehicle.joints.values():
        untouched = situation.joint(joint.id).stage is Made.AS_FOUND
        if joint.crack_in == now.standing and untouched and situation.holds(joint.id):
            yield OpenItem(
                Danger.NOW,
                joint_subject(joint.id),
                f"{joint.name} is broken loose {situation.name(f'standing:{now.standing}')}:"
                f" harder, or not safe, {standing.name}",
                entries_of(now.said),
                "crack it before the change",
                (JointCracked, JointUndone),
            )
