"""People, devices and passes in memory: for tests, and to keep the port honest."""

from collections.abc import Sequence
from dataclasses import replace
from threading import RLock

from putback.errors import AlreadyExists, NotFound
from putback.logbook.entries.base import DeviceId, LogbookId, PersonId
from putback.workshop.people.attempts import Change, Wrong
from putback.workshop.people.passes import Pass, PassId
from putback.workshop.people.people import Device, Person

_COMMON = frozenset({"1234567890", "qwertyuiop", "password123"})


class MemoryPeopleStore:
    """Keeps people as long as it lives itself; safe under several threads.

    Passwords are kept as they are: nobody outside the process sees them.
    """

    def __init__(self) -> None:
        self._lock = RLock()
        self._people: dict[PersonId, Person] = {}
        self._passwords: dict[PersonId, str] = {}
        self._devices: dict[DeviceId, Device] = {}
        self._tokens: dict[str, DeviceId] = {}
        self._passes: dict[PassId, Pass] = {}
        self._pass_tokens: dict[str, PassId] = {}
        self._attempts: dict[str, Wrong] = {}
        self._away: set[tuple[PersonId, LogbookId]] = set()

    def people(self) -> tuple[Person, ...]:
        """List everybody, by name."""
        return tuple(sorted(self._people.values(), key=lambda each: (each.name, each.id)))

    def add_person(self, person: Person, password: str) -> None:
        """Keep somebody with a password."""
        with self._lock:
            if person.id in self._people:
                raise AlreadyExists("person", person.id)
            self._people[person.id] = person
            self._passwords[person.id] = password

    def rename(self, person: PersonId, name: str) -> None:
        """Call somebody otherwise."""
        with self._lock:
            if person not in self._people:
                raise NotFound("person", person)
            self._people[person] = replace(self._people[person], name=name)

    def set_password(self, person: PersonId, password: str) -> None:
        """Give a new password."""
        with self._lock:
            if person not in self._people:
                raise NotFound("person", person)
            self._passwords[person] = password

    def is_password(self, person: PersonId, password: str) -> bool:
        """Tell whether it is their password."""
        return self._passwords.get(person) == password

    def is_common(self, password: str) -> bool:
        """Tell whether it is tried first."""
        return password.casefold() in _COMMON

    def add_device(self, device: Device, token_digest: str) -> None:
        """Keep a device that signed in."""
        with self._lock:
            self._devices[device.id] = device
            self._tokens[token_digest] = device.id

    def device_of(self, token_digest: str) -> Device | None:
        """Give the device of a token."""
        found = self._tokens.get(token_digest)
        return self._devices[found] if found is not None else None

    def devices(self, person: PersonId) -> tuple[Device, ...]:
        """List a person's devices, the last seen first."""
        own = sorted(
            (each for each in self._devices.values() if each.person == person),
            key=lambda each: each.id,
        )
        return tuple(sorted(own, key=lambda each: each.seen_at, reverse=True))

    def note_seen(self, device: DeviceId, at: str) -> None:
        """Remember when a device was last seen."""
        with self._lock:
            self._devices[device] = replace(self._devices[device], seen_at=at)

    def end_device(self, device: DeviceId, at: str) -> None:
        """Sign a device out."""
        with self._lock:
            if device in self._devices and not self._devices[device].ended_at:
                self._devices[device] = replace(self._devices[device], ended_at=at)

    def put_away(self, person: PersonId) -> frozenset[LogbookId]:
        """Name the vehicles that are out of a person's list."""
        return frozenset(logbook for each, logbook in self._away if each == person)

    def set_put_away(self, person: PersonId, logbook: LogbookId, is_away: bool) -> None:
        """Take a vehicle out of a person's list, or put it back."""
        with self._lock:
            (self._away.add if is_away else self._away.discard)((person, logbook))

    def add_pass(self, made: Pass, token_digest: str) -> None:
        """Keep a pass."""
        with self._lock:
            self._passes[made.id] = made
            self._pass_tokens[token_digest] = made.id

    def passes(self, logbook: LogbookId) -> tuple[Pass, ...]:
        """List the passes to a vehicle, the newest first."""
        own = sorted(
            (each for each in self._passes.values() if each.logbook == logbook),
            key=lambda each: each.id,
        )
        return tuple(sorted(own, key=lambda each: each.made_at, reverse=True))

    def pass_of(self, token_digest: str) -> Pass | None:
        """Give the pass of a token."""
        found = self._pass_tokens.get(token_digest)
        return self._passes[found] if found is not None else None

    def use_pass(self, token_digest: str, at: str, by: PersonId) -> bool:
        """Use a pass up, if it still opens."""
        with self._lock:
            found = self.pass_of(token_digest)
            if found is None or not found.opens_at(at):
                return False
            self._passes[found.id] = replace(found, used_at=at, used_by=by)
            return True

    def give_pass_back(self, which: PassId) -> None:
        """Let a pass open again."""
        with self._lock:
            self._passes[which] = replace(self._passes[which], used_at="", used_by=PersonId(""))

    def withdraw_pass(self, which: PassId, at: str) -> None:
        """Let a pass open nothing any more."""
        with self._lock:
            if not self._passes[which].withdrawn_at:
                self._passes[which] = replace(self._passes[which], withdrawn_at=at)

    def change_attempts(self, keys: Sequence[str], change: Change) -> None:
        """Change counts at once."""
        with self._lock:
            known = {key: self._attempts[key] for key in keys if key in self._attempts}
            self._attempts |= change(known)

    def forget_attempts(self, ending: str) -> None:
        """Forget every count whose key ends so."""
        with self._lock:
            for key in [each for each in self._attempts if each.endswith(ending)]:
                del self._attempts[key]
