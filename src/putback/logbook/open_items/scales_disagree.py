"""A weighing contradicts what is described: masses, and margins worked out from them, are off."""

from collections.abc import Iterable

from putback.logbook.entries.bookkeeping import Struck
from putback.logbook.entries.describing import Described
from putback.logbook.entries.working import NoteMade
from putback.logbook.open_items.item import Danger, OpenItem
from putback.logbook.open_items.situation import Situation, entry_subject
from putback.logbook.weighing import verdicts_of


def rule(situation: Situation) -> Iterable[OpenItem]:
    """Find weighings that what was described and guessed cannot explain, and nobody answered."""
    state = situation.state
    for verdict in verdicts_of(state.vehicle, state.weighings):
        entry = verdict.weighing.said.entry
        if verdict.contradicts and not situation.is_answered(entry):
            yield OpenItem(
                Danger.NOW,
                entry_subject(entry),
                f"a weighing contradicts what is described: {verdict.difference}",
                (entry,),
                "read the scales again and strike it out, mend a mass, or note why it stands",
                (Struck, Described, NoteMade),
            )
