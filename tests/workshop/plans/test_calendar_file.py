"""Days as an iCalendar file, held against RFC 5545."""

import re
from datetime import UTC, date, datetime, time

import pytest

from putback.errors import BadInput
from putback.workshop.plans.calendar_file import calendar_file, stretches_of
from putback.workshop.plans.calendar_told import Day, Piece, Session, Work

SATURDAY = date(2032, 1, 10)
NOTHING = Work((), 0, "axle stands")
MADE = datetime(2032, 1, 1, 12, tzinfo=UTC)


def session(begins: str, ends: str, who: tuple[str, ...] = ("Ann",), work=NOTHING) -> Session:
    """A session of that Saturday."""
    moments = [datetime.combine(SATURDAY, time.fromisoformat(each)) for each in (begins, ends)]
    return Session(*moments, who, work, is_short=False)


def file_of(*sessions: Session, name: str = "Old Dunlin") -> list[str]:
    """The lines of a file, unfolded as RFC 5545, 3.1, says: a break and a space are nothing."""
    text = calendar_file(name, [Day(SATURDAY, sessions)], MADE, "plover strip")
    assert text.endswith("\r\n")
    assert "\n" not in text.replace("\r\n", "")
    assert all(len(line.encode()) <= 75 for line in text.split("\r\n"))
    return text.replace("\r\n ", "").split("\r\n")[:-1]


def test_work_without_a_break_is_one_event_and_what_only_waits_is_none():
    """From when the first begins until the last ends, whoever it is."""
    sessions = (
        session("09:00", "10:00"),
        session("09:30", "11:00", ("Bob",)),
        session("11:00", "12:00"),
        session("12:00", "13:00", ()),
        session("14:00", "15:00"),
    )
    found = stretches_of([Day(SATURDAY, sessions)])
    assert [(each.begins.hour, each.ends.hour) for each in found] == [(9, 12), (14, 15)]
    lines = file_of(*sessions)
    assert lines.count("BEGIN:VEVENT") == lines.count("END:VEVENT") == 2
    assert len({each for each in lines if each.startswith("UID:")}) == 2


def test_an_event_says_when_what_and_who():
    """Local time without a zone: RFC 5545, 3.3.5, form 1; the stamp in UTC, form 2."""
    work = Work((Piece("Take off", "lid", "part:lid"),), 2, "axle stands")
    lines = file_of(session("09:00", "10:00", ("Ann", "Bob"), work))
    assert re.fullmatch(r"UID:[0-9a-f]{32}@putback", lines.pop(4))
    assert lines == [
        *("BEGIN:VCALENDAR", "VERSION:2.0", "PRODID:-//Putback//Calendar//EN", "BEGIN:VEVENT"),
        *("DTSTAMP:20320101T120000Z", "DTSTART:20320110T090000", "DTEND:20320110T100000"),
        "SUMMARY:Old Dunlin",
        r"DESCRIPTION:09:00-10:00 Ann\, Bob: Take off: lid\; 2 more",
        *("END:VEVENT", "END:VCALENDAR"),
    ]


def test_text_is_escaped_as_the_standard_shows():
    r"""RFC 5545, 3.3.11: backslash, semicolon and comma by a backslash, a new line by ``\\n``."""
    name = "Project XYZ Final Review\nConference Room - 3B\nCome Prepared."
    said = "SUMMARY:Project XYZ Final Review\\nConference Room - 3B\\nCome Prepared."
    assert said in file_of(session("09:00", "10:00"), name=name)
    assert r"SUMMARY:a\\b\, c\; d: e" in file_of(session("09:00", "10:00"), name="a\\b, c; d: e")


def test_long_lines_are_folded_between_characters():
    """Also where a character takes several octets; unfolded it is what it was."""
    name = "Zoë’s 車 " * 30
    assert f"SUMMARY:{name}" in file_of(session("09:00", "10:00"), name=name)


def test_where_nothing_is_left_there_is_no_file():
    """A calendar without a component is none: RFC 5545, 3.6."""
    with pytest.raises(BadInput, match="nothing is left to do"):
        calendar_file("Old Dunlin", [], MADE, "plover strip")
