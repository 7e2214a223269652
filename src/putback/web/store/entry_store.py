"""The store of entries in a database: SQLite or PostgreSQL, by the same few queries."""

from collections.abc import Iterator, Mapping, Sequence
from contextlib import AbstractContextManager, contextmanager
from hashlib import sha256
from threading import local

from django.db import IntegrityError, connections, transaction
from django.db.models import F, Max, QuerySet

from putback.errors import AlreadyExists, StoreBusy
from putback.logbook.entries.base import DeviceId, Entry, EntryId, LogbookId, PersonId
from putback.logbook.tags import reserve
from putback.web.store.columns import column_text
from putback.web.store.models import (
    BackupRow,
    EntryRow,
    LogbookRow,
    PlanRow,
    RoleRow,
    SettingRow,
    SnapshotRow,
    TagBlockRow,
)
from putback.web.store.trouble import database_trouble
from putback.workshop.logbooks.ports import (
    Appended,
    BackupNote,
    Clock,
    KeptPlan,
    Role,
    Shelved,
    Snapshot,
    Stored,
    SystemClock,
    in_utc,
    no_logbook,
    still_owned,
)

_CHUNK = 1000
"""Rows fetched at once, so that no reading holds a transaction open [rows]."""
_FEW = 50
"""So few are read without asking first how many there are [rows]."""
_IDS = 500
"""Parameters of one query; SQLite takes 999 at the least."""
_LARGEST = 2**63 - 1
_ATTEMPTS = 20

_STORED = ("position", "entry", "digest", "received_at", "received_from", "raw")


class _Look(local):
    """How far each logbook goes, as this thread saw it when it last asked."""

    depth = 0
    seen: tuple[Shelved, ...] | None = None


class DjangoEntryStore:
    """Keeps logbooks in the database that Django knows as ``alias``.

    Safe under several processes: a writer locks the row of its logbook (SQLite: the database), so
    that positions have no gaps and nobody sees an entry before those that arrived earlier.
    """

    def __init__(self, alias: str, name: str, clock: Clock | None = None) -> None:
        self.alias = alias
        self.name = name
        self._clock = clock or SystemClock()
        self._look = _Look()

    @contextmanager
    def one_look(self) -> Iterator[None]:
        """Within it, this thread asks once how far each logbook goes, and anew after it wrote.

        A page asks that a dozen times, and is the better for seeing one moment only.
        """
        self._look.depth += 1
        try:
            yield
        finally:
            self._look.depth -= 1
            if not self._look.depth:
                self._look.seen = None

    # -- logbooks and roles -----------------------------------------------------------------

    def logbooks(self) -> tuple[Shelved, ...]:
        """List the logbooks by name."""
        if self._look.seen is not None:
            return self._look.seen
        # By hand, as in `position`: each page asks.
        query = "SELECT id, name, created_at, position FROM putback_logbook ORDER BY name, id"
        with self._trouble(), connections[self.alias].cursor() as cursor:
            cursor.execute(query)
            found = tuple(Shelved(LogbookId(row[0]), *row[1:]) for row in cursor.fetchall())
        if self._look.depth:
            self._look.seen = found
        return found

    def create_logbook(
        self,
        logbook: LogbookId,
        name: str,
        owner: PersonId,
        entries: Sequence[Entry] = (),
        received_from: str = "",
    ) -> Appended:
        """Open a logbook, owned by ``owner``, with its first entries: all of it or nothing."""
        with self._writing():
            rows = LogbookRow.objects.using(self.alias)
            if rows.filter(id=column_text(logbook)).exists():
                raise AlreadyExists("logbook", logbook)
            try:
                row = rows.create(
                    id=column_text(logbook), name=column_text(name), created_at=self._now()
                )
            except IntegrityError as error:  # somebody else opened it in the same moment
                raise AlreadyExists("logbook", logbook) from error
            RoleRow.objects.using(self.alias).create(
                logbook=row, person=column_text(owner), role=Role.OWNER
            )
            return self._append(row, entries, received_from)

    def rename(self, logbook: LogbookId, name: str) -> None:
        """List a logbook under another name."""
        with self._writing():
            row = self._locked(logbook)
            row.name = column_text(name)
            row.save(using=self.alias, update_fields=["name"])

    def grant(self, logbook: LogbookId, person: PersonId, role: Role) -> None:
        """Give a person a role."""
        with self._writing():
            row = self._locked(logbook)
            still_owned(self._roles(logbook), person, role)
            RoleRow.objects.using(self.alias).update_or_create(
                logbook=row, person=column_text(person), defaults={"role": role}
            )

    def revoke(self, logbook: LogbookId, person: PersonId) -> None:
        """Take a person's role away."""
        with self._writing():
            row = self._locked(logbook)
            still_owned(self._roles(logbook), person, None)
            RoleRow.objects.using(self.alias).filter(
                logbook=row, person=column_text(person)
            ).delete()

    def roles(self, logbook: LogbookId) -> Mapping[PersonId, Role]:
        """Tell who may do what."""
        with self._trouble():
            roles = self._roles(logbook)
        if not roles:
            self.position(logbook)
        return roles

    def _roles(self, logbook: LogbookId) -> dict[PersonId, Role]:
        rows = RoleRow.objects.using(self.alias).filter(logbook=column_text(logbook))
        return {PersonId(row.person): Role(row.role) for row in rows}

    # -- entries ----------------------------------------------------------------------------

    def append(
        self,
        logbook: LogbookId,
        entries: Sequence[Entry],
        received_from: str,
        *,
        once: bool = False,
    ) -> Appended:
        """Add those entries that are not there yet, all of them or none."""
        with self._writing():
            book = self._locked(logbook)
            if once and (there := self._digests(book, [entry.id for entry in entries])):
                return Appended((), tuple(EntryId(each) for each, _ in there), book.position)
            return self._append(book, entries, received_from)

    def read(
        self, logbook: LogbookId, after_position: int = 0, *, newest_first: bool = False
    ) -> Iterator[Stored]:
        """Give the entries that arrived after a position, in the order of arrival or backwards."""
        rows = EntryRow.objects.using(self.alias).filter(logbook=column_text(logbook))
        if not newest_first:  # whoever keeps up asks for the few last ones, again and again
            few = self._stored(
                rows.filter(position__gt=after_position).order_by("position")[:_FEW]
            )
            if 0 < len(few) < _FEW:
                yield from few
                return
        last = self.position(logbook)
        starts = range(after_position, last, _CHUNK)
        for start in reversed(starts) if newest_first else starts:
            chunk = rows.filter(position__gt=start, position__lte=min(start + _CHUNK, last))
            yield from self._stored(chunk.order_by("-position" if newest_first else "position"))

    def load(self, logbook: LogbookId, ids: Sequence[EntryId]) -> Iterator[Stored]:
        """Give the entries of these ids that are there, in the order of arrival."""
        self.position(logbook)
        rows = EntryRow.objects.using(self.alias).filter(logbook=column_text(logbook))
        wanted = sorted(set(ids))
        found = [
            stored
            for start in range(0, len(wanted), _IDS)
            for stored in self._stored(rows.filter(entry__in=wanted[start : start + _IDS]))
        ]
        return iter(sorted(found, key=lambda stored: stored.position))

    def from_elsewhere(self, logbook: LogbookId, after_position: int = 0) -> Iterator[EntryId]:
        """Name the entries that did not come from the device that wrote them."""
        self.position(logbook)
        rows = EntryRow.objects.using(self.alias).filter(logbook=column_text(logbook))
        with self._trouble():
            came = rows.filter(position__gt=after_position).exclude(received_from=F("device"))
            return iter([EntryId(each) for each in came.values_list("entry", flat=True)])

    def position(self, logbook: LogbookId) -> int:
        """Give the position of the last entry."""
        if self._look.depth:
            for each in self.logbooks():
                if each.id == logbook:
                    return each.position
        # Asked again and again: a query made by hand costs a fifth of an object's.
        query = "SELECT position FROM putback_logbook WHERE id = %s"
        with self._trouble(), connections[self.alias].cursor() as cursor:
            cursor.execute(query, [column_text(logbook)])
            found = cursor.fetchone()
        if found is None:
            raise no_logbook(logbook, self.logbooks())
        return int(found[0])

    def last_clock(self, device: DeviceId) -> tuple[int, int]:
        """Give the latest clock of the device's entries."""
        with self._trouble():
            rows = EntryRow.objects.using(self.alias).filter(device=column_text(device))
            last = rows.order_by("-clock_ms", "-clock_counter").first()
        return (last.clock_ms, last.clock_counter) if last else (0, 0)

    # -- snapshots, plans, tags, backups ------------------------------------------------------

    def save_snapshot(self, logbook: LogbookId, snapshot: Snapshot) -> None:
        """Keep a snapshot, unless there is a newer one."""
        with self._writing():
            book = self._locked(logbook)
            there = SnapshotRow.objects.using(self.alias).filter(logbook=book)
            if not there.filter(position__gte=snapshot.position).exists():
                SnapshotRow(
                    logbook=book,
                    position=snapshot.position,
                    digest=sha256(snapshot.blob).hexdigest(),
                    blob=snapshot.blob,
                ).save(using=self.alias)

    def latest_snapshot(self, logbook: LogbookId) -> Snapshot | None:
        """Give the newest snapshot that is whole."""
        self.position(logbook)
        with self._trouble():
            row = (
                SnapshotRow.objects.using(self.alias).filter(logbook=column_text(logbook)).first()
            )
        if row is None or sha256(row.blob).hexdigest() != row.digest:
            return None
        return Snapshot(row.position, bytes(row.blob))

    def keep_plan(self, logbook: LogbookId, goal: str, plan: KeptPlan) -> None:
        """Keep the plan to a goal, unless there is a newer one."""
        with self._writing():
            book = self._locked(logbook)
            there = PlanRow.objects.using(self.alias).filter(logbook=book, goal=column_text(goal))
            if there.filter(position__gt=plan.position).exists():
                return
            PlanRow.objects.using(self.alias).update_or_create(
                logbook=book,
                goal=column_text(goal),
                defaults={
                    "position": plan.position,
                    "digest": sha256(plan.blob).hexdigest(),
                    "blob": plan.blob,
                },
            )

    def kept_plan(self, logbook: LogbookId, goal: str) -> KeptPlan | None:
        """Give the plan kept for a goal, if it is whole."""
        self.position(logbook)
        with self._trouble():
            rows = PlanRow.objects.using(self.alias).filter(logbook=column_text(logbook))
            row = rows.filter(goal=column_text(goal)).first()
        if row is None or sha256(row.blob).hexdigest() != row.digest:
            return None
        return KeptPlan(row.position, bytes(row.blob))

    def forget_plan(self, logbook: LogbookId, goal: str) -> None:
        """Keep no plan for a goal any more."""
        with self._writing():
            book = self._locked(logbook)
            PlanRow.objects.using(self.alias).filter(logbook=book, goal=column_text(goal)).delete()

    def keep_setting(self, logbook: LogbookId, name: str, value: str) -> None:
        """Keep a setting of a vehicle."""
        with self._writing():
            SettingRow.objects.using(self.alias).update_or_create(
                logbook=self._locked(logbook),
                name=column_text(name),
                defaults={"value": column_text(value)},
            )

    def setting(self, logbook: LogbookId, name: str) -> str | None:
        """Give a setting of a vehicle."""
        self.position(logbook)
        with self._trouble():
            rows = SettingRow.objects.using(self.alias).filter(logbook=column_text(logbook))
            row = rows.filter(name=column_text(name)).first()
        return row.value if row else None

    def reserve_tags(self, device: DeviceId, count: int) -> range:
        """Reserve the next tags of the garage.

        Every block starts where the one before stops, and no two may start alike; so if two
        devices ask at once, one of them asks again.
        """
        for _ in range(_ATTEMPTS):
            try:
                with self._writing():
                    blocks = TagBlockRow.objects.using(self.alias)
                    places = reserve(blocks.aggregate(end=Max("stop"))["end"] or 0, count)
                    blocks.create(
                        start=places.start,
                        stop=places.stop,
                        device=column_text(device),
                        reserved_at=self._now(),
                    )
                return places
            except IntegrityError:
                continue
        raise StoreBusy(self.name, "many devices are reserving tags")

    def reserved_tags(self) -> tuple[tuple[DeviceId, range], ...]:
        """List what was reserved, oldest first."""
        with self._trouble():
            rows = TagBlockRow.objects.using(self.alias).order_by("start")
            return tuple((DeviceId(row.device), range(row.start, row.stop)) for row in rows)

    def note_backup(self, note: BackupNote) -> None:
        """Remember that a backup was made elsewhere."""
        with self._writing():
            BackupRow.objects.using(self.alias).create(
                at=note.at, place=column_text(note.place), entries=note.entries
            )

    def last_backup(self) -> BackupNote | None:
        """Tell of the last backup made elsewhere."""
        with self._trouble():
            row = BackupRow.objects.using(self.alias).order_by("-at").first()
        return BackupNote(row.at, row.place, row.entries) if row else None

    def close(self) -> None:
        """Let go of this thread's connection; the next call opens another."""
        connections[self.alias].close()

    # -- inside -----------------------------------------------------------------------------

    def _now(self) -> str:
        return in_utc(self._clock.now())

    def _trouble(self) -> AbstractContextManager[None]:
        return database_trouble(self.alias, self.name)

    @contextmanager
    def _writing(self) -> Iterator[None]:
        """One transaction, durable when it is left."""
        try:
            with self._trouble(), transaction.atomic(using=self.alias, durable=True):
                yield
        finally:
            self._look.seen = None

    def _locked(self, logbook: LogbookId) -> LogbookRow:
        """Give the logbook's row, kept from all other writers until the transaction ends."""
        rows = LogbookRow.objects.using(self.alias).select_for_update()
        book = rows.filter(id=column_text(logbook)).first()
        if book is None:
            raise no_logbook(logbook, self.logbooks())
        return book

    def _append(self, book: LogbookRow, entries: Sequence[Entry], received_from: str) -> Appended:
        """Add to a logbook that is locked, within the transaction that locked it."""
        there = self._digests(book, [entry.id for entry in entries])
        position, received_at, sender = book.position, self._now(), column_text(received_from)
        rows: list[EntryRow] = []
        known: list[EntryId] = []
        for entry in entries:
            if (entry.id, entry.digest) in there:
                known.append(entry.id)
                continue
            there.add((entry.id, entry.digest))
            position += 1
            rows.append(
                EntryRow(
                    logbook=book,
                    position=position,
                    entry=entry.id,
                    digest=entry.digest,
                    kind=column_text(entry.kind),
                    device=column_text(entry.device),
                    clock_ms=_number(entry.clock[0]),
                    clock_counter=_number(entry.clock[1]),
                    raw=entry.raw,
                    received_at=received_at,
                    received_from=sender,
                )
            )
        if rows:
            EntryRow.objects.using(self.alias).bulk_create(rows)
            book.position = position
            book.save(using=self.alias, update_fields=["position"])
        return Appended(tuple(EntryId(row.entry) for row in rows), tuple(known), position)

    def _digests(self, book: LogbookRow, ids: Sequence[EntryId]) -> set[tuple[str, str]]:
        rows = EntryRow.objects.using(self.alias).filter(logbook=book)
        return {
            pair
            for start in range(0, len(ids), _IDS)
            for pair in rows.filter(entry__in=ids[start : start + _IDS]).values_list(
                "entry", "digest"
            )
        }

    def _stored(self, rows: QuerySet[EntryRow]) -> list[Stored]:
        with self._trouble():
            return [
                Stored(position, EntryId(entry), digest, received_at, received_from, bytes(raw))
                for position, entry, digest, received_at, received_from, raw in rows.values_list(
                    *_STORED
                )
            ]


def _number(value: int) -> int:
    """What a number column can hold: a phone may claim any clock."""
    return max(-_LARGEST, min(value, _LARGEST))
