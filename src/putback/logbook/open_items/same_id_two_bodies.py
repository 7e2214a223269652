"""One entry came in two forms: two devices gave different things the same identity."""

from collections.abc import Iterable

from putback.logbook.entries.bookkeeping import Struck
from putback.logbook.entries.working import NoteMade
from putback.logbook.open_items.item import Danger, OpenItem
from putback.logbook.open_items.situation import Situation, entry_subject


def rule(situation: Situation) -> Iterable[OpenItem]:
    """Find identities with several bodies that nobody has looked at."""
    for entry, digests in sorted(situation.log.conflicts.items()):
        if not situation.is_answered(entry):
            yield OpenItem(
                Danger.NOW,
                entry_subject(entry),
                f"one entry came in {len(digests)} forms; one of them counts, all are kept",
                (entry,),
                "compare them; strike the entry out and log it anew, or note that it is right",
                (Struck, NoteMade),
            )
