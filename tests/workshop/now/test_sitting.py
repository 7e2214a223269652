"""The sitting: today, and the evening before where the work went on over midnight."""

from datetime import UTC, date, datetime, timedelta, timezone

import pytest

from putback.logbook.entries.working import NoteMade
from putback.workshop.now.pack_up import pack_up
from putback.workshop.now.sitting import sitting
from tests.stores import ANN, PHONE, Watch
from tests.workshop.lines import CAR, Lines
from tests.workshop.now.test_pack_up import PUMP

EAST, WEST = timezone(timedelta(hours=13)), timezone(timedelta(hours=-8))
HALF_PAST_MIDNIGHT = datetime(2031, 5, 3, 0, 30, tzinfo=UTC)


def begun(*noted: str, now: datetime = HALF_PAST_MIDNIGHT) -> tuple[date, list[str]]:
    """When the sitting began in which there is a note of each of these moments, and its notes."""
    lines = Lines(watch=Watch(now))
    for moment in noted:
        said = [NoteMade(text=moment)]
        lines.workshop.log(CAR, said, who=ANN, device=PHONE, happened_at=moment)
    found = sitting(lines.workshop.standing(CAR), now)
    texts = [each.body.text for each in found.entries if isinstance(each.body, NoteMade)]
    return found.begun, texts


def test_who_works_on_over_midnight_is_at_one_sitting():
    """From the first thing of the evening; what was done in the morning was another."""
    noted = (
        "2031-05-02T09:00:00Z",
        "2031-05-02T19:00:00Z",
        "2031-05-02T23:50:00Z",
        "2031-05-03T00:10:00Z",
    )
    assert begun(*noted) == (date(2031, 5, 2), list(noted[1:]))
    assert begun(*noted[:3]) == (date(2031, 5, 2), list(noted[1:3]))


def test_the_next_morning_is_another_sitting():
    """Nobody goes on after a night's sleep; one that never ends is cut at the day before."""
    morning = HALF_PAST_MIDNIGHT.replace(hour=7)
    assert begun("2031-05-02T23:50:00Z", now=morning) == (date(2031, 5, 3), [])
    day = [f"2031-05-{at:02}T{hour:02}:00:00Z" for at in (1, 2) for hour in range(0, 24, 4)]
    assert begun(*day) == (date(2031, 5, 2), day[6:])


@pytest.mark.parametrize("zone", [EAST, WEST, UTC])
def test_what_is_said_of_a_day_is_of_the_day_where_they_are(zone):
    """Of no other, wherever that is; of a month or of nobody knows when, it is no sitting's."""
    now = datetime(2031, 5, 3, 15, 0, tzinfo=zone)
    noted = ("2031-05-02", "2031-05-03", "2031-05", "")
    assert begun(*noted, now=now) == (date(2031, 5, 3), ["2031-05-03"])


def test_tools_of_the_evening_are_counted_after_midnight():
    """What was used at half past eleven is on the list of who packs up at half past twelve."""
    lines = Lines(PUMP, Watch(HALF_PAST_MIDNIGHT - timedelta(hours=1)))
    lines("undone lid-frame 4/4 tag=3CAH")
    lines.watch.put_on(hours=1)
    found = pack_up(lines.workshop, CAR)
    counted = [each.words for each in found.lines if each.part == "count"]
    assert (found.begun, counted) == (date(2031, 5, 2), ["tools used today: spanner 13 mm"])
