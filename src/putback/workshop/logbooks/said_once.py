"""What may be said twice is logged once: its act is named before it is logged, by whoever says it.

The identities of its entries follow from that of the act. So the store itself tells whether it was
logged, to whichever process asks, and lets in one of two that come at the same moment.
"""

from itertools import count

from putback.logbook.entries.base import ActId, Entry, EntryId, LogbookId
from putback.workshop.logbooks.identity import following
from putback.workshop.logbooks.look import read_entry
from putback.workshop.logbooks.ports import EntryStore

_AT_ONCE = 50
"""Entries looked for at once, of an act that may be of any length [entries]."""


def entry_of(act: ActId, at: int) -> EntryId:
    """Give the identity of an entry of such an act, by its place in it, from 0."""
    return EntryId(following(act, str(at)))


def said_as(store: EntryStore, logbook: LogbookId, act: ActId) -> tuple[Entry, ...]:
    """Give what was logged as such an act, struck out or not; nothing if it was not logged.

    Raises
    ------
    NotFound
        If there is no such logbook.
    """
    found: list[Entry] = []
    for start in count(step=_AT_ONCE):
        wanted = [entry_of(act, at) for at in range(start, start + _AT_ONCE)]
        some = [read_entry(each) for each in store.load(logbook, wanted)]
        found += some
        if len(some) < _AT_ONCE:
            break
    return tuple(found)
