"""When something happened, as a person says it: a day by its word, a date, an instant, unknown."""

import re
from collections.abc import Sequence
from datetime import date, datetime, timedelta

from putback.errors import BadInput

WEEKDAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")
_DAYS_AGO = {"today": 0, "yesterday": 1}
_SHORTEST_WEEKDAY = 3  # letters: mon, tue ...
_EARLY = re.compile(r"(?P<day>\d{4}-\d\d-\d\d)[T ](?P<time>\d:)")
"""A quarter past nine as it is typed: 9:15."""


def moment(said: str | None, now: datetime) -> str | None:
    """Read when something happened: ``today``, ``tuesday``, a day, a month, ``unknown``.

    A weekday is the last one before today. ``None`` is now, an empty text is unknown.

    Raises
    ------
    BadInput
        If it is none of these.
    """
    if said is None:
        return None
    words = said.strip().casefold()
    days_ago = _DAYS_AGO.get(words, _since_weekday(words, now))
    if days_ago is not None:
        return (now - timedelta(days=days_ago)).date().isoformat()
    if words == "now":
        return None
    if words == "unknown":
        return ""
    try:
        if re.fullmatch(r"\d{4}-\d\d", words):
            return date.fromisoformat(f"{words}-01").isoformat()[:7]
        if re.fullmatch(r"\d{4}-\d\d-\d\d", words):
            return date.fromisoformat(words).isoformat()
        stamp = datetime.fromisoformat(_EARLY.sub(r"\g<day>T0\g<time>", words.upper()))
    except (ValueError, OverflowError) as error:
        raise BadInput(
            f"{said!r} is no moment",
            mend="say now, today, yesterday, tuesday, 2031-05-02, 2031-05, 2031-05-02T14:30 "
            "or unknown",
        ) from error
    return (stamp if stamp.tzinfo else stamp.replace(tzinfo=now.tzinfo)).isoformat()


def parted_moment(words: Sequence[str]) -> tuple[list[str], str | None]:
    """Part a line into its words and the moment that it begins or ends with: ``@yesterday``."""
    rest = list(words)
    for at in (-1, 0):
        if len(rest) > 1 and len(rest[at]) > 1 and rest[at].startswith("@"):
            return rest, rest.pop(at)[1:]
    return rest, None


def _since_weekday(words: str, now: datetime) -> int | None:
    """Count the days since the last such weekday before today."""
    if len(words) < _SHORTEST_WEEKDAY:
        return None
    found = [at for at, name in enumerate(WEEKDAYS) if name.startswith(words)]
    return (now.weekday() - found[0] - 1) % 7 + 1 if len(found) == 1 else None
