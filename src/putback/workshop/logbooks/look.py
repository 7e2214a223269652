"""Looking: the fold of each logbook, kept up to date in this process.

Other processes append to the same store. So whoever looks first takes in what arrived since, and
only that. A snapshot spares a new process the reading of every entry; it may be missing, torn or
of another version, and then the entries are read from the beginning.
"""

from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager, suppress
from dataclasses import dataclass, field
from threading import Lock, RLock

from putback.errors import Damaged, StoreError
from putback.logbook.entries.base import Entry, EntryId, LogbookId, MalformedEntry
from putback.logbook.entries.registry import decode
from putback.logbook.fold import Fold
from putback.logbook.snapshot import SnapshotUnreadable
from putback.workshop.logbooks.ports import EntryStore, Snapshot, Stored

SNAPSHOT_AFTER = 200
"""A snapshot is put away when so many entries came since the last one [entries] ..."""
SNAPSHOT_PART = 20
"""... and at least the 20th part of the logbook: so all snapshots together stay cheap."""


@dataclass(slots=True)
class _Kept:
    """One logbook's fold, and how far it has read."""

    fold: Fold
    position: int
    snapshot_position: int


@dataclass(slots=True)
class Folds:
    """The folds of a store's logbooks; safe under several threads, and beside other processes."""

    store: EntryStore
    seen: Callable[[Sequence[Entry]], None] = field(default=lambda _: None)
    """Is told of every entry that was taken in."""
    _kept: dict[LogbookId, _Kept] = field(default_factory=dict)
    _locks: dict[LogbookId, RLock] = field(default_factory=dict)
    _lock: Lock = field(default_factory=Lock)

    @contextmanager
    def up_to_date(self, logbook: LogbookId) -> Iterator[Fold]:
        """Give the fold of all that is in the store now, this thread's until it is left."""
        with self._lock:
            lock = self._locks.setdefault(logbook, RLock())
        with lock:
            yield self._catch_up(logbook).fold

    def _catch_up(self, logbook: LogbookId) -> _Kept:
        position = self.store.position(logbook)
        kept = self._kept.get(logbook) or self._begin(logbook)
        if kept.position < position:
            # Interrupted half-way, a fold would be of no use: better none than that.
            self._kept.pop(logbook, None)
            rows = list(self.store.read(logbook, kept.position))
            entries = [read_entry(row) for row in rows]
            kept.fold.add(entries)
            kept.position = rows[-1].position
            self.seen(entries)
            self._put_away(logbook, kept)
        self._kept[logbook] = kept
        return kept

    def _begin(self, logbook: LogbookId) -> _Kept:
        snapshot = self.store.latest_snapshot(logbook)
        if snapshot is not None:
            with suppress(SnapshotUnreadable):
                fold = Fold.from_snapshot(snapshot.blob, self._loader(logbook))
                return _Kept(fold, snapshot.position, snapshot.position)
        return _Kept(Fold(logbook, self._loader(logbook)), 0, 0)

    def _put_away(self, logbook: LogbookId, kept: _Kept) -> None:
        since = kept.position - kept.snapshot_position
        if since >= max(SNAPSHOT_AFTER, kept.position // SNAPSHOT_PART):
            # Only a cache: a full disk is told to whoever logs, not to whoever looks.
            with suppress(StoreError):
                snapshot = Snapshot(kept.position, kept.fold.snapshot())
                self.store.save_snapshot(logbook, snapshot)
            kept.snapshot_position = kept.position

    def _loader(self, logbook: LogbookId) -> "_Loader":
        return _Loader(self.store, logbook)


@dataclass(frozen=True, slots=True)
class _Loader:
    """Fetches entries for a fold that began from a snapshot."""

    store: EntryStore
    logbook: LogbookId

    def __call__(self, ids: Sequence[EntryId]) -> list[Entry]:
        return [read_entry(row) for row in self.store.load(self.logbook, ids)]


def read_entry(stored: Stored) -> Entry:
    """Read a stored entry, which was sound when it was taken in.

    Raises
    ------
    Damaged
        If it is no longer what was stored.
    """
    try:
        entry = decode(stored.raw)
    except MalformedEntry as error:
        raise _damaged(stored, error.why) from error
    if entry.id != stored.entry or entry.digest != stored.digest:
        raise _damaged(stored, "its digest is not that of the bytes")
    return entry


def _damaged(stored: Stored, why: str) -> Damaged:
    return Damaged(f"entry {stored.entry} at position {stored.position}", why)
