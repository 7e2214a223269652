"""A joint is made and pieces of it are left over, or a bag holds what belongs to no joint."""

from collections.abc import Iterable

from putback.logbook.entries.keeping import HardwareMoved
from putback.logbook.entries.rebuilding import JointMade
from putback.logbook.entries.working import JointUndone
from putback.logbook.hardware_check import entries_into, joint_of, say_account
from putback.logbook.open_items.item import Danger, OpenItem, entries_of
from putback.logbook.open_items.situation import Situation
from putback.logbook.open_items.wording import listed


def rule(situation: Situation) -> Iterable[OpenItem]:
    """Find pieces that are laid up and will not be wanted."""
    for joint in situation.hardware.joints:
        over = [line for line in joint.lines if line.over]
        if not over:
            continue
        identity = joint_of(joint.owner)
        where = {account for line in over for account in line.laid_up}
        pieces = listed(f"{line.over} × {line.spec}" for line in over)
        at = listed(sorted(say_account(account) for account in where))
        causes = entries_into(situation.state, joint.owner, where)
        if identity is None:
            yield OpenItem(
                Danger.LATER,
                joint.owner,
                f"{pieces} {at} belong to no known joint",
                causes,
                "say which joint it is of, or scrap it",
                (HardwareMoved,),
            )
            continue
        made = situation.joint(identity).made
        told = "is made" if made else "was never logged as undone"
        yield OpenItem(
            Danger.NOW,
            joint.owner,
            f"{situation.name(joint.owner)} {told}, and {pieces} {at} is left over",
            (*entries_of(made), *causes),
            "look at the joint again; scrap what is spare",
            (HardwareMoved, JointUndone, JointMade),
        )
