"""How far the clock of whoever asks is ahead of UTC, while their request is answered."""

from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from datetime import timedelta, timezone, tzinfo

_MOST_AHEAD = 14 * 60
"""No clock on earth is further from UTC [minutes]."""

_zone: ContextVar[tzinfo | None] = ContextVar("zone", default=None)


def zone_there() -> tzinfo | None:
    """Give the zone of whoever asks just now; ``None`` where nobody said."""
    return _zone.get()


@contextmanager
def in_zone(minutes_ahead: str) -> Iterator[None]:
    """Answer somebody whose clock is so far ahead of UTC [minutes]; what is none says nothing."""
    token = _zone.set(_read(minutes_ahead))
    try:
        yield
    finally:
        _zone.reset(token)


def _read(minutes_ahead: str) -> tzinfo | None:
    figures = minutes_ahead.removeprefix("-")
    if not (figures.isascii() and figures.isdecimal() and len(figures) < 4):
        return None
    ahead = int(minutes_ahead)
    return timezone(timedelta(minutes=ahead)) if abs(ahead) <= _MOST_AHEAD else None
