"""People and their devices in the database."""

from collections.abc import Iterator
from contextlib import contextmanager

from django.contrib.auth.hashers import check_password, make_password
from django.db import IntegrityError, transaction

from putback.errors import AlreadyExists, NotFound
from putback.logbook.entries.base import DeviceId, PersonId
from putback.web.store.models import DeviceRow, PersonRow
from putback.web.store.trouble import database_trouble
from putback.workshop.people import Device, DeviceKind, Person


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

    @contextmanager
    def _writing(self) -> Iterator[None]:
        with (
            database_trouble(self.alias, self.name),
            transaction.atomic(using=self.alias, durable=True),
        ):
            yield


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
