"""What a logbook means, worked out the slow and obvious way, to judge the fold by.

Nothing here is incremental or remembered: every question is answered from the whole list of
entries, by the definitions of ``docs/entries.md``. It shares no code with the fold or its order.
"""

from collections.abc import Callable, Iterable

from putback.logbook.entries.base import Entry, EntryId
from putback.logbook.entries.bookkeeping import Struck

Moment = tuple[int, int, int, str]


def kept(entries: Iterable[Entry]) -> dict[EntryId, Entry]:
    """Of several bodies of one identity, the one with the smallest digest."""
    by_digest = sorted(entries, key=lambda entry: entry.digest, reverse=True)
    return {entry.id: entry for entry in by_digest}


def struck(entries: Iterable[Entry]) -> set[EntryId]:
    """Entries struck out by a strike that stands for certain: one all of whose own are out.

    So strikes in a ring, and what only they would strike, are left as they are.
    """
    here = kept(entries)
    strikers = {
        name: {
            other.id
            for other in here.values()
            if isinstance(other.body, Struck)
            and (other.body.entry == name or other.body.act == entry.act)
        }
        for name, entry in here.items()
    }
    out: set[EntryId] = set()
    while True:
        certain = {name for name in here if strikers[name] <= out}
        found = {name for name in here if strikers[name] & certain}
        if found == out:
            return out
        out = found


def standing(entries: Iterable[Entry]) -> list[EntryId]:
    """Entries that are not struck out, in the order of the logbook."""
    entries = list(entries)
    out = struck(entries)
    here = {name: entry for name, entry in kept(entries).items() if name not in out}

    def named(name: EntryId) -> set[EntryId]:
        entry = here[name]
        return {each for each in (entry.after, *entry.body.speaks_of()) if each in here}

    reach = {name: _reached(name, named) for name in here}

    def place(name: EntryId) -> tuple[Moment, ...]:
        entry = here[name]
        own = ((entry.happened_ms, *entry.clock, entry.id),)
        if entry.after in here and name not in reach[entry.after]:
            own = place(entry.after) + own
        judged = [
            place(each)
            for each in entry.body.speaks_of()
            if each in here and name not in reach[each]
        ]
        if judged and max(judged) >= own:
            return (*max(judged), (entry.happened_ms, *entry.clock, entry.id))
        return own

    return sorted(here, key=place)


def _reached(start: EntryId, edges: Callable[[EntryId], Iterable[EntryId]]) -> set[EntryId]:
    """Everything that can be got to from here; itself only by going round, or by naming itself."""
    seen: set[EntryId] = set()
    queue = list(edges(start))
    while queue:
        name = queue.pop()
        if name not in seen:
            seen.add(name)
            queue.extend(edges(name))
    # What leads back to the start is in a ring with it; so is an entry that names itself.
    return seen | {start}
