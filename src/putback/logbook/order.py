"""The one order of a logbook.

Entries come from phones whose clocks disagree, some are written days late, and some only say
"in May". Every copy must still fold them in one order. The key of an entry is a path: that of
the entry it comes *after*, if it names one, and then its own moment, clock and identity. A path
sorts right behind its beginning, so a late note stands directly after what it names.

What an entry judges (strikes, checks, decisions) it also follows, whatever its clock says: if its
own moment would put it earlier, it is placed after the last of what it speaks of.
"""

from collections.abc import Callable, Iterable, Iterator, Mapping

from putback.logbook.entries.base import Entry, EntryId
from putback.logbook.rings import components

Moment = tuple[int, int, int, str]
"""When it happened [ms since 1970], clock [ms], clock counter, entry id."""
Key = tuple[Moment, ...]


def moment_of(entry: Entry) -> Moment:
    """Give the entry's own place, without what it follows."""
    return (entry.happened_ms, entry.clock[0], entry.clock[1], entry.id)


def keys_for(
    wanted: Iterable[Entry],
    get: Callable[[EntryId], Entry | None],
    known: dict[EntryId, Key],
) -> None:
    """Work out the key of each wanted entry, and of all it rests on, into ``known``.

    ``get`` gives an entry that stands; one that is struck out or not (yet) there is as if it had
    not been named. Entries that claim to come after each other, in a ring, are placed as if they
    had not named one another: so every copy breaks the ring alike.
    """
    waiting: dict[EntryId, Entry] = {}
    for entry in wanted:
        if entry.id not in known:
            if entry.brief.follows:
                waiting[entry.id] = entry
            else:
                known[entry.id] = (moment_of(entry),)

    def ahead(name: EntryId) -> Iterator[EntryId]:
        for other in waiting[name].brief.follows:
            if other in known:
                continue
            found = waiting.get(other) or get(other)
            if found is not None:
                waiting[other] = found
                yield other

    for ring in components(list(waiting), ahead):
        # Placed together, so that members of a ring do not see each other.
        known.update({name: _place(waiting[name], known) for name in ring})


def _place(entry: Entry, known: Mapping[EntryId, Key]) -> Key:
    own: Key = (moment_of(entry),)
    if entry.after is not None and entry.after in known:
        own = known[entry.after] + own
    spoken = [known[each] for each in entry.body.speaks_of() if each in known]
    if spoken and max(spoken) >= own:
        return (*max(spoken), moment_of(entry))
    return own
