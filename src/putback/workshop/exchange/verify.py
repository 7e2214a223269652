"""Verifying: everything in a store is read again, and compared with what it says of itself."""

from collections.abc import Iterator
from dataclasses import dataclass, field

from putback.errors import Damaged
from putback.logbook.bundle import photos_of
from putback.logbook.entries.base import Entry
from putback.logbook.fold import Fold
from putback.logbook.snapshot import SnapshotUnreadable
from putback.progress import NoProgress, Progress
from putback.workshop.logbooks.look import read_entry
from putback.workshop.logbooks.ports import DurableStore, PhotoId, PhotoStore, Shelved, Snapshot

_RESTORE = "restore the last good backup beside it, and compare"


@dataclass(frozen=True, slots=True)
class StoreFault:
    """One thing in a store that is not as it was written."""

    where: str
    what: str
    mend: str = _RESTORE

    def __str__(self) -> str:
        return f"{self.where}: {self.what}; {self.mend}"


@dataclass(slots=True)
class Verified:
    """What was read, and what was found wrong with it."""

    logbooks: int = 0
    entries: int = 0
    photos: int = 0
    faults: list[StoreFault] = field(default_factory=list)
    photos_not_here: set[PhotoId] = field(default_factory=set)
    """Named by entries but not kept here: withdrawn, or not sent yet. No fault."""

    @property
    def is_sound(self) -> bool:
        """Whether nothing was found wrong."""
        return not self.faults


def verify(store: DurableStore, photos: PhotoStore, progress: Progress = NoProgress()) -> Verified:
    """Read every entry and photo; recompute digests, positions and what snapshots hold."""
    found = Verified()
    found.faults += [StoreFault(store.name, what) for what in store.faults()]
    named: set[PhotoId] = set()
    for shelved in store.logbooks():
        found.logbooks += 1
        _verify_logbook(store, shelved, found, named, progress)
    for photo in photos:
        progress.step(found.photos, None, "reading photos")
        found.photos += 1
        try:
            photos.get(photo)
        except Damaged as error:
            mend = "take the photo from a backup, or take it again"
            found.faults.append(StoreFault(error.place(), error.why, mend))
    found.photos_not_here = {photo for photo in named if not photos.has(photo)}
    return found


def _verify_logbook(
    store: DurableStore,
    shelved: Shelved,
    found: Verified,
    named: set[PhotoId],
    progress: Progress,
) -> None:
    snapshot = store.latest_snapshot(shelved.id)
    entries: dict[int, Entry] = {}
    where, last = f"logbook {shelved.name}", 0
    for stored in store.read(shelved.id):
        progress.step(found.entries, None, f"reading {shelved.name}")
        found.entries += 1
        if stored.position != last + 1:
            what = f"position {stored.position} follows {last}"
            found.faults.append(StoreFault(where, what))
        last = stored.position
        try:
            entries[last] = read_entry(stored)
        except Damaged as error:
            found.faults.append(StoreFault(f"{where}, {error.store}", error.why))
        else:
            named.update(map(PhotoId, photos_of(entries[last])))
    if last < shelved.position:
        what = f"ends at position {last}, and should at {shelved.position}"
        found.faults.append(StoreFault(where, what))
    if snapshot is not None:
        upto = [entry for position, entry in entries.items() if position <= snapshot.position]
        found.faults += _snapshot_faults(shelved, snapshot, upto)


def _snapshot_faults(
    shelved: Shelved, snapshot: Snapshot, entries: list[Entry]
) -> Iterator[StoreFault]:
    """Compare a snapshot with what all entries up to it fold to.

    One of another version is left unread, as it is when a program starts.
    """
    try:
        kept = Fold.from_snapshot(snapshot.blob, lambda _: ())
    except SnapshotUnreadable:
        return
    fold = Fold(shelved.id)
    fold.add(entries)
    if kept.state() != fold.state() or kept.log() != fold.log():
        yield StoreFault(
            f"logbook {shelved.name}",
            f"its snapshot at position {snapshot.position} is not what its entries say",
            "it is a cache: log something, or report this, since it should not happen",
        )
