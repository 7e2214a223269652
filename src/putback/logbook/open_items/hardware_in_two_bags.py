"""The hardware of one joint is said to be in two bags, and nobody settled which is right."""

from collections.abc import Iterable

from putback.logbook.entries.bookkeeping import Struck
from putback.logbook.entries.describing import OneAndSame
from putback.logbook.open_items.item import Danger, OpenItem
from putback.logbook.open_items.situation import Situation, joint_subject
from putback.logbook.open_items.wording import bags, listed


def rule(situation: Situation) -> Iterable[OpenItem]:
    """Find joints of which the same fixings were put in different bags."""
    for identity, joint in sorted(situation.state.joints.items()):
        if joint.in_two_bags:
            subject = joint_subject(identity)
            yield OpenItem(
                Danger.NOW,
                subject,
                f"hardware of {situation.name(subject)} is said to be in "
                f"{bags(len(joint.tags))}: {listed(map(str, joint.tags))}",
                joint.in_two_bags,
                "look into the bags; strike out the entry with the wrong one, or log the entries "
                "as one and the same if some of it is in each",
                (Struck, OneAndSame),
            )
