"""What the use cases need of the world: a store of entries, one of photos, and a clock.

The ports say what an adapter must promise, and one suite of tests holds every adapter to it: the
store in memory, SQLite and PostgreSQL.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from contextlib import AbstractContextManager
from dataclasses import dataclass, field
from datetime import UTC, datetime
from difflib import get_close_matches
from enum import StrEnum
from typing import Any, NewType, Protocol

from putback.errors import BadInput, NotFound
from putback.logbook.entries.base import DeviceId, Entry, EntryId, LogbookId, PersonId

PhotoId = NewType("PhotoId", str)
"""SHA-256 of a photo's bytes, in hexadecimal."""

GARAGE = LogbookId("garage")
"""The logbook of what the vehicles of one garage share."""


class Role(StrEnum):
    """What a person may do with a logbook."""

    OWNER = "owner"  # everything, and give roles
    WORKER = "worker"  # log, strike out, plan
    VIEWER = "viewer"  # look


RANK: Mapping[Role, int] = {Role.VIEWER: 0, Role.WORKER: 1, Role.OWNER: 2}
"""Which role may do more."""


@dataclass(frozen=True, slots=True)
class Shelved:
    """A logbook as the store lists it; ``created_at`` is an ISO 8601 instant in UTC."""

    id: LogbookId
    name: str
    created_at: str
    position: int = 0
    """Of its last entry."""


@dataclass(frozen=True, slots=True)
class Stored:
    """An entry as it was received, and what the store noted beside it."""

    position: int
    """Counts from 1 in its logbook, without gaps, in the order of arrival."""
    entry: EntryId
    digest: str
    received_at: str
    received_from: str
    raw: bytes = field(repr=False)


@dataclass(frozen=True, slots=True)
class Appended:
    """What one call of `EntryStore.append` did; ``position`` is the logbook's last one now."""

    new: tuple[EntryId, ...]
    known: tuple[EntryId, ...]
    position: int


@dataclass(frozen=True, slots=True)
class Snapshot:
    """A fold put away: a cache of the entries up to ``position``, never the truth."""

    position: int
    blob: bytes = field(repr=False)


@dataclass(frozen=True, slots=True)
class KeptPlan:
    """The last plan to a goal, as bytes: a cache made at ``position``, never the truth."""

    position: int
    blob: bytes = field(repr=False)


@dataclass(frozen=True, slots=True)
class BackupNote:
    """When and where the last backup went; ``at`` is an ISO 8601 instant in UTC."""

    at: str
    place: str
    entries: int


ENTRY_TABLE = "putback_entry"
"""What the table of entries is called in a backup."""


@dataclass(frozen=True, slots=True)
class Row:
    """One record of a backup: the table's name and plain values as JSON can hold them."""

    table: str
    values: Mapping[str, Any]


class EntryStore(Protocol):
    """Keeps logbooks, and the ordinary tables beside them.

    Every call is atomic, and what it returned from is durable. A call that cannot be done raises
    a `StoreError` and leaves everything as it was.
    """

    def logbooks(self) -> tuple[Shelved, ...]:
        """List the logbooks, the garage's included, by name."""

    def create_logbook(
        self,
        logbook: LogbookId,
        name: str,
        owner: PersonId,
        entries: Sequence[Entry] = (),
        received_from: str = "",
    ) -> Appended:
        """Open a logbook, owned by ``owner``, with its first entries: all of it or nothing.

        Raises
        ------
        AlreadyExists
            If there is one of this identity.
        """

    def rename(self, logbook: LogbookId, name: str) -> None:
        """List a logbook under another name; its identity stays.

        Raises
        ------
        NotFound
            If there is no such logbook.
        """

    def append(
        self,
        logbook: LogbookId,
        entries: Sequence[Entry],
        received_from: str,
        *,
        once: bool = False,
    ) -> Appended:
        """Add those entries that are not there yet, all of them or none.

        An entry is there if one of the same id *and* digest is; two of one id that differ are
        both kept. Several writers at once are served one after the other. With ``once`` nothing
        is added where any of these ids is there already, whatever it says: what was written under
        them is known then, by whichever writer.

        Raises
        ------
        NotFound
            If there is no such logbook.
        """

    def read(
        self, logbook: LogbookId, after_position: int = 0, *, newest_first: bool = False
    ) -> Iterator[Stored]:
        """Give the entries that arrived after a position, in the order of arrival or backwards."""

    def load(self, logbook: LogbookId, ids: Sequence[EntryId]) -> Iterator[Stored]:
        """Give the entries of these ids that are there, in the order of arrival."""

    def from_elsewhere(self, logbook: LogbookId, after_position: int = 0) -> Iterator[EntryId]:
        """Name the entries behind a position that did not come from the device that wrote them."""

    def position(self, logbook: LogbookId) -> int:
        """Give the position of the last entry; 0 for an empty logbook.

        Raises
        ------
        NotFound
            If there is no such logbook.
        """

    def save_snapshot(self, logbook: LogbookId, snapshot: Snapshot) -> None:
        """Keep a snapshot in the place of older ones."""

    def latest_snapshot(self, logbook: LogbookId) -> Snapshot | None:
        """Give the newest snapshot that is whole; a torn one is as if it were not there."""

    def keep_plan(self, logbook: LogbookId, goal: str, plan: KeptPlan) -> None:
        """Keep the plan that is followed to a goal, unless a newer one is there."""

    def kept_plan(self, logbook: LogbookId, goal: str) -> KeptPlan | None:
        """Give the plan kept for a goal, if it is whole; a torn one is as if it were not there."""

    def forget_plan(self, logbook: LogbookId, goal: str) -> None:
        """Keep no plan for a goal any more."""

    def keep_setting(self, logbook: LogbookId, name: str, value: str) -> None:
        """Keep how a vehicle is worked on here, in the place of what was kept under this name.

        It is of this store, not of the logbook: no bundle takes it along, a backup does.
        """

    def setting(self, logbook: LogbookId, name: str) -> str | None:
        """Give what is kept under a name; ``None`` if nobody kept anything."""

    def reserve_tags(self, device: DeviceId, count: int) -> range:
        """Reserve the next places in the order of tags for a device; no two blocks ever overlap.

        Raises
        ------
        BadInput
            If no tag is left.
        """

    def reserved_tags(self) -> tuple[tuple[DeviceId, range], ...]:
        """List what was reserved, oldest first."""

    def grant(self, logbook: LogbookId, person: PersonId, role: Role) -> None:
        """Give a person a role in a logbook, in the place of the one they had.

        Raises
        ------
        BadInput
            If nobody would own the logbook any more.
        """

    def revoke(self, logbook: LogbookId, person: PersonId) -> None:
        """Take a person's role in a logbook away.

        Raises
        ------
        NotFound
            If they have none.
        BadInput
            If nobody would own the logbook any more.
        """

    def roles(self, logbook: LogbookId) -> Mapping[PersonId, Role]:
        """Tell who may do what."""

    def last_clock(self, device: DeviceId) -> tuple[int, int]:
        """Give the latest hybrid clock of the device's entries, [ms] and counter; else (0, 0)."""

    def note_backup(self, note: BackupNote) -> None:
        """Remember that a backup was made elsewhere."""

    def last_backup(self) -> BackupNote | None:
        """Tell of the last backup made elsewhere."""


class DurableStore(EntryStore, Protocol):
    """A store that outlives the program, and so can be backed up, restored and verified."""

    @property
    def name(self) -> str:
        """Where it is, in words a person knows; no password in it."""

    def shape(self) -> Mapping[str, str]:
        """Name the version of each group of tables, so that an old backup can be read for ever."""

    def dump(self) -> AbstractContextManager[Iterator[Row]]:
        """Give every record except caches, all of one moment, while others go on writing."""

    def restore(self, shape: Mapping[str, str], rows: Iterable[Row]) -> None:
        """Fill this store, which must be empty, with what `dump` gave, and bring it up to date.

        Raises
        ------
        AlreadyExists
            If the store is not empty.
        """

    def faults(self) -> tuple[str, ...]:
        """Let the database check itself; nothing if it finds itself sound."""


class PhotoStore(Protocol):
    """Keeps the bytes of photos and sounds by their digest."""

    def put(self, content: bytes) -> PhotoId:
        """Keep the bytes, durably when it returns; the same bytes twice are kept once."""

    def get(self, photo: PhotoId) -> bytes:
        """Give the bytes back.

        Raises
        ------
        NotFound
            If there is no such photo.
        Damaged
            If the bytes are no longer those that were put.
        """

    def has(self, photo: PhotoId) -> bool:
        """Tell whether it is there."""

    def __iter__(self) -> Iterator[PhotoId]:
        """Go through all there are."""


class Clock(Protocol):
    """Tells the time."""

    def now(self) -> datetime:
        """Give the present moment, with the offset of the place where the person is."""


class SystemClock:
    """The clock of this machine."""

    def now(self) -> datetime:
        """Give the present moment in the machine's own zone."""
        return datetime.now(UTC).astimezone()


def in_utc(moment: datetime) -> str:
    """Write a moment as the store notes it: ISO 8601 in UTC, to the millisecond."""
    return moment.astimezone(UTC).isoformat(timespec="milliseconds").replace("+00:00", "Z")


def still_owned(
    roles: Mapping[PersonId, Role], person: PersonId, role: Role | None
) -> dict[PersonId, Role]:
    """Give the roles after a person's was changed, or taken away by ``None``.

    Raises
    ------
    NotFound
        If they have none that could be taken away.
    BadInput
        If nobody would own the logbook any more.
    """
    if role is None and person not in roles:
        raise NotFound("person with a role here", person)
    after = {**roles, person: role}
    left = {each: one for each, one in after.items() if one is not None}
    if Role.OWNER in roles.values() and Role.OWNER not in left.values():
        raise BadInput(
            "a vehicle needs an owner, and this is the last",
            mend="make somebody else an owner first",
        )
    return left


def no_logbook(wanted: str, shelved: Iterable[Shelved]) -> NotFound:
    """Say that there is no such logbook, with those that are named like it."""
    names = [name for each in shelved for name in (each.id, each.name)]
    return NotFound("logbook", wanted, tuple(get_close_matches(wanted, names, n=3)))
