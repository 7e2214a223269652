"""A weighing that is logged late has off and out what was so at its own moment."""

import shlex

import pytest

from putback.logbook.entries.working import Weighed
from putback.vehicle.opening import Fluid
from putback.workshop.saying.short_forms import read_line, rests_on_its_moment
from tests.makers import standing, vehicle
from tests.workshop.lines import CAR, Lines

WORDS = shlex.split("weighed front-axle=512 standing=wheels")


@pytest.fixture
def lines():
    """A lid, two wheels and oil; the lid came off first, then the oil was let out."""
    found = Lines(
        vehicle(
            "lid - frame: 4 bolt M8 x 20 mm",
            "left wheel - frame",
            "right wheel - frame",
            Fluid("oil", "engine oil", "frame"),
            standing("wheels", "left wheel", "right wheel"),
        )
    )
    found("undone lid-frame 4/4")
    return found


def weighed(lines, happened_at, after=None):
    """What the line says, read by the state of its moment."""
    (said,) = read_line(WORDS, lines.workshop.state_then(CAR, happened_at, after))
    assert isinstance(said, Weighed)
    return said


def test_what_came_off_later_was_on_the_scales(lines):
    """By the moment that is said, to the minute."""
    before = lines.watch.now().isoformat()
    lines("off lid")
    between = lines.watch.now().isoformat()
    lines("drained oil")
    found = [weighed(lines, at) for at in (before, between, None)]
    assert [each.off for each in found] == [(), ("lid",), ("lid",)]
    assert [each.fluids_out for each in found] == [(), (), ("oil",)]


def test_a_late_note_stands_behind_what_it_names(lines):
    """What happened after that entry is left out, though the note is written today."""
    (behind,) = lines("off lid").entries
    lines("drained oil")
    found = weighed(lines, None, behind.id)
    assert (found.off, found.fluids_out) == (("lid",), ())


def test_what_was_struck_out_is_not_so_then_either(lines):
    """A part that never came off was on the scales."""
    act = lines("off lid")
    lines.workshop.strike(CAR, act.id, who=act.entries[0].who, device=act.entries[0].device)
    assert weighed(lines, lines.watch.now().isoformat()).off == ()


def test_what_was_described_later_was_there_already(lines):
    """A part is called by the name that it has today."""
    before = lines.watch.now().isoformat()
    lines("off bonnet", new=True)
    assert "bonnet" in {
        each.name for each in lines.workshop.state_then(CAR, before).vehicle.parts.values()
    }
    assert weighed(lines, before).off == ()


def test_only_a_weighing_is_read_so():
    """Everything else speaks of what is so today."""
    assert rests_on_its_moment(WORDS)
    assert not any(map(rests_on_its_moment, (["off", "lid"], [""], [])))
