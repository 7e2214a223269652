"""The hardware check as it is read."""

from hypothesis import given

from putback.logbook.hardware_check import hardware_check
from putback.workshop.things.hardware_told import tell_bag, tell_hardware
from tests.makers import vehicle
from tests.strategies.stories import stories
from tests.workshop.lines import Lines

ABOUT = vehicle(
    "lid - frame: 4 bolt M8 x 20",
    "yoke - frame: 2 bolt M10 x 30; critical",
)


def test_a_vehicle_as_found_closes():
    """Nothing short, nothing over, nothing apart: it says so in words."""
    told = tell_hardware(Lines(ABOUT).state)
    assert told.closes
    assert told.verdict == (
        "it closes: all is back on, nothing is left over, nothing temporary is in"
    )
    assert told.discrepancies == ()


def test_with_no_fastener_known_it_does_not_say_that_all_is_back():
    """There is nothing to check yet, and it says that."""
    told = tell_hardware(Lines(vehicle()).state)
    assert told.verdict.startswith("nothing to check yet")
    assert told.discrepancies == ()


def test_what_could_hurt_is_told_first():
    """The safety-critical joint goes before others, whatever else is short."""
    lines = Lines(ABOUT)
    lines("undone lid-frame 4/4 scrap=4")
    lines("undone yoke-frame 2/2 scrap=1 tag=3CAH")
    told = tell_hardware(lines.state)
    assert [(each.name, each.short, each.critical) for each in told.discrepancies] == [
        ("yoke-frame", 1, True),
        ("lid-frame", 4, False),
    ]
    assert told.verdict == "it does not close yet: 5 short and 6 still to go on"
    assert told.discrepancies[1].where == "4 scrap"


def test_looking_for_something_changes_no_verdict():
    """Words narrow the lists, by joint, bag or fastener; the sums stay those of everything."""
    lines = Lines(ABOUT)
    lines("undone lid-frame 4/4 scrap=1 tag=3CAH")
    told = tell_hardware(lines.state, "m10")
    assert (told.short, told.bags, told.discrepancies) == (1, (), ())
    assert [each.spec for each in told.specs] == ["bolt M10x1.5 x 30 mm"]
    assert [each.tag for each in tell_hardware(lines.state, "3cah m8").bags] == ["3CAH"]


def test_a_bag_tells_all_that_is_in_it():
    """Parts, pieces with their joint, and bags within it; a count that missed one says so."""
    lines = Lines(ABOUT)
    lines("box 3HNA")
    lines("undone lid-frame 4/4 tag=3CAH")
    lines("put tag:3CAH 3HNA")
    lines("off lid tag=3HNA")
    lines('counted 3CAH "3 x bolt M8x1.25 x 20 mm" complete=yes')
    box, bag = tell_bag(lines.state, "3HNA"), tell_bag(lines.state, "3CAH")
    assert box is not None
    assert bag is not None
    assert box.contents == ("lid", "bag 3CAH")
    assert bag.contents == ("3 × bolt M8x1.25 x 20 mm, of lid-frame",)
    assert (bag.where, bag.short, bag.is_counted) == ("3HNA", 1, True)
    assert tell_bag(lines.state, "K7F4") is None


@given(stories())
def test_the_sums_are_those_of_the_check(story):
    """Whatever happened, no line is dropped on the way from the check to the page."""
    state = story.state
    check, told = hardware_check(state), tell_hardware(state)
    assert sum(each.short for each in told.discrepancies) == told.short == check.short
    assert sum(each.over for each in told.discrepancies) == told.over == check.over
    assert told.closes == check.closes
    assert {each.tag for each in told.bags} == {each.tag for each in check.tags}
