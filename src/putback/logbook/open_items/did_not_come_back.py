"""Something came back from outside work, and not all of it."""

from collections.abc import Iterable

from putback.logbook.entries.judging import CameBack
from putback.logbook.open_items.item import Danger, OpenItem, entries_of
from putback.logbook.open_items.situation import Situation


def rule(situation: Situation) -> Iterable[OpenItem]:
    """Find what came back with something missing."""
    for subject, common in situation.commons:
        if common.missing:
            yield OpenItem(
                Danger.NOW,
                subject,
                f"{situation.name(subject)} came back without {common.missing}",
                entries_of(common.came_back),
                "ask the firm today; log what came back when it is all there",
                (CameBack,),
            )
