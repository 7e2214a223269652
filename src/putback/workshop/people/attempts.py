"""Signing in with a wrong password again and again: a growing wait, told in words.

Wrong passwords are counted for a person from one address, for an address whoever is tried, and for
a person from wherever. The last of these is what many addresses together run into: its wait is
short, and does not hold for an address from which the person has signed in before, so that a
stranger can slow an owner down and never lock them out. Counts are kept in the store, so that all
workers agree. An attempt is counted before the password is looked at: many at once gain nothing.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from ipaddress import IPv6Address, ip_address
from typing import Protocol

from putback.errors import BadInput
from putback.logbook.entries.base import PersonId
from putback.workshop.logbooks.ports import Clock, in_utc

FORGOTTEN_AFTER = timedelta(hours=24)
"""So long after the last wrong password nothing is counted any more."""


@dataclass(frozen=True, slots=True)
class Wrong:
    """Wrong passwords of one sort: how many, when the last was, and when to try again.

    ``welcome`` marks an address from which the person has signed in.
    """

    count: int = 0
    last_at: str = ""
    wait_until: str = ""
    welcome: bool = False


@dataclass(frozen=True, slots=True)
class Patience:
    """How many wrong passwords are free, and how the wait grows: it doubles with each."""

    free: int
    first_s: int
    longest_s: int

    def wait_s(self, count: int) -> int:
        """How long to wait after so many wrong passwords [s]."""
        over = count - self.free
        if over <= 0:
            return 0
        return int(min(self.first_s * 2 ** min(over - 1, 20), self.longest_s))


PAIR = Patience(free=5, first_s=15, longest_s=15 * 60)
ADDRESS = Patience(free=20, first_s=15, longest_s=60 * 60)
ANYWHERE = Patience(free=20, first_s=5, longest_s=30)

Change = Callable[[Mapping[str, Wrong]], Mapping[str, Wrong]]


class AttemptStore(Protocol):
    """Keeps the counts."""

    def change_attempts(self, keys: Sequence[str], change: Change) -> None:
        """Change the counts of these keys at once, while nobody else does.

        ``change`` is given those that are there, and gives those to keep; it may raise, and then
        nothing is changed.
        """

    def forget_attempts(self, ending: str) -> None:
        """Forget every count whose key ends so."""


@dataclass(eq=False)
class WaitFirst(BadInput):
    """Too many wrong passwords: try again later."""

    wait_s: int = 0

    def remedy(self) -> str:
        """How to mend it."""
        return (
            f"try again in {_in_words(self.wait_s)}; whoever is at the machine can set a new "
            "password by: putback people reset-password"
        )


@dataclass(frozen=True, slots=True)
class Attempts:
    """The use cases of counting wrong passwords."""

    store: AttemptStore
    clock: Clock

    def begin(self, person: PersonId | None, address: str) -> None:
        """Count an attempt before its password is looked at.

        Parameters
        ----------
        person : PersonId or None
            Who is to sign in; ``None`` if the name is nobody's.

        Raises
        ------
        WaitFirst
            If it is too early; it was not counted then.
        """
        keys = _keys(person, address)
        now = self.clock.now()

        def change(known: Mapping[str, Wrong]) -> Mapping[str, Wrong]:
            counts = {key: _fresh(known.get(key, Wrong()), now) for key in keys}
            welcome = any(each.welcome for each in counts.values())
            wait_s = max(
                _left_s(each, now)
                for key, each in counts.items()
                if not (welcome and _patience(key) is ANYWHERE)
            )
            if wait_s:
                raise WaitFirst("too many wrong passwords", wait_s=wait_s)
            return {key: _counted(key, each, now) for key, each in counts.items()}

        self.store.change_attempts(keys, change)

    def succeeded(self, person: PersonId, address: str) -> None:
        """Forget what was counted for them here, and remember that they were here."""
        keys = _keys(person, address)
        now = self.clock.now()

        def change(known: Mapping[str, Wrong]) -> Mapping[str, Wrong]:
            return {
                key: _taken_back(known.get(key, Wrong()))
                if _patience(key) is ADDRESS  # others may be tried from there
                else Wrong(last_at=in_utc(now), welcome=_patience(key) is PAIR)
                for key in keys
            }

        self.store.change_attempts(keys, change)

    def forget(self, person: PersonId) -> None:
        """Forget every count for a person: they were given a new password."""
        self.store.forget_attempts(f"person:{person}")


def network_of(address: str) -> str:
    """Give what stands for an address: itself, or of IPv6 the /64 that one household has."""
    try:
        found = ip_address(address)
    except ValueError:
        return "elsewhere"
    if isinstance(found, IPv6Address):
        mapped = found.ipv4_mapped
        return str(mapped) if mapped else f"{found.exploded[:19]}::"
    return str(found)


def _keys(person: PersonId | None, address: str) -> tuple[str, ...]:
    at = f"at:{network_of(address)}"
    return (at,) if person is None else (at, f"{at} person:{person}", f"person:{person}")


def _patience(key: str) -> Patience:
    if key.startswith("person:"):
        return ANYWHERE
    return PAIR if " person:" in key else ADDRESS


def _fresh(wrong: Wrong, now: datetime) -> Wrong:
    is_old = bool(wrong.last_at) and now - datetime.fromisoformat(wrong.last_at) > FORGOTTEN_AFTER
    return Wrong(welcome=wrong.welcome) if is_old else wrong


def _left_s(wrong: Wrong, now: datetime) -> int:
    if not wrong.wait_until:
        return 0
    left_s = (datetime.fromisoformat(wrong.wait_until) - now).total_seconds()
    return max(0, -int(-left_s // 1))


def _counted(key: str, wrong: Wrong, now: datetime) -> Wrong:
    count = wrong.count + 1
    wait_s = _patience(key).wait_s(count)
    until = in_utc(now + timedelta(seconds=wait_s)) if wait_s else ""
    return replace(wrong, count=count, last_at=in_utc(now), wait_until=until)


def _taken_back(wrong: Wrong) -> Wrong:
    """One that was counted turned out right."""
    return replace(wrong, count=max(0, wrong.count - 1), wait_until="")


def _in_words(wait_s: int) -> str:
    if wait_s < 90:
        return f"{wait_s} seconds"
    return f"{-(-wait_s // 60)} minutes"
