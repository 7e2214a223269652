"""Moments as they are written in entries, on one line of time."""

from calendar import monthrange
from datetime import UTC, datetime, timedelta

SKEW_MS = 10 * 60_000
"""A clock that is this far from where it can be is reported [ms]."""


def instant_ms(moment: str) -> int:
    """Milliseconds since 1970 of an ISO 8601 instant with its offset."""
    return round(datetime.fromisoformat(moment).timestamp() * 1000)


def happened_ms(happened_at: str, logged_at: str) -> int:
    """Place a moment, however imprecise, on the line of time [ms].

    A day or a month stands at its end, where the logging phone was, but never later than it was
    logged: "today" is now, "yesterday" is after all that was done yesterday. Unknown stands
    where it was logged.
    """
    if len(happened_at) > len("2031-05-02"):
        return instant_ms(happened_at)
    logged = instant_ms(logged_at)
    if not happened_at:
        return logged
    zone = datetime.fromisoformat(logged_at).tzinfo or UTC
    year, month = int(happened_at[:4]), int(happened_at[5:7])
    day = (
        int(happened_at[8:10]) if len(happened_at) > len("2031-05") else monthrange(year, month)[1]
    )
    end = datetime(year, month, day, tzinfo=zone) + timedelta(days=1) - timedelta(milliseconds=1)
    return min(round(end.timestamp() * 1000), logged)


def moment_at(written: str) -> datetime | None:
    """Read a day or an instant that somebody typed, in UTC where it names no zone.

    What cannot be read promises nothing, and gives ``None``.
    """
    try:
        moment = datetime.fromisoformat(written)
    except ValueError:
        return None
    return moment if moment.tzinfo else moment.replace(tzinfo=UTC)


def day_words(written: str) -> str:
    """Write a day as people read it: ``29 Nov 2026``; what is no day stays as it was written.

    Examples
    --------
    >>> day_words("2026-11-29"), day_words("some day")
    ('29 Nov 2026', 'some day')
    """
    moment = moment_at(written)
    return f"{moment.day} {moment:%b %Y}" if moment else written


def moment_words(written: str) -> str:
    """Write a day, or an instant with its hour, as people read it.

    Examples
    --------
    >>> moment_words("2031-05-04"), moment_words("2031-05-04T15:30")
    ('4 May 2031', '4 May 2031, 15:30')
    """
    moment = moment_at(written)
    has_hour = moment is not None and len(written) > len("2031-05-04")
    return f"{day_words(written)}, {moment:%H:%M}" if has_hour else day_words(written)
