"""Hardware is lost, scrap or kept as a pattern, and nothing is there in its stead."""

from collections.abc import Iterable

from putback.logbook.accounts import LOST, PATTERN, SCRAP
from putback.logbook.entries.keeping import Bought, HardwareMoved
from putback.logbook.entries.rebuilding import JointMade
from putback.logbook.hardware_check import JointCheck, Line, entries_into, joint_of
from putback.logbook.open_items.item import Danger, OpenItem, entries_of
from putback.logbook.open_items.situation import Situation
from putback.logbook.open_items.wording import listed


def rule(situation: Situation) -> Iterable[OpenItem]:
    """Find joints for which there are not enough pieces left.

    Pieces that are used once are renewed anyway, so they are missed only in a joint that is made.
    """
    for joint in situation.hardware.joints:
        short = [line for line in joint.lines if line.short and (line.complete or _kept(line))]
        if short:
            yield _item(situation, joint, short)


def _kept(line: Line) -> bool:
    return not line.single_use


def _item(situation: Situation, joint: JointCheck, short: list[Line]) -> OpenItem:
    name = situation.name(joint.owner)
    pieces = listed(f"{line.short} × {line.spec}" for line in short)
    identity = joint_of(joint.owner)
    seen = situation.joint(identity) if identity else None
    causes = entries_into(situation.state, joint.owner, (LOST, SCRAP, PATTERN))
    causes = causes or entries_of(seen.counted or seen.undone if seen else None)
    if not all(line.complete for line in short):
        return OpenItem(
            Danger.NOW if situation.rebuild_begun else Danger.LATER,
            joint.owner,
            f"{name} is short of {pieces}",
            causes,
            "find it, or buy new for this joint",
            (Bought, HardwareMoved),
        )
    described = situation.state.vehicle.joints.get(identity) if identity else None
    critical = described is not None and described.critical
    return OpenItem(
        Danger.DANGER if critical else Danger.NOW,
        joint.owner,
        f"{name} was made with {pieces} short",
        causes,
        "log the joint made with the new pieces that went in",
        (JointMade,),
    )
