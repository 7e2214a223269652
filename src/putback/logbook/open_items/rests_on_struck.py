"""An entry stands that comes after, or judges, one that was struck out."""

from collections.abc import Iterable

from putback.logbook.entries.bookkeeping import Struck
from putback.logbook.entries.working import NoteMade
from putback.logbook.open_items.item import Danger, OpenItem
from putback.logbook.open_items.situation import Situation, entry_subject


def rule(situation: Situation) -> Iterable[OpenItem]:
    """Find entries that rest on struck ones and that nobody has looked at."""
    for entry in dict.fromkeys(situation.log.rest_on_struck):
        if not situation.is_answered(entry):
            yield OpenItem(
                Danger.LATER,
                entry_subject(entry),
                "an entry rests on one that was struck out",
                (entry,),
                "strike it out as well, or note that it stands by itself",
                (Struck, NoteMade),
            )
