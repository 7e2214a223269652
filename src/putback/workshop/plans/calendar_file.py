"""The days of a calendar as an iCalendar file, for whatever keeps people's appointments.

Source: RFC 5545. Moments are local and name no zone (section 3.3.5, form 1): the clock on the
garage wall, wherever the reader is.
"""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from hashlib import sha256

from putback.errors import BadInput
from putback.workshop.plans.calendar_told import Day, Session

_OCTETS = 75
"""Of a line at most, without its end (RFC 5545, 3.1) [octets]."""
MOST_LISTED = 60
"""Jobs of one stretch that are written out."""


@dataclass(frozen=True, slots=True)
class Stretch:
    """Work from when somebody begins until nobody works any more."""

    begins: datetime
    ends: datetime
    sessions: tuple[Session, ...]


def stretches_of(days: Sequence[Day]) -> tuple[Stretch, ...]:
    """Join what is worked on without a break; what only waits is left away."""
    found: list[Stretch] = []
    for day in days:
        for each in day.sessions:
            if not each.who:
                continue
            if found and each.begins <= found[-1].ends:
                last = found.pop()
                ends = max(last.ends, each.ends)
                found.append(Stretch(last.begins, ends, (*last.sessions, each)))
            else:
                found.append(Stretch(each.begins, each.ends, (each,)))
    return tuple(found)


def calendar_file(
    name: str,
    days: Sequence[Day],
    made_at: datetime,
    key: str,
    tell: Callable[[str], str] = str,
) -> str:
    """Write an iCalendar file with an event for each stretch of work.

    Parameters
    ----------
    name : str
        What the vehicle is called.
    days : sequence of Day
        What is to be done.
    made_at : datetime
        When it was reckoned; with its offset.
    key : str
        Tells the events of this vehicle from those of others.
    tell : callable
        Tells a text in the language of the reader.

    Raises
    ------
    BadInput
        If nothing is left to do: a file without any event is none (RFC 5545, 3.6).
    """
    stretches = stretches_of(days)
    if not stretches:
        raise BadInput("nothing is left to do", mend="no file was made")
    lines = ["BEGIN:VCALENDAR", "VERSION:2.0", "PRODID:-//Putback//Calendar//EN"]
    for each in stretches:
        lines += _event(name, each, made_at, key, tell)
    lines.append("END:VCALENDAR")
    return "".join(f"{line}\r\n" for each in lines for line in _folded(each))


def _event(
    name: str, stretch: Stretch, made_at: datetime, key: str, tell: Callable[[str], str]
) -> Iterator[str]:
    begins = f"{stretch.begins:%Y%m%dT%H%M%S}"
    yield "BEGIN:VEVENT"
    yield f"UID:{sha256(f'{key} {begins}'.encode()).hexdigest()[:32]}@putback"
    yield f"DTSTAMP:{made_at.astimezone(UTC):%Y%m%dT%H%M%SZ}"
    yield f"DTSTART:{begins}"
    yield f"DTEND:{stretch.ends:%Y%m%dT%H%M%S}"
    yield f"SUMMARY:{_text(name)}"
    told = [_line(each, tell) for each in stretch.sessions[:MOST_LISTED]]
    if (more := len(stretch.sessions) - MOST_LISTED) > 0:
        told.append(tell(f"{more} more"))
    yield f"DESCRIPTION:{_text(chr(10).join(told))}"
    yield "END:VEVENT"


def _line(session: Session, tell: Callable[[str], str]) -> str:
    who = ", ".join(map(tell, session.who))
    return f"{session.begins:%H:%M}-{session.ends:%H:%M} {who}: {tell(str(session.work))}"


def _text(words: str) -> str:
    """Escape a text (RFC 5545, 3.3.11)."""
    escaped = words.replace("\r", "").replace("\\", "\\\\").replace(";", "\\;").replace(",", "\\,")
    return escaped.replace("\n", "\\n")


def _folded(line: str) -> Iterator[str]:
    """Fold a line, between characters: what goes on begins with a space (RFC 5545, 3.1)."""
    lead, rest = "", line
    while len((lead + rest).encode()) > _OCTETS:
        cut = _OCTETS
        while len((lead + rest[:cut]).encode()) > _OCTETS:
            cut -= 1
        yield lead + rest[:cut]
        lead, rest = " ", rest[cut:]
    yield lead + rest
