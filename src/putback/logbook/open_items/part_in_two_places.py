"""A part was logged off to two places at once, and nobody settled which is right."""

from collections.abc import Iterable

from putback.logbook.entries.bookkeeping import Struck
from putback.logbook.entries.describing import OneAndSame
from putback.logbook.open_items.item import Danger, OpenItem
from putback.logbook.open_items.situation import Situation, part_subject


def rule(situation: Situation) -> Iterable[OpenItem]:
    """Find parts that came off to several places at once."""
    for identity, part in sorted(situation.state.parts.items()):
        if part.doubles:
            subject = part_subject(identity)
            yield OpenItem(
                Danger.NOW,
                subject,
                f"{situation.name(subject)} is said to have come off to two places",
                part.doubles,
                "look where it is; strike out the entry with the wrong place, or log the entries "
                "as one and the same if it was moved",
                (Struck, OneAndSame),
            )
