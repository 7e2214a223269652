"""Entries of a kind or version that this Putback cannot read: kept, and folded as nothing."""

from collections.abc import Iterable

from putback.logbook.entries.base import Subject
from putback.logbook.entries.bookkeeping import Struck
from putback.logbook.entries.working import NoteMade
from putback.logbook.open_items.item import Danger, OpenItem
from putback.logbook.open_items.situation import Situation
from putback.logbook.open_items.wording import count


def rule(situation: Situation) -> Iterable[OpenItem]:
    """Find unread entries, all in one item."""
    unread = tuple(each for each in situation.log.unread if not situation.is_answered(each))
    if unread:
        yield OpenItem(
            Danger.LATER,
            Subject("log"),
            f"{count(len(unread), 'entry', 'entries')} cannot be read here: the state may lack"
            " something",
            unread,
            "open the logbook with a newer Putback, or note on each that it was looked at",
            (NoteMade, Struck),
        )
