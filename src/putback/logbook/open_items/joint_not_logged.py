"""A part is off, and nobody said how its joints came undone or where their hardware is."""

from collections.abc import Iterable

from putback.logbook.entries.working import JointUndone
from putback.logbook.open_items.item import Danger, OpenItem, entries_of
from putback.logbook.open_items.situation import Situation, part_subject
from putback.logbook.open_items.wording import listed
from putback.logbook.order import Key
from putback.logbook.state import PartState
from putback.vehicle.joint import Care, Joint


def rule(situation: Situation) -> Iterable[OpenItem]:
    """Find joints that cannot hold any more, with hardware that nobody logged.

    Each joint is asked for once, with the part that came off first.
    """
    asked: set[str] = set()
    for part in sorted(situation.off_parts, key=_when_off):
        silent = [
            joint
            for identity in situation.state.vehicle.joints_of.get(part.part, ())
            if identity not in asked
            and _is_silent(situation, joint := situation.state.vehicle.joints[identity])
        ]
        asked |= {joint.id for joint in silent}
        if silent:
            subject = part_subject(part.part)
            yield OpenItem(
                Danger.LATER,
                subject,
                f"{situation.name(subject)} is off; nobody said where the hardware of"
                f" {listed(joint.name for joint in silent)} is",
                entries_of(part.off),
                "log each joint undone, with its bag",
                (JointUndone,),
            )


def _when_off(part: PartState) -> Key:
    return part.off.key if part.off else ()


def _is_silent(situation: Situation, joint: Joint) -> bool:
    loose = any(not piece.stays for fixing in joint.fixings for piece in fixing.stack)
    counted = joint.level_of_care is not Care.ALL_THERE
    state = situation.joint(joint.id)
    untouched = state.out == 0 and state.times_made == 0
    return loose and counted and untouched and not situation.holds(joint.id)
