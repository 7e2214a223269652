"""Something came back from outside work, and not all of it."""

from collections.abc import Iterable

from putback.logbook.entries.judging import CameBack
from putback.logbook.entries.rebuilding import PartOn
from putback.logbook.open_items.item import Danger, OpenItem, entries_of
from putback.logbook.open_items.situation import Situation
from putback.vehicle.ids import PartId


def rule(situation: Situation) -> Iterable[OpenItem]:
    """Find what came back with something missing, and is not on the vehicle since."""
    for subject, common in situation.commons:
        kind, _, identity = subject.partition(":")
        on = situation.part(PartId(identity)).on if kind == "part" else None
        settled = on is not None and common.came_back is not None and on.key > common.came_back.key
        if common.missing and not settled:
            yield OpenItem(
                Danger.NOW,
                subject,
                f"{situation.name(subject)} came back without {common.missing}",
                entries_of(common.came_back),
                "ask the firm today; log what came back when it is all there",
                (CameBack, PartOn),
            )
