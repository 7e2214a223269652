"""Two people logged one joint with different counts, and nobody settled which is right."""

from collections.abc import Iterable

from putback.logbook.entries.bookkeeping import Struck
from putback.logbook.entries.describing import Described, OneAndSame
from putback.logbook.open_items.item import Danger, OpenItem
from putback.logbook.open_items.situation import Situation, joint_subject


def rule(situation: Situation) -> Iterable[OpenItem]:
    """Find joints with counts that contradict each other."""
    for identity, joint in sorted(situation.state.joints.items()):
        if joint.doubles:
            several = len(joint.doubles) > 1
            yield OpenItem(
                Danger.NOW,
                joint_subject(identity),
                f"counts of {situation.name(joint_subject(identity))} disagree"
                + ("" if several else " with how it is described"),
                joint.doubles,
                "look again, and log the entries as one and the same with the right count"
                if several
                else "describe the joint as it is, or strike the entry out",
                (OneAndSame,) if several else (Described, Struck),
            )
