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
from putback.logbook.entries.base import DeviceId, LogbookId, PersonId
from putback.workshop.logbooks.ports import Clock, in_utc
from putback.workshop.people.attempts import Attempts, AttemptStore
from putback.workshop.people.passes import PassStore

LONGEST_PASSWORD = 500
"""More is not looked at: it would only keep the machine busy [characters]."""
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


class PeopleStore(AttemptStore, PassStore, Protocol):
    """Keeps people, their devices and passes; every call is atomic and durable."""

    def people(self) -> tuple[Person, ...]:
        """List everybody, by name."""

    def add_person(self, person: Person, password: str) -> None:
        """Keep somebody with a password, of which no more than a slow digest is kept.

        Raises
        ------
        AlreadyExists
            If there is somebody of this identity.
        """

    def rename(self, person: PersonId, name: str) -> None:
        """Call somebody otherwise from now on; who they are stays.

        Raises
        ------
        NotFound
            If there is no such person.
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

    def is_common(self, password: str) -> bool:
        """Tell whether it is on the list of passwords that are tried first."""

    def put_away(self, person: PersonId) -> frozenset[LogbookId]:
        """Name the vehicles that a person does not want in their list."""

    def set_put_away(self, person: PersonId, logbook: LogbookId, is_away: bool) -> None:
        """Take a vehicle out of a person's list, or put it back; nothing else changes."""


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
        self.attempts = Attempts(store, clock)

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
            If the name is empty, or the password too short or too common.
        AlreadyExists
            If somebody is called so.
        """
        called = self.check(name, password)
        known = self.store.people()
        person = Person(identity or _identity(called, known), called, self._now())
        self.store.add_person(person, password)
        return person

    def check(self, name: str, password: str) -> str:
        """Give the name as it will be written, if somebody new may have it, with this password.

        Raises
        ------
        BadInput
            If the name is empty, or the password too short or too common.
        AlreadyExists
            If somebody is called so.
        """
        called = self._free_name(name)
        self._check_password(password, called)
        return called

    def rename(self, person: PersonId, name: str) -> Person:
        """Call somebody otherwise from now on: by that name they sign in.

        Who they are stays, and with it whatever they logged.

        Raises
        ------
        BadInput
            If the name is empty, or none that can be written.
        AlreadyExists
            If somebody else is called so.
        NotFound
            If there is no such person.
        """
        called = self._free_name(name, but=person)
        self.store.rename(person, called)
        return next(each for each in self.store.people() if each.id == person)

    def _free_name(self, name: str, but: PersonId | None = None) -> str:
        """Give a name as it will be written, if nobody else goes by it."""
        called = _name(name, "a person")
        for each in self.store.people():
            if each.id != but and called.casefold() in {each.name.casefold(), each.id.casefold()}:
                raise AlreadyExists("person", called, "take a name that tells the two apart")
        return called

    def vouch(self, name: str, password: str, address: str) -> Person:
        """Give the person whose name and password these are.

        Raises
        ------
        WaitFirst
            If there were too many wrong passwords; this one was not looked at.
        BadInput
            If name and password do not fit.
        """
        try:
            person: Person | None = self.find(name)
        except NotFound:
            person = None
        # Counted alike whether there is such a person: nobody learns it by trying.
        counted = person.id if person else PersonId(f"?{digest_of(name.strip().casefold())}")
        self.attempts.begin(counted, address)
        asked = person.id if person else PersonId("")
        if not self.store.is_password(asked, password[:LONGEST_PASSWORD]) or person is None:
            raise BadInput("name and password do not fit", mend="write both again")
        self.attempts.succeeded(person.id, address)
        return person

    def change_password(self, person: PersonId, password: str) -> None:
        """Give somebody a new password.

        Raises
        ------
        BadInput
            If it is too short or too common.
        NotFound
            If there is no such person.
        """
        known = [each.name for each in self.store.people() if each.id == person]
        self._check_password(password, *known)
        self.store.set_password(person, password)
        self.attempts.forget(person)

    def sign_in(self, person: PersonId, label: str, kind: DeviceKind) -> SignedIn:
        """Sign a person in on a device that is new to us, whoever vouched for them."""
        token = secrets.token_urlsafe(_TOKEN_BYTES)
        now = self._now()
        identity = DeviceId(f"{kind}-{secrets.token_hex(6)}")
        called = "".join(filter(str.isprintable, " ".join(label.split())))[:LONGEST_NAME]
        device = Device(identity, person, called or "a device", kind, now, now)
        self.store.add_device(device, digest_of(token))
        return SignedIn(device, token)

    def by_token(self, token: str) -> Device | None:
        """Give the device that a token opens, unless it was ended."""
        device = self.store.device_of(digest_of(token))
        return device if device is not None and not device.ended_at else None

    def end(self, device: DeviceId) -> None:
        """Sign a device out for good."""
        self.store.end_device(device, self._now())

    def end_all(self, person: PersonId, but: DeviceId | None = None) -> int:
        """Sign all devices of a person out, but for one that may stay; tell how many it were."""
        ended = [
            each.id for each in self.store.devices(person) if not each.ended_at and each.id != but
        ]
        for each in ended:
            self.end(each)
        return len(ended)

    def _check_password(self, password: str, *names: str) -> None:
        easy = "a few words in a row are easy to remember"
        if len(password) < SHORTEST_PASSWORD:
            raise BadInput(
                f"a password of {len(password)} characters is too short",
                mend=f"take {SHORTEST_PASSWORD} or more; {easy}",
            )
        if len(password) > LONGEST_PASSWORD:
            raise BadInput(
                f"a password of {len(password)} characters is too long",
                mend=f"take {LONGEST_PASSWORD} at most",
            )
        folded = password.casefold().strip()
        if any(folded == each.casefold() for each in names):
            raise BadInput("the password is the name", mend=f"take another; {easy}")
        if len(set(folded)) < 4 or self.store.is_common(password):
            raise BadInput("this password is one of those tried first", mend=easy)

    def _now(self) -> str:
        return in_utc(self.clock.now())


def digest_of(token: str) -> str:
    """Digest a token: it is random, so that a fast digest is enough."""
    return sha256(token.encode()).hexdigest()


def _name(name: str, whose: str) -> str:
    called = " ".join(name.split())
    if not called:
        raise BadInput(f"{whose} needs a name", mend="write how you are called in the garage")
    if not called.isprintable():
        raise BadInput(f"{whose} cannot be called {called!a}", mend="write letters and figures")
    if len(called) > LONGEST_NAME:
        raise BadInput(f"{len(called)} characters are too long a name", mend="take a shorter one")
    return called


def _identity(name: str, known: Sequence[Person]) -> PersonId:
    slug = re.sub(r"[^a-z0-9]+", "-", name.casefold()).strip("-")[:40] or "person"
    taken = {each.id for each in known}
    found, at = slug, 2
    while found in taken:
        found, at = f"{slug}-{at}", at + 1
    return PersonId(found)
