"""Hours of work as a person writes them: ``Sat 9-17, Wed 18-21``."""

import re
from collections.abc import Iterator

from putback.errors import BadInput
from putback.planning.planned_days import Stretches

DAYS = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")
_DAYS_READ = {each: number for number, each in enumerate(DAYS)} | {
    **{"mo": 0, "di": 1, "die": 1, "mi": 2, "mit": 2, "do": 3, "don": 3},
    **{"fr": 4, "fre": 4, "sa": 5, "sam": 5, "so": 6, "son": 6},
}
"""Days in English and German, by their first three letters; German ones by both of two as well."""
DAY_MINUTES = 24 * 60
USUAL_HOURS = "Sat 9-17, Wed 18-21"
"""What is taken where nobody says: a Saturday and an evening; a convention of this project."""

_ITEM = re.compile(
    r"(?P<first>[a-z]+)(?:\s*-\s*(?P<last>[a-z]+))?\s+"
    r"(?P<opens>\d{1,2}(?::\d{2})?)\s*-\s*(?P<closes>\d{1,2}(?::\d{2})?)"
)


def read_hours(words: str) -> Stretches:
    """Read stretches of the week; those that touch or overlap become one.

    Raises
    ------
    BadInput
        If it cannot be read, or no hours are left.
    """
    found: list[tuple[int, int]] = []
    for item in filter(None, (each.strip().lower() for each in words.split(","))):
        found += _read(item, words)
    joined: list[tuple[int, int]] = []
    for opens, closes in sorted(found):
        if joined and opens <= joined[-1][1]:
            joined[-1] = (joined[-1][0], max(closes, joined[-1][1]))
        else:
            joined.append((opens, closes))
    if not joined:
        raise _unclear(words)
    return tuple(joined)


def _read(item: str, words: str) -> Iterator[tuple[int, int]]:
    read = _ITEM.fullmatch(item.replace("daily", "mon-sun"))
    if read is None:
        raise _unclear(words)
    first, last = _day(read["first"], words), _day(read["last"] or read["first"], words)
    opens, closes = _minute(read["opens"], words), _minute(read["closes"], words)
    if closes <= opens:
        raise _unclear(words)
    for day in range(first, last + 1 + 7 * (last < first)):
        yield day % 7 * DAY_MINUTES + opens, day % 7 * DAY_MINUTES + closes


def _day(word: str, words: str) -> int:
    if word[:3] not in _DAYS_READ:
        raise _unclear(words)
    return _DAYS_READ[word[:3]]


def _minute(text: str, words: str) -> int:
    hour, _, minute = text.partition(":")
    at = int(hour) * 60 + int(minute or 0)
    if at > DAY_MINUTES or int(minute or 0) > 59:
        raise _unclear(words)
    return at


def _unclear(words: str) -> BadInput:
    return BadInput(
        f"“{words}” are no hours of work",
        mend="write days and hours of the day, as in: Sat 9-17, Wed 18-21:30, Mon-Fri 8-12",
    )
