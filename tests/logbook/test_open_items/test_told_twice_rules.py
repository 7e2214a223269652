"""Open items of two phones that were apart: one thing, told by two people otherwise."""

from datetime import timedelta

import pytest

from putback.logbook.entries.bookkeeping import Struck
from putback.logbook.entries.describing import Described, OneAndSame
from putback.logbook.entries.judging import Arrived, Ordered, SentOut
from putback.logbook.entries.keeping import ContainerMade, Moved, PutIn
from putback.logbook.entries.working import PartOff, StandingChanged
from putback.logbook.open_items import Danger
from tests.logbook.planted import clear, only
from tests.makers import vehicle
from tests.makers_logbook import Story

PART = "about parts:lid"


@pytest.fixture
def story():
    """A lid on a frame."""
    return Story(vehicle("lid - frame: 4 bolt M8 x 20"))


def said(**fields):
    """Words on the lid's description."""
    return Described(table="parts", id="lid", fields=fields)


def test_two_descriptions_of_one_field_are_open_until_settled(story):
    """The last one counts; the one tap says that both spoke of one lid, and what is right."""
    ann = story.says("Ann", said(name="lid", mass_kg=2.0))
    story.now += timedelta(hours=1)
    ben = story.says("Ben", said(mass_kg=3.5))
    item = only(story, "described twice", Danger.LATER, ann, ben)
    assert item.words == "lid is described twice: mass 2 kg by Ann and 3.5 kg by Ben"
    assert story.state.vehicle.parts["lid"].mass_kg == 3.5
    story.says("Cara", said(mass_kg=2.0))
    assert len(story.open("described twice")) == 1
    clear(story, item, OneAndSame(entries=(ann, ben), subject=PART))
    assert story.state.vehicle.parts["lid"].mass_kg == 2.0


def test_one_struck_out_leaves_the_other(story):
    """The state is as if it had not been said."""
    ann = story.says("Ann", said(mass_kg=2.0))
    ben = story.says("Ben", said(mass_kg=3.5))
    item = only(story, "described twice", Danger.LATER, ann, ben)
    clear(story, item, Struck(entry=ben))
    assert story.state.vehicle.parts["lid"].mass_kg == 2.0


def test_no_double_where_nobody_disagrees(story):
    """The same words, one's own correction, other fields, or a correction on another day."""
    story.says("Ann", said(mass_kg=2.0, name="lid"))
    story.says("Ben", said(mass_kg=2.0))
    story.says("Ann", said(mass_kg=2.5))
    assert story.open("described twice")
    story.says("Ann", said(mass_kg=2.0))
    assert not story.open("described twice")
    story.now += timedelta(hours=25)
    story.says("Ben", said(mass_kg=7.0))
    assert not story.open("described twice")


def test_a_correction_that_names_what_it_corrects_is_no_double(story):
    """Who had the other's words before them knew better."""
    ann = story.says("Ann", said(mass_kg=2.0))
    knowing = Described(table="parts", id="lid", fields={"mass_kg": 3.5}, instead_of=(ann,))
    story.says("Ben", knowing)
    assert not story.open("described twice")


def test_a_part_that_came_off_to_two_places_is_open(story):
    """Which of the two is told by looking: the other is struck out."""
    ann = story.says("Ann", PartOff(part="lid", place="shelf"))
    ben = story.says("Ben", PartOff(part="lid", tag="3CAH"))
    item = only(story, "part in two places", Danger.NOW, ann, ben)
    clear(story, item, Struck(entry=ben))
    assert story.state.parts["lid"].common.place == "shelf"
    story("B: on lid", "A: off lid, tag 3CAH")
    assert not story.open("part in two places")


def test_a_part_that_was_moved_is_in_one_place(story):
    """Both right, one after the other; and whatever was logged between the two is no double."""
    ann = story.says("Ann", PartOff(part="lid", place="shelf"))
    ben = story.says("Ben", PartOff(part="lid", place="barn"))
    item = only(story, "part in two places", Danger.NOW, ann, ben)
    clear(story, item, OneAndSame(entries=(ann, ben), subject="part:lid"))
    assert story.state.parts["lid"].common.place == "barn"
    story.says("Ann", Moved(what="part:lid", place="shelf"))
    story.says("Ben", PartOff(part="lid", place="barn"))
    assert not story.open("part in two places")


@pytest.mark.parametrize("again", [{}, {"place": "shelf"}])
def test_the_same_part_off_to_the_same_place_is_one_event(story, again):
    """Two people logged one thing alike: nothing is open of it."""
    story.says("Ann", PartOff(part="lid", place="shelf"))
    story.says("Ben", PartOff(part="lid", **again))
    assert not story.open("part in two places")


def test_two_words_on_how_it_stands_are_a_danger(story):
    """An hour between the phones' clocks; the one that is wrong is struck out."""
    ann = story.says("Ann", StandingChanged(standing="on stands"))
    story.now += timedelta(minutes=61)
    ben = story.says("Ben", StandingChanged(standing="on wheels"))
    item = only(story, "standings disagree", Danger.DANGER, ann, ben)
    assert "on stands (Ann) and on wheels (Ben)" in item.words
    clear(story, item, Struck(entry=ben))
    assert story.state.standing.standing == "on stands"


def test_a_standing_that_was_changed_twice_is_settled(story):
    """Both are right: the later one holds, and nothing asks again."""
    ann = story.says("Ann", StandingChanged(standing="on stands"))
    ben = story.says("Ben", StandingChanged(standing="on wheels"))
    item = only(story, "standings disagree", Danger.DANGER, ann, ben)
    clear(story, item, OneAndSame(entries=(ann, ben), subject="standing"))
    assert story.state.standing.standing == "on wheels"


def test_a_standing_changed_in_its_time_is_no_double(story):
    """One person who lifts and lowers, or another one hours later."""
    story.says("Ann", StandingChanged(standing="on stands"))
    story.says("Ann", StandingChanged(standing="on wheels"))
    story.now += timedelta(hours=3)
    story.says("Ben", StandingChanged(standing="on stands"))
    assert not story.open("standings disagree")


def test_one_tag_of_two_workshops_is_named(story):
    """Both reserved it before they met: two bags of one code, told apart by who made them."""
    ann = story.says("Ann", ContainerMade(tag="3CAH"))
    ben = story.says("Ben", ContainerMade(tag="3CAH"))
    story.says("Ben", PutIn(what="part:lid", tag="3CAH"))
    item = only(story, "tag on two bags", Danger.NOW, ann, ben)
    assert "(by Ann) and a bag without a name (by Ben)" in item.words
    clear(story, item, OneAndSame(entries=(ann, ben), subject="tag:3CAH"))


def test_the_words_do_not_rest_on_the_order_of_arrival(story):
    """Whichever phone was met first, one state and one list."""
    story.says("Ann", said(mass_kg=2.0))
    story.says("Ben", said(mass_kg=3.5))
    story.says("Ann", PartOff(part="lid", place="shelf"))
    story.says("Ben", PartOff(part="lid", tag="3CAH"))
    other = Story()
    other.fold.add(story.entries[::-1])
    assert other.fold.state() == story.state


def test_a_part_laid_away_that_nobody_logged_off_is_in_two_places(story):
    """On the vehicle and on the shelf: one item, until that is settled."""
    moved = story.says("Ann", Moved(what="part:lid", place="shelf"))
    item = only(story, "laid away not off", Danger.NOW, moved)
    assert item.words == "lid was laid away in shelf, and nobody logged that it came off"
    assert [each.rule for each in story.open() if each.subject == "part:lid"] == [item.rule]
    twin = story.copy()
    clear(twin, item, Struck(entry=moved))
    clear(story, item, "Ben: off lid")
    assert not story.open("part nowhere")
    story("Ben: on lid")
    sent = story.says("Ann", SentOut(what=("part:lid",), firm="the plater"))
    item = only(story, "laid away not off", Danger.NOW, sent)
    assert "was sent out to the plater, and nobody logged" in item.words


def test_the_bare_frame_is_moved_as_the_vehicle():
    """What all else comes off goes from workshop to workshop, and never comes off itself."""
    story = Story(vehicle("lid - frame: 4 bolt M6 x 16", datum="frame"))
    story.says("Ann", Moved(what="part:frame", place="barn"))
    assert not story.open("laid away not off")


def test_a_new_part_is_laid_away_while_the_old_one_is_on(story):
    """What arrived, or came from another vehicle, was never on: it is in one place."""
    story.says("Ann", Ordered(what="part:lid", supplier="the stockist", item="lid"))
    story.says("Ann", Arrived(what="part:lid"))
    story.says("Ann", Moved(what="part:lid", place="shelf"))
    assert not story.open("laid away not off")
