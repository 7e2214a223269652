"""People and their devices in the database."""

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from functools import cache

from django.contrib.auth.hashers import check_password, make_password
from django.contrib.auth.password_validation import CommonPasswordValidator
from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.db.models import F, Value
from django.db.models.functions import Right

from putback.errors import AlreadyExists, NotFound
from putback.logbook.entries.base import DeviceId, LogbookId, PersonId
from putback.web.store.models import AttemptRow, DeviceRow, PassRow, PersonRow, PutAwayRow
from putback.web.store.trouble import database_trouble
from putback.workshop.logbooks.ports import Role
from putback.workshop.people.attempts import Change, Wrong
from putback.workshop.people.passes import Pass, PassId, PassKind
from putback.workshop.people.people import Device, DeviceKind, Person


class DjangoPeopleStore:
    """Keeps people in the database that Django knows as ``alias``; Django digests passwords."""

    def __init__(self, alias: str, name: str) -> None:
        self.alias = alias
        self.name = name

    def people(self) -> tuple[Person, ...]:
        """List everybody, by name."""
        with database_trouble(self.alias, self.name):
            rows = PersonRow.objects.using(self.alias).order_by("name", "id")
            return tuple(Person(PersonId(row.id), row.name, row.created_at) for row in rows)

    def add_person(self, person: Person, password: str) -> None:
        """Keep somebody with a password."""
        digest = make_password(password)
        try:
            with self._writing():
                PersonRow.objects.using(self.alias).create(
                    id=person.id, name=person.name, created_at=person.created_at, password=digest
                )
        except IntegrityError as error:
            raise AlreadyExists("person", person.id) from error

    def rename(self, person: PersonId, name: str) -> None:
        """Call somebody otherwise."""
        with self._writing():
            rows = PersonRow.objects.using(self.alias).filter(id=person)
            if not rows.update(name=name):
                raise NotFound("person", person)

    def set_password(self, person: PersonId, password: str) -> None:
        """Give a new password."""
        digest = make_password(password)
        with self._writing():
            rows = PersonRow.objects.using(self.alias).filter(id=person)
            if not rows.update(password=digest):
                raise NotFound("person", person)

    def is_password(self, person: PersonId, password: str) -> bool:
        """Tell whether it is their password."""
        with database_trouble(self.alias, self.name):
            rows = PersonRow.objects.using(self.alias).filter(id=person)
            digest = rows.values_list("password", flat=True).first()
        if digest is None:
            make_password(password)  # so that nobody learns by the clock who is there
            return False
        return check_password(password, digest)

    def add_device(self, device: Device, token_digest: str) -> None:
        """Keep a device that signed in."""
        with self._writing():
            DeviceRow.objects.using(self.alias).create(
                id=device.id,
                person_id=device.person,
                label=device.label,
                kind=device.kind,
                token_digest=token_digest,
                made_at=device.made_at,
                seen_at=device.seen_at,
                ended_at=device.ended_at,
            )

    def device_of(self, token_digest: str) -> Device | None:
        """Give the device of a token."""
        with database_trouble(self.alias, self.name):
            row = DeviceRow.objects.using(self.alias).filter(token_digest=token_digest).first()
        return _device(row) if row is not None else None

    def devices(self, person: PersonId) -> tuple[Device, ...]:
        """List a person's devices, the last seen first."""
        with database_trouble(self.alias, self.name):
            rows = DeviceRow.objects.using(self.alias).filter(person_id=person)
            return tuple(_device(row) for row in rows.order_by("-seen_at", "id"))

    def note_seen(self, device: DeviceId, at: str) -> None:
        """Remember when a device was last seen."""
        with self._writing():
            DeviceRow.objects.using(self.alias).filter(id=device).update(seen_at=at)

    def end_device(self, device: DeviceId, at: str) -> None:
        """Sign a device out."""
        with self._writing():
            rows = DeviceRow.objects.using(self.alias).filter(id=device, ended_at="")
            rows.update(ended_at=at)

    def is_common(self, password: str) -> bool:
        """Tell whether it is on the list that Django brings along."""
        try:
            _common().validate(password)
        except ValidationError:
            return True
        return False

    # -- lists and passes -------------------------------------------------------------------

    def put_away(self, person: PersonId) -> frozenset[LogbookId]:
        """Name the vehicles that are out of a person's list."""
        with database_trouble(self.alias, self.name):
            rows = PutAwayRow.objects.using(self.alias).filter(person_id=person)
            return frozenset(map(LogbookId, rows.values_list("logbook", flat=True)))

    def set_put_away(self, person: PersonId, logbook: LogbookId, is_away: bool) -> None:
        """Take a vehicle out of a person's list, or put it back."""
        with self._writing():
            rows = PutAwayRow.objects.using(self.alias)
            if is_away:
                rows.get_or_create(person_id=person, logbook=logbook)
            else:
                rows.filter(person_id=person, logbook=logbook).delete()

    def add_pass(self, made: Pass, token_digest: str) -> None:
        """Keep a pass."""
        with self._writing():
            PassRow.objects.using(self.alias).create(
                id=made.id,
                kind=made.kind,
                token_digest=token_digest,
                person=made.person,
                made_at=made.made_at,
                expires_at=made.expires_at,
                logbook=made.logbook,
                role=made.role or "",
                used_at=made.used_at,
                used_by=made.used_by,
                withdrawn_at=made.withdrawn_at,
            )

    def passes(self, logbook: LogbookId) -> tuple[Pass, ...]:
        """List the passes to a vehicle, the newest first."""
        with database_trouble(self.alias, self.name):
            rows = PassRow.objects.using(self.alias).filter(logbook=logbook)
            return tuple(_pass(row) for row in rows.order_by("-made_at", "id"))

    def pass_of(self, token_digest: str) -> Pass | None:
        """Give the pass of a token."""
        with database_trouble(self.alias, self.name):
            row = PassRow.objects.using(self.alias).filter(token_digest=token_digest).first()
        return _pass(row) if row is not None else None

    def use_pass(self, token_digest: str, at: str, by: PersonId) -> bool:
        """Use a pass up, if it still opens: one update, which only one of two at once makes."""
        with self._writing():
            rows = PassRow.objects.using(self.alias).filter(
                token_digest=token_digest, used_at="", withdrawn_at="", expires_at__gt=at
            )
            return bool(rows.update(used_at=at, used_by=by))

    def give_pass_back(self, which: PassId) -> None:
        """Let a pass open again."""
        with self._writing():
            PassRow.objects.using(self.alias).filter(id=which).update(used_at="", used_by="")

    def withdraw_pass(self, which: PassId, at: str) -> None:
        """Let a pass open nothing any more."""
        with self._writing():
            rows = PassRow.objects.using(self.alias).filter(id=which, withdrawn_at="")
            rows.update(withdrawn_at=at)

    # -- wrong passwords --------------------------------------------------------------------

    def change_attempts(self, keys: Sequence[str], change: Change) -> None:
        """Change counts at once: their rows are locked, in one order (SQLite: the database)."""
        rows = AttemptRow.objects.using(self.alias)
        ordered = sorted(set(keys))
        with self._writing():
            rows.bulk_create([AttemptRow(key=key) for key in ordered], ignore_conflicts=True)
            found = rows.select_for_update().filter(key__in=ordered).order_by("key")
            known = {
                row.key: Wrong(row.count, row.last_at, row.wait_until, row.welcome)
                for row in found
            }
            for key, wrong in change(known).items():
                rows.filter(key=key).update(
                    count=wrong.count,
                    last_at=wrong.last_at,
                    wait_until=wrong.wait_until,
                    welcome=wrong.welcome,
                )

    def forget_attempts(self, ending: str) -> None:
        """Forget every count whose key ends so."""
        with self._writing():
            rows = AttemptRow.objects.using(self.alias)
            rows.alias(end=Right(F("key"), len(ending))).filter(end=Value(ending)).delete()

    @contextmanager
    def _writing(self) -> Iterator[None]:
        with (
            database_trouble(self.alias, self.name),
            transaction.atomic(using=self.alias, durable=True),
        ):
            yield


@cache
def _common() -> CommonPasswordValidator:
    return CommonPasswordValidator()


def _pass(row: PassRow) -> Pass:
    return Pass(
        PassId(row.id),
        PassKind(row.kind),
        PersonId(row.person),
        row.made_at,
        row.expires_at,
        LogbookId(row.logbook),
        Role(row.role) if row.role else None,
        row.used_at,
        PersonId(row.used_by),
        row.withdrawn_at,
    )


def _device(row: DeviceRow) -> Device:
    return Device(
        DeviceId(row.id),
        PersonId(row.person_id),
        row.label,
        DeviceKind(row.kind),
        row.made_at,
        row.seen_at,
        row.ended_at,
    )
