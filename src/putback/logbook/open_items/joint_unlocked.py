"""A joint is tight, and its split pin, tab, wire or locknut is not done."""

from collections.abc import Iterable

from putback.logbook.entries.rebuilding import JointMade
from putback.logbook.open_items.item import Danger, OpenItem, entries_of
from putback.logbook.open_items.situation import Situation, joint_subject
from putback.logbook.open_items.tight import is_final
from putback.logbook.open_items.wording import listed
from putback.vehicle.fastener import FastenerKind

_BY_HAND = frozenset(
    {
        FastenerKind.SPLIT_PIN,
        FastenerKind.TAB_WASHER,
        FastenerKind.LOCKNUT,
        FastenerKind.LOCKWIRE,
        FastenerKind.THREADLOCK,
        FastenerKind.STAKING,
        FastenerKind.PEENED,
    }
)
"""Ways to lock that are work of their own; a spring washer locks by being there."""


def rule(situation: Situation) -> Iterable[OpenItem]:
    """Find joints that are tight for good and not locked, or of which nobody said so.

    Where it is not critical, "not recorded" is answer enough.
    """
    for joint, state in situation.made_again:
        locks = joint.locks() & {kind.value for kind in _BY_HAND}
        if not locks or not is_final(joint, state) or state.locked:
            continue
        if state.locked is None and not joint.critical:
            continue
        told = "is not locked" if state.locked is False else "is tight; nobody said it is locked"
        yield OpenItem(
            Danger.DANGER if joint.critical and state.locked is False else Danger.NOW,
            joint_subject(joint.id),
            f"{joint.name} {told} ({listed(sorted(locks))})",
            entries_of(state.made),
            "lock it, and log it made and locked",
            (JointMade,),
        )
