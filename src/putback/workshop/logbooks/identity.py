"""Identities and hybrid clocks for new entries.

An id is a UUIDv7 (RFC 9562, 5.7), so that ids sort roughly by when they were made; those of one
generator sort exactly so. A hybrid logical clock (Kulkarni and others 2014, "Logical Physical
Clocks") stays close to the wall clock, yet never stands behind anything its device has seen.
"""

import secrets
import uuid
from collections.abc import Callable
from dataclasses import dataclass, field
from hashlib import sha256
from threading import Lock

_COUNTER_BITS = 42
_TAIL_BITS = 32
_VERSION = 7
_COUNTER_STARTS_BELOW = 1 << (_COUNTER_BITS - 1)
"""The counter begins in its lower half (RFC 9562, 6.2), so that it has room to count."""

Random = Callable[[int], int]
"""Gives that many random bits."""


@dataclass(slots=True)
class Identities:
    """Makes UUIDv7s, each greater than the last, whatever the wall clock does.

    The 74 bits after the time stamp are a counter of 42, started at random in every millisecond,
    and a random tail of 32 (RFC 9562, 6.2, method 1). If the wall clock stands still or goes back,
    the counter goes on; if it ran over, the time stamp is moved on instead.
    """

    random: Random = secrets.randbits
    _last_ms: int = -1
    _counter: int = 0
    _lock: Lock = field(default_factory=Lock, repr=False)

    def next(self, now_ms: int) -> str:
        """Make an identity at ``now_ms``, milliseconds since 1970 [ms]."""
        with self._lock:
            if now_ms > self._last_ms:
                self._start(now_ms)
            else:
                self._counter += 1
                if self._counter >> _COUNTER_BITS:
                    self._start(self._last_ms + 1)
            return str(_layout(self._last_ms, self._counter, self.random(_TAIL_BITS)))

    def _start(self, at_ms: int) -> None:
        self._last_ms = at_ms
        self._counter = self.random(_COUNTER_BITS) % _COUNTER_STARTS_BELOW


def following(identity: str, *said: str) -> str:
    """Give the UUIDv7 that follows from another and from what is said: each time the same.

    The time stamp is the other's. The 74 bits after it are the first of a SHA-256 over both, for
    RFC 9562, 6.9, asks that nobody can foresee them and not where they come from.

    Raises
    ------
    ValueError
        If the other is no UUIDv7.
    """
    other = uuid.UUID(identity)
    if other.version != _VERSION:
        raise ValueError(identity)
    words = "\0".join((str(other), *said)).encode(errors="surrogatepass")
    rest = int.from_bytes(sha256(words).digest()) >> (256 - _COUNTER_BITS - _TAIL_BITS)
    counter, tail = divmod(rest, 1 << _TAIL_BITS)
    return str(_layout(other.int >> 80, counter, tail))


def _layout(at_ms: int, counter: int, tail: int) -> uuid.UUID:
    """Lay out the 128 bits: time 48, version 4, 12 more, variant 2, 62 more."""
    rest = counter << _TAIL_BITS | tail
    high, low = rest >> 62, rest & ((1 << 62) - 1)
    return uuid.UUID(int=at_ms << 80 | _VERSION << 76 | high << 64 | 0b10 << 62 | low)


@dataclass(slots=True)
class HybridClock:
    """A clock [ms] and a counter, always later than all that was told and seen before."""

    last: tuple[int, int] = (0, 0)
    _lock: Lock = field(default_factory=Lock, repr=False)

    def tick(self, now_ms: int) -> tuple[int, int]:
        """Give the clock of a new entry made at ``now_ms`` [ms]."""
        with self._lock:
            ms, counter = self.last
            self.last = (now_ms, 0) if now_ms > ms else (ms, counter + 1)
            return self.last

    def see(self, clock: tuple[int, int]) -> None:
        """Stand behind nothing that was seen."""
        with self._lock:
            self.last = max(self.last, clock)
