"""One thing as programs are told of it: its state in plain values, and what was logged."""

import json

import pytest

from putback.errors import NotFound
from putback.workshop.things.thing import history_of, thing
from tests.makers import vehicle
from tests.workshop.lines import CAR, Lines


@pytest.fixture
def lines() -> Lines:
    """A lid that is off and lies on a shelf, its bolts in a bag."""
    lines = Lines(vehicle("lid - frame: 4 bolt M8 x 20", datum="frame"))
    for line in ("place Shelf", "undone lid-frame tag=3CAH", "off lid place=shelf"):
        lines(line)
    return lines


def test_a_thing_is_told_in_plain_values_with_where_it_is(lines):
    """Such as JSON can carry."""
    lid = thing(lines.workshop, CAR, "part:lid")
    assert lid.name == "lid"
    assert lid.where == ("Shelf",)
    told = json.loads(json.dumps(dict(lid.state)))
    assert told["common"]["place"] == "shelf"
    assert told["off"]["who"] == "ann"
    assert thing(lines.workshop, CAR, "tag:3CAH").state
    assert thing(lines.workshop, CAR, "standing").name


def test_what_is_described_and_of_which_nothing_was_logged_has_no_state(lines):
    """But a name."""
    frame = thing(lines.workshop, CAR, "part:frame")
    assert (frame.name, frame.state, frame.where) == ("frame", {}, ())


@pytest.mark.parametrize("subject", ["part:nobody", "nothing", "joint:lid"])
def test_what_nobody_spoke_of_is_not_found(lines, subject):
    """By its kind and identity."""
    with pytest.raises(NotFound, match="thing"):
        thing(lines.workshop, CAR, subject)


def test_what_was_logged_of_a_thing_is_told_in_order(lines):
    """With who said it, and whether that is claimed only."""
    kinds = [each.kind for each in history_of(lines.workshop, CAR, "part:lid")]
    assert kinds[-1] == "part off"
    last = history_of(lines.workshop, CAR, "part:lid")[-1]
    assert "lid" in last.sentence
    assert not last.is_claimed
