"""What the rules of open items look at, gathered from a store."""

from datetime import datetime

from putback.logbook.entries.base import LogbookId
from putback.logbook.open_items import Settings, Situation
from putback.workshop.logbooks.garage import in_its_garage
from putback.workshop.logbooks.workshop import Workshop


def situation_of(workshop: Workshop, logbook: LogbookId, now: datetime | None = None) -> Situation:
    """Gather state, log, hour and last backup; the hour is the clock's where none is given.

    Where nothing was ever backed up, the age of the logbook counts: a young one needs none yet.
    """
    state, facts = in_its_garage(workshop, logbook), workshop.facts(logbook)
    note = workshop.last_backup()
    begun = next(each.created_at for each in workshop.logbooks() if each.id == logbook)
    settings = Settings(backed_up_at=datetime.fromisoformat(note.at if note else begun))
    return Situation(state, facts, now or workshop.clock.now(), settings)
