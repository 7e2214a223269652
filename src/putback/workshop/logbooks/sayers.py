"""Who said what: by the names that are known here, or as claimed by what came from elsewhere.

An entry that did not come from the device that wrote it was taken in with a bundle or from another
copy. Whoever it names is not known here, even if somebody here goes by the same identity: such an
entry is told with the name that came along from elsewhere, and as claimed; and what was written
here is never told with a name from elsewhere.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace

from putback.logbook.entries.base import EntryId, LogbookId, PersonId, Subject
from putback.logbook.entries.bookkeeping import PersonNamed
from putback.workshop.logbooks.ports import GARAGE
from putback.workshop.logbooks.workshop import Workshop


@dataclass(frozen=True, slots=True)
class Sayers:
    """Who wrote the entries of a logbook."""

    here: Mapping[PersonId, str]
    """Names that were given here."""
    elsewhere: Mapping[PersonId, str]
    """Names that came along from elsewhere."""
    claimed: frozenset[EntryId]
    """Entries that did not come from the device that wrote them."""
    strangers: frozenset[PersonId]
    """Who wrote elsewhere alone."""

    def is_claimed(self, entry: EntryId) -> bool:
        """Tell whether an entry came from elsewhere: who wrote it is what that says."""
        return entry in self.claimed

    def name(self, entry: EntryId, who: PersonId) -> str:
        """Say how the one who wrote an entry is called; the identity, where nobody said."""
        return (self.elsewhere if self.is_claimed(entry) else self.here).get(who, who)

    def words(self, entry: EntryId, who: PersonId) -> str:
        """Say who wrote an entry, and that it is as claimed where it is."""
        name = self.name(entry, who)
        return _as_claimed(name) if self.is_claimed(entry) else name

    def people(self) -> dict[PersonId, str]:
        """Say who an identity is where no entry is at hand: as claimed if nobody wrote so here."""
        strangers = self.strangers | (self.elsewhere.keys() - self.here.keys())
        claimed = {each: _as_claimed(self.elsewhere.get(each, each)) for each in strangers}
        return {**self.here, **claimed}


def sayers_of(
    workshop: Workshop, logbook: LogbookId, accounts: Mapping[PersonId, str] | None = None
) -> Sayers:
    """Tell who wrote the entries of a logbook; quick where nothing was logged since.

    Parameters
    ----------
    accounts : mapping of PersonId to str, optional
        How those are called who have an account here, where the logbooks do not say it.
    """
    found = workshop.remembered.give(
        workshop.store, logbook, "sayers", lambda: _sayers_of(workshop, logbook)
    )
    return replace(found, here={**found.here, **accounts}) if accounts else found


def _sayers_of(workshop: Workshop, logbook: LogbookId) -> Sayers:
    here: dict[PersonId, str] = {}
    elsewhere: dict[PersonId, str] = {}
    for book in (GARAGE, logbook) if workshop.has_garage() else (logbook,):
        came = workshop.arrivals.of(book)
        if not came:  # asked after each act: nothing need be looked up
            here |= workshop.state(book).people
            continue
        for person in workshop.state(book).people:
            for entry in workshop.history(book, Subject(f"person:{person}")):
                if isinstance(entry.body, PersonNamed):
                    (elsewhere if entry.id in came else here)[person] = entry.body.name
    claimed = workshop.arrivals.of(logbook)
    # Where nothing came from elsewhere, no entry need be looked at.
    entries = workshop.standing(logbook) if claimed else ()
    wrote_here = {each.who for each in entries if each.id not in claimed}
    strangers = {each.who for each in entries if each.who} - wrote_here
    return Sayers(here, elsewhere, claimed, frozenset(strangers))


def _as_claimed(name: str) -> str:
    return f"{name} (as claimed)"
