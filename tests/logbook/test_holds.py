"""Standing holds: set, in force, lifted."""

import pytest

from putback.errors import BadInput, NotFound
from putback.logbook.entries.holding import HoldLifted, HoldSet
from putback.workshop.saying.short_forms import read_line
from tests.makers import vehicle
from tests.makers_logbook import Story

SET = HoldSet(hold="brakes", words="no brakes: do not roll")
LIFTED = HoldLifted(hold="brakes", why="hoses are on, the pedal is hard")
OTHER = HoldSet(hold="airborne", words="body on two ropes: nobody under it")


def told(*bodies) -> Story:
    """A story of these entries."""
    story = Story(vehicle("lid - frame: 4 bolt 5/16-24 UNF x 1 in"))
    for body in bodies:
        story.says("A", body)
    return story


def words(story: Story) -> list[str]:
    """The holds in force."""
    return [each.words for each in story.state.in_force]


def test_a_hold_is_in_force_until_it_is_lifted():
    """Set it stands, lifted it does not, set again it stands with its last words."""
    story = told(SET)
    assert words(story) == ["no brakes: do not roll"]
    story.says("B", LIFTED)
    assert words(story) == []
    story.says("B", HoldSet(hold="brakes", words="front brakes only"))
    assert words(story) == ["front brakes only"]


def test_two_holds_stand_side_by_side_in_the_order_they_were_set():
    """Lifting one leaves the other."""
    story = told(SET, OTHER)
    assert words(story) == [SET.words, OTHER.words]
    assert words(told(OTHER, SET)) == [OTHER.words, SET.words]
    story.says("A", LIFTED)
    assert words(story) == [OTHER.words]


def test_striking_out_brings_a_hold_back_or_takes_it_away():
    """Who lifted the wrong hold strikes the lifting out; who set it by mistake the setting."""
    story = told(SET)
    story.strike(story.says("A", LIFTED))
    assert words(story) == [SET.words]
    story = told()
    story.strike(story.says("A", SET))
    assert words(story) == []


def test_lifting_what_nobody_set_holds_nothing():
    """It waits for the setting to arrive, and shows nothing meanwhile."""
    assert words(told(LIFTED)) == []


def test_a_hold_is_lifted_by_its_words_and_never_without_a_reason():
    """It goes by how it begins; who lifts it says why."""
    state = told(SET).state
    assert read_line(["lift-hold", "no brakes", "hoses are on"], state) == (
        HoldLifted(hold="brakes", why="hoses are on"),
    )
    with pytest.raises(BadInput, match="why"):
        read_line(["lift-hold", "no brakes"], state)
    with pytest.raises(NotFound, match="no standing hold 'no clutch'"):
        read_line(["lift-hold", "no clutch", "x"], state)


def test_a_hold_said_by_hand_goes_by_its_words():
    """The same words twice are one hold, and it says itself."""
    state = told(SET).state
    (body,) = read_line(["hold", "No brakes: do not roll"], state)
    assert body == HoldSet(hold="no-brakes-do-not-roll", words="No brakes: do not roll")
    assert body.sentence(state.name_of) == "set a standing hold: No brakes: do not roll"
    assert LIFTED.sentence(state.name_of) == (
        "lifted the standing hold 'no brakes: do not roll': hoses are on, the pedal is hard"
    )
