"""Stores in memory: for tests, for trying things out, and to keep the ports honest."""

import json
from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from hashlib import sha256
from threading import RLock

from putback.errors import AlreadyExists, NotFound
from putback.logbook.entries.base import DeviceId, Entry, EntryId, LogbookId, PersonId
from putback.logbook.tags import reserve
from putback.workshop.logbooks.ports import (
    Appended,
    BackupNote,
    Clock,
    KeptPlan,
    PhotoId,
    Role,
    Shelved,
    Snapshot,
    Stored,
    SystemClock,
    in_utc,
    no_logbook,
    still_owned,
)


@dataclass(slots=True)
class _Book:
    """One logbook."""

    name: str
    created_at: str
    rows: list[Stored] = field(default_factory=list)
    by_id: dict[EntryId, list[Stored]] = field(default_factory=lambda: defaultdict(list))
    roles: dict[PersonId, Role] = field(default_factory=dict)
    snapshot: Snapshot | None = None
    plans: dict[str, KeptPlan] = field(default_factory=dict)
    settings: dict[str, str] = field(default_factory=dict)


class MemoryEntryStore:
    """Keeps entries as long as it lives itself; safe under several threads."""

    def __init__(self, clock: Clock | None = None) -> None:
        self._clock = clock or SystemClock()
        self._lock = RLock()
        self._books: dict[LogbookId, _Book] = {}
        self._clocks: dict[DeviceId, tuple[int, int]] = {}
        self._tags: list[tuple[DeviceId, range]] = []
        self._backups: list[BackupNote] = []

    def logbooks(self) -> tuple[Shelved, ...]:
        """List the logbooks by name."""
        with self._lock:
            shelved = [
                Shelved(logbook, book.name, book.created_at, len(book.rows))
                for logbook, book in self._books.items()
            ]
        return tuple(sorted(shelved, key=lambda each: (each.name, each.id)))

    def create_logbook(
        self,
        logbook: LogbookId,
        name: str,
        owner: PersonId,
        entries: Sequence[Entry] = (),
        received_from: str = "",
    ) -> Appended:
        """Open a logbook with its first entries."""
        with self._lock:
            if logbook in self._books:
                raise AlreadyExists("logbook", logbook)
            self._books[logbook] = _Book(
                name, in_utc(self._clock.now()), roles={owner: Role.OWNER}
            )
            return self.append(logbook, entries, received_from)

    def rename(self, logbook: LogbookId, name: str) -> None:
        """List a logbook under another name."""
        with self._lock:
            self._book(logbook).name = name

    def append(
        self,
        logbook: LogbookId,
        entries: Sequence[Entry],
        received_from: str,
        *,
        once: bool = False,
    ) -> Appended:
        """Add those entries that are not there yet."""
        with self._lock:
            book = self._book(logbook)
            if once and (there := tuple(each.id for each in entries if book.by_id.get(each.id))):
                return Appended((), there, len(book.rows))
            received_at = in_utc(self._clock.now())
            new: list[EntryId] = []
            known: list[EntryId] = []
            for entry in entries:
                if any(entry.digest == stored.digest for stored in book.by_id[entry.id]):
                    known.append(entry.id)
                    continue
                position = len(book.rows) + 1
                stored = Stored(
                    position, entry.id, entry.digest, received_at, received_from, entry.raw
                )
                book.rows.append(stored)
                book.by_id[entry.id].append(stored)
                new.append(entry.id)
                self._clocks[entry.device] = max(self.last_clock(entry.device), entry.clock)
            return Appended(tuple(new), tuple(known), len(book.rows))

    def read(
        self, logbook: LogbookId, after_position: int = 0, *, newest_first: bool = False
    ) -> Iterator[Stored]:
        """Give the entries that arrived after a position."""
        with self._lock:
            rows = self._book(logbook).rows[after_position:]
        return iter(rows[::-1] if newest_first else rows)

    def load(self, logbook: LogbookId, ids: Sequence[EntryId]) -> Iterator[Stored]:
        """Give the entries of these ids."""
        with self._lock:
            book = self._book(logbook)
            found = [stored for each in set(ids) for stored in book.by_id.get(each, ())]
        return iter(sorted(found, key=lambda stored: stored.position))

    def from_elsewhere(self, logbook: LogbookId, after_position: int = 0) -> Iterator[EntryId]:
        """Name the entries that did not come from the device that wrote them."""
        with self._lock:
            rows = self._book(logbook).rows[after_position:]
        return (
            each.entry for each in rows if json.loads(each.raw)["device"] != each.received_from
        )

    def position(self, logbook: LogbookId) -> int:
        """Give the position of the last entry."""
        with self._lock:
            return len(self._book(logbook).rows)

    def save_snapshot(self, logbook: LogbookId, snapshot: Snapshot) -> None:
        """Keep a snapshot, unless there is a newer one."""
        with self._lock:
            book = self._book(logbook)
            if book.snapshot is None or book.snapshot.position < snapshot.position:
                book.snapshot = snapshot

    def latest_snapshot(self, logbook: LogbookId) -> Snapshot | None:
        """Give the newest snapshot."""
        with self._lock:
            return self._book(logbook).snapshot

    def keep_plan(self, logbook: LogbookId, goal: str, plan: KeptPlan) -> None:
        """Keep the plan to a goal, unless there is a newer one."""
        with self._lock:
            plans = self._book(logbook).plans
            if goal not in plans or plans[goal].position <= plan.position:
                plans[goal] = plan

    def kept_plan(self, logbook: LogbookId, goal: str) -> KeptPlan | None:
        """Give the plan kept for a goal."""
        with self._lock:
            return self._book(logbook).plans.get(goal)

    def forget_plan(self, logbook: LogbookId, goal: str) -> None:
        """Keep no plan for a goal."""
        with self._lock:
            self._book(logbook).plans.pop(goal, None)

    def keep_setting(self, logbook: LogbookId, name: str, value: str) -> None:
        """Keep a setting of a vehicle."""
        with self._lock:
            self._book(logbook).settings[name] = value

    def setting(self, logbook: LogbookId, name: str) -> str | None:
        """Give a setting of a vehicle."""
        with self._lock:
            return self._book(logbook).settings.get(name)

    def reserve_tags(self, device: DeviceId, count: int) -> range:
        """Reserve the next tags of the garage."""
        with self._lock:
            places = reserve(self._tags[-1][1].stop if self._tags else 0, count)
            self._tags.append((device, places))
            return places

    def reserved_tags(self) -> tuple[tuple[DeviceId, range], ...]:
        """List what was reserved."""
        with self._lock:
            return tuple(self._tags)

    def grant(self, logbook: LogbookId, person: PersonId, role: Role) -> None:
        """Give a person a role."""
        with self._lock:
            book = self._book(logbook)
            book.roles = still_owned(book.roles, person, role)

    def revoke(self, logbook: LogbookId, person: PersonId) -> None:
        """Take a person's role away."""
        with self._lock:
            book = self._book(logbook)
            book.roles = still_owned(book.roles, person, None)

    def roles(self, logbook: LogbookId) -> Mapping[PersonId, Role]:
        """Tell who may do what."""
        with self._lock:
            return dict(self._book(logbook).roles)

    def last_clock(self, device: DeviceId) -> tuple[int, int]:
        """Give the latest clock of the device's entries."""
        with self._lock:
            return self._clocks.get(device, (0, 0))

    def note_backup(self, note: BackupNote) -> None:
        """Remember a backup."""
        with self._lock:
            self._backups.append(note)

    def last_backup(self) -> BackupNote | None:
        """Tell of the last backup."""
        with self._lock:
            return max(self._backups, key=lambda note: note.at, default=None)

    def _book(self, logbook: LogbookId) -> _Book:
        if logbook not in self._books:
            raise no_logbook(logbook, self.logbooks())
        return self._books[logbook]


class MemoryPhotoStore:
    """Keeps photos as long as it lives itself."""

    def __init__(self) -> None:
        self._photos: dict[PhotoId, bytes] = {}

    def put(self, content: bytes) -> PhotoId:
        """Keep the bytes."""
        photo = PhotoId(sha256(content).hexdigest())
        self._photos[photo] = content
        return photo

    def get(self, photo: PhotoId) -> bytes:
        """Give the bytes back."""
        if photo not in self._photos:
            raise NotFound("photo", photo)
        return self._photos[photo]

    def has(self, photo: PhotoId) -> bool:
        """Tell whether it is there."""
        return photo in self._photos

    def __iter__(self) -> Iterator[PhotoId]:
        """Go through all there are."""
        return iter(sorted(self._photos))
