"""Packing up: what is to be done before anybody goes home, and nothing where all is well."""

import pytest

from putback.vehicle.ids import JobId
from putback.vehicle.job import Job, JobKind
from putback.vehicle.opening import Fluid, Opening
from putback.vehicle.part import Part
from putback.vehicle.standing import TemporarySupport
from putback.workshop.now.pack_up import pack_up
from tests.makers import vehicle
from tests.workshop.lines import CAR, Lines

PUMP = vehicle(
    "lid - frame: 4 bolt M8 x 20; tool spanner 13 mm",
    "pump - frame: 2 bolt M6 x 16; critical; tool spanner 10 mm",
    Opening("inlet", "pump inlet", "pump", ("pump-frame",), 2, "3/8", "threaded plug"),
    Job("drain", "drain it", JobKind.DRAIN),
    Fluid("oil", "engine oil", "pump", drained_by=JobId("drain"), hazard="used oil: gloves"),
    Part("engine", "engine", "here", seize_risk="high"),
    "engine - frame: 4 bolt M8 x 20",
    TemporarySupport("x", "engine crane", "engine", "job:drain", "part:engine"),
    datum="frame",
)


def packed(lines: Lines):
    """The list as it is now."""
    return pack_up(lines.workshop, CAR)


def told(lines: Lines, part: str) -> list[str]:
    """What is said of one sort."""
    return [line.words for line in packed(lines).lines if line.part == part]


def test_where_nothing_was_done_only_the_soaking_is_left():
    """No photo, no tools, no bags: nobody worked."""
    assert {line.part for line in packed(Lines(PUMP)).lines} == {"soak"}


def test_open_ends_are_closed_until_they_are():
    """So many of so many, with what."""
    lines = Lines(PUMP)
    lines("undone pump-frame tag=3CAH")
    assert told(lines, "close") == ["pump inlet has 2 of 2 ends open"]
    lines("closed 'pump inlet' 1")
    (line,) = [each for each in packed(lines).lines if each.part == "close"]
    assert (line.words, line.do) == (
        "pump inlet has 1 of 2 ends open",
        "close it with threaded plug",
    )
    lines("closed 'pump inlet'")
    assert told(lines, "close") == []


def test_what_is_half_undone_or_nowhere_is_told():
    """A joint between two states, hardware without a bag, a bag and a part without a place."""
    lines = Lines(PUMP)
    lines("undone lid-frame 2/4")
    assert told(lines, "half done") == ["lid-frame is left half way: 2 of 4 out"]
    assert "nobody said where the hardware of lid-frame is" in told(lines, "bag")[0]
    lines("undone lid-frame tag=3CAH")
    lines("off lid")
    assert told(lines, "half done") == []
    assert any("lid is off, and nobody said where it is" in each for each in told(lines, "bag"))


def test_dangers_come_first():
    """A critical joint left half way stands above everything else."""
    lines = Lines(PUMP)
    lines("undone lid-frame 2/4")
    lines("undone pump-frame 1/2")
    assert packed(lines).lines[0].part == "danger"
    assert packed(lines).lines[0].words == "pump-frame is left half way: 1 of 2 out"


def test_what_hangs_on_a_crane_is_told_until_it_is_off():
    """From the job that takes its weight to the lift."""
    lines = Lines(PUMP)
    assert told(lines, "hangs") == []
    lines("done 'drain it'")
    assert told(lines, "hangs") == ["engine hangs on the engine crane"]
    lines("undone engine-frame tag=3CAH")
    lines("off engine")
    assert told(lines, "hangs") == []


@pytest.mark.parametrize("line", ["done 'drain it'", "drained 'engine oil'"])
def test_what_was_drained_today_goes_out_of_open_trays(line: str):
    """By its job or by itself; yesterday's is put away."""
    lines = Lines(PUMP)
    lines(line)
    assert told(lines, "fluids") == ["engine oil was drained today; used oil: gloves"]
    lines.watch.put_on(minutes=2 * 24 * 60)
    assert told(lines, "fluids") == []


def test_tools_and_caps_of_today_are_counted():
    """By the joints that were worked on, each tool once."""
    lines = Lines(PUMP)
    for line in (
        "undone lid-frame 2/4",
        "undone lid-frame",
        "undone pump-frame",
        "closed 'pump inlet'",
    ):
        lines(line)
    assert told(lines, "count") == [
        "tools used today: spanner 13 mm and spanner 10 mm",
        "2 caps and plugs went in today",
    ]
    lines.watch.put_on(minutes=2 * 24 * 60)
    assert told(lines, "count") == []


def test_a_photo_after_the_last_job_is_enough():
    """One from before it is not."""
    lines = Lines(PUMP)
    photo = f"photo {'a' * 64} of=lid"
    lines(photo)
    lines("undone lid-frame tag=3CAH")
    assert told(lines, "photo") == ["no photo since the last job"]
    lines(photo)
    assert told(lines, "photo") == []


def test_soaking_is_short_and_only_where_it_can_be_got_at():
    """What the look-ahead fears; without a plan, nothing."""
    assert told(Lines(PUMP), "soak") == ["engine-frame, here: engine: likely seized (high)"]
    assert told(Lines(vehicle("lid - frame: 4 bolt M8 x 20")), "soak") == []
    hidden = vehicle(
        "engine - frame: 4 bolt M8 x 20",
        "lid - frame",
        "lid blocks engine - frame",
        Part("engine", "engine", "here", seize_risk="high"),
        datum="frame",
    )
    assert told(Lines(hidden), "soak") == []
