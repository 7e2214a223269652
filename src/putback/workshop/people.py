"""Who may come in: people, their passwords, and the devices they are signed in on.

Ordinary records beside the logbooks, as they are no part of a vehicle's truth. A *device* is one
phone, browser or program of a person: it is signed in until it is ended, and its identity is what
its entries bear. A token opens it; only the token's digest is kept.
"""

import re
import secrets
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from hashlib import sha256
from typing import Protocol

from putback.errors import AlreadyExists, BadInput, NotFound
from putback.logbook.entries.base import DeviceId, PersonId
from putback.workshop.ports import Clock, in_utc

LONGEST_NAME = 120
"""Of a person or a device [characters]."""
SHORTEST_PASSWORD = 10
"""A password's least length [characters]: NIST SP 800-63B asks for 8 at the least, from memory."""
_TOKEN_BYTES = 32


class DeviceKind(StrEnum):
    """What sort of device a person is signed in on."""

    BROWSER = "browser"  # by a cookie
    PROGRAM = "program"  # by a token that it sends


@dataclass(frozen=True, slots=True)
class Person:
    """Somebody who may sign in; moments as ISO 8601 in UTC."""

    id: PersonId
    name: str
    created_at: str


@dataclass(frozen=True, slots=True)
class Device:
    """A device that a person is signed in on, until ``ended_at``."""

    id: DeviceId
    person: PersonId
    label: str
    kind: DeviceKind
    made_at: str
    seen_at: str
    ended_at: str = ""


class PeopleStore(Protocol):
    """Keeps people and their devices; every call is atomic and durable."""

    def people(self) -> tuple[Person, ...]:
        """List everybody, by name."""

    def add_person(self, person: Person, password: str) -> None:
        """Keep somebody with a password, of which no more than a slow digest is kept.

        Raises
        ------
        AlreadyExists
            If there is somebody of this identity.
        """

    def set_password(self, person: PersonId, password: str) -> None:
        """Give a new password in the place of the old one.

        Raises
        ------
        NotFound
            If there is no such person.
        """

    def is_password(self, person: PersonId, password: str) -> bool:
        """Tell whether it is their password; as slowly for somebody who is not there."""

    def add_device(self, device: Device, token_digest: str) -> None:
        """Keep a device that signed in."""

    def device_of(self, token_digest: str) -> Device | None:
        """Give the device of a token, ended or not."""

    def devices(self, person: PersonId) -> tuple[Device, ...]:
        """List a person's devices, the last seen first."""

    def note_seen(self, device: DeviceId, at: str) -> None:
        """Remember when a device was last seen."""

    def end_device(self, device: DeviceId, at: str) -> None:
        """Sign a device out for good."""


@dataclass(frozen=True, slots=True)
class SignedIn:
    """A device that has just signed in, and the token that opens it, shown this once."""

    device: Device
    token: str


class People:
    """The use cases of who may come in.

    Parameters
    ----------
    store : PeopleStore
        Where people and devices are kept.
    clock : Clock
        Tells the time.
    """

    def __init__(self, store: PeopleStore, clock: Clock) -> None:
        self.store = store
        self.clock = clock

    def find(self, named: str) -> Person:
        """Find somebody by identity or name.

        Raises
        ------
        NotFound
            If nobody is called so.
        """
        wanted = named.strip().casefold()
        for person in self.store.people():
            if wanted in {person.id.casefold(), person.name.casefold()}:
                return person
        raise NotFound("person", named)

    def add(self, name: str, password: str, identity: PersonId | None = None) -> Person:
        """Let somebody in from now on.

        Raises
        ------
        BadInput
            If the name is empty or the password too short.
        AlreadyExists
            If somebody is called so.
        """
        called = _name(name, "a person")
        _check_password(password)
        known = self.store.people()
        if any(called.casefold() == each.name.casefold() for each in known):
            raise AlreadyExists("person", called, "take a name that tells the two apart")
        person = Person(identity or _identity(called, known), called, self._now())
        self.store.add_person(person, password)
        return person

    def change_password(self, person: PersonId, password: str) -> None:
        """Give somebody a new password.

        Raises
        ------
        BadInput
            If it is too short.
        NotFound
            If there is no such person.
        """
        _check_password(password)
        self.store.set_password(person, password)

    def sign_in(self, person: PersonId, label: str, kind: DeviceKind) -> SignedIn:
        """Sign a person in on a device that is new to us, whoever vouched for them."""
        token = secrets.token_urlsafe(_TOKEN_BYTES)
        now = self._now()
        identity = DeviceId(f"{kind}-{secrets.token_hex(6)}")
        device = Device(identity, person, label.strip()[:LONGEST_NAME], kind, now, now)
        self.store.add_device(device, digest_of(token))
        return SignedIn(device, token)

    def by_token(self, token: str) -> Device | None:
        """Give the device that a token opens, unless it was ended."""
        device = self.store.device_of(digest_of(token))
        return device if device is not None and not device.ended_at else None

    def end(self, device: DeviceId) -> None:
        """Sign a device out for good."""
        self.store.end_device(device, self._now())

    def _now(self) -> str:
        return in_utc(self.clock.now())


def digest_of(token: str) -> str:
    """Digest a token: it is random, so that a fast digest is enough."""
    return sha256(token.encode()).hexdigest()


def _name(name: str, whose: str) -> str:
    called = " ".join(name.split())
    if not called:
        raise BadInput(f"{whose} needs a name", mend="write how you are called in the garage")
    if len(called) > LONGEST_NAME:
        raise BadInput(f"{len(called)} characters are too long a name", mend="take a shorter one")
    return called


def _check_password(password: str) -> None:
    if len(password) < SHORTEST_PASSWORD:
        raise BadInput(
            f"a password of {len(password)} characters is too short",
            mend=f"take {SHORTEST_PASSWORD} or more; a few words in a row are easy to remember",
        )


def _identity(name: str, known: Sequence[Person]) -> PersonId:
    slug = re.sub(r"[^a-z0-9]+", "-", name.casefold()).strip("-")[:40] or "person"
    taken = {each.id for each in known}
    found, at = slug, 2
    while found in taken:
        found, at = f"{slug}-{at}", at + 1
    return PersonId(found)
