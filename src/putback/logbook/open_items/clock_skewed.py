"""Entries of phones whose clocks disagree, or that tell of the future: their order is in doubt."""

from collections.abc import Iterable

from putback.logbook.entries.base import Subject
from putback.logbook.entries.bookkeeping import Struck
from putback.logbook.entries.working import NoteMade
from putback.logbook.open_items.item import Danger, OpenItem
from putback.logbook.open_items.situation import Situation
from putback.logbook.open_items.wording import count


def rule(situation: Situation) -> Iterable[OpenItem]:
    """Find skewed entries, all in one item: a wrong clock skews a whole day's."""
    skewed = tuple(each for each in situation.log.skewed if not situation.is_answered(each))
    if skewed:
        yield OpenItem(
            Danger.LATER,
            Subject("log"),
            f"{count(len(skewed), 'entry bears', 'entries bear')} times that cannot be right",
            skewed,
            "set the phone's clock; strike out what stands in the wrong order, note on the rest",
            (NoteMade, Struck),
        )
