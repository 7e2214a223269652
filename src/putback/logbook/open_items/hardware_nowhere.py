"""Hardware came out and nobody said where it went; an allowed answer, and an open item."""

from collections.abc import Iterable

from putback.logbook.accounts import NOT_RECORDED
from putback.logbook.entries.keeping import HardwareMoved
from putback.logbook.hardware_check import entries_into
from putback.logbook.open_items.item import Danger, OpenItem
from putback.logbook.open_items.situation import Situation
from putback.logbook.open_items.wording import listed


def rule(situation: Situation) -> Iterable[OpenItem]:
    """Find joints with pieces in the account *not recorded*."""
    for joint in situation.hardware.joints:
        missing = [line for line in joint.lines if line.held.get(NOT_RECORDED, 0) > 0]
        if missing:
            pieces = listed(f"{line.held[NOT_RECORDED]} × {line.spec}" for line in missing)
            yield OpenItem(
                Danger.NOW,
                joint.owner,
                f"nobody said where the hardware of {situation.name(joint.owner)} is: {pieces}",
                entries_into(situation.state, joint.owner, (NOT_RECORDED,)),
                "say which bag it is in, or that it is lost",
                (HardwareMoved,),
            )
