"""Weighings: loads of one moment, with what was off and out by then."""

import pytest
from pydantic import ValidationError

from putback.logbook.entries.base import LogbookId
from putback.logbook.entries.describing import SameAs
from putback.logbook.entries.working import Weighed
from putback.logbook.fold import Fold, fold
from tests.makers import vehicle
from tests.makers_logbook import Story

WEIGHED = Weighed(
    loads_kg={"rear axle": 480, "front axle": 512},
    standing="wheels",
    uncertainty_kg=2,
    off=("bonnet", "hood"),
    fluids_out=("oil",),
    note="borrowed scales",
)


def test_weighings_are_kept_in_their_order_with_all_that_they_say():
    """A weighing of an earlier day that is told later comes first."""
    told = Story(vehicle("hood - frame"))
    told.says("A", WEIGHED)
    told.says("A", Weighed(loads_kg={"stand": 100}), happened_at="2031-04-01")
    first, second = told.state.weighings
    assert (first.loads_kg, first.standing, first.off, first.uncertainty_kg) == (
        {"stand": 100},
        None,
        (),
        None,
    )
    assert second.loads_kg == {"front axle": 512, "rear axle": 480}
    assert (second.standing, second.uncertainty_kg, second.note) == (
        "wheels",
        2,
        "borrowed scales",
    )
    assert (second.off, second.fluids_out) == (("bonnet", "hood"), ("oil",))


def test_a_struck_weighing_is_gone():
    """As if the scales had never been there."""
    told = Story(vehicle("hood - frame"))
    said = told.says("A", WEIGHED)
    told.strike(said)
    assert told.state.weighings == ()


def test_parts_that_are_one_are_one_in_a_weighing():
    """What was off goes by the name that it has today, whichever was told first."""
    told = Story(vehicle("hood - frame"))
    told.says("A", WEIGHED)
    told.says("A", SameAs(part="bonnet", same_as="hood"))
    assert told.state.weighings[0].off == ("hood",)
    assert fold(reversed(told.entries)).state() == told.state


def test_a_weighing_is_in_a_snapshot():
    """It is read back without any entry."""
    told = Story(vehicle("hood - frame"))
    told.says("A", WEIGHED)
    begun = Fold.from_snapshot(told.fold.snapshot(), lambda _: [])
    assert begun.state().weighings == told.state.weighings
    assert begun.logbook == LogbookId("v")


@pytest.mark.parametrize(
    "body",
    [
        {"loads_kg": {}},
        {"loads_kg": {"front axle": -1}},
        {"loads_kg": {"a": 1}, "uncertainty_kg": -1},
    ],
)
def test_nothing_weighs_less_than_nothing(body):
    """A weighing has one load at least, and none below zero."""
    with pytest.raises(ValidationError):
        Weighed(**body)


def test_it_says_itself():
    """Each load with its place, and how it stood."""
    assert WEIGHED.sentence(str) == (
        "weighed rear axle 480 kg, front axle 512 kg, standing:wheels"
    )
