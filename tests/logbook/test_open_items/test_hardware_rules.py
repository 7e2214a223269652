"""Open items on nuts and bolts."""

import pytest

from putback.logbook.entries.base import Subject
from putback.logbook.entries.bookkeeping import Struck
from putback.logbook.entries.describing import Described, OneAndSame
from putback.logbook.entries.keeping import ContainerMade, PutIn
from putback.logbook.open_items import Danger
from tests.logbook.planted import clear, only
from tests.makers import vehicle
from tests.makers_logbook import Story

BOLT = "bolt M8x1.25 x 20 mm"


@pytest.fixture
def story():
    """A lid on a frame by four bolts, and by nothing else."""
    return Story(vehicle("lid - frame: 4 bolt M8x20"))


def test_hardware_that_nobody_placed_is_open_until_it_is_in_a_bag(story):
    """Bolts that came out without a word of where they went are asked for."""
    undone = story("A: undone lid-frame 4 of 4")
    item = only(story, "hardware nowhere", Danger.NOW, undone)
    assert item.words == f"nobody said where the hardware of lid-frame is: 4 × {BOLT}"
    assert item.subject == "joint:lid-frame"
    story(f"A: pieces lid-frame: 1 {BOLT} from not recorded to lost")
    assert "3 ×" in only(story, "hardware nowhere", Danger.NOW, undone).words
    clear(story, item, f"A: pieces lid-frame: 3 {BOLT} from not recorded to tag 3CAH")


def test_a_lost_bolt_is_short_until_a_new_one_is_bought(story):
    """What a count finds missing is asked for, mildly while the strip goes on."""
    story("A: undone lid-frame 4 of 4, tag 3CAH")
    counted = story(f"B day 9: counted 3CAH 3 {BOLT}")
    item = only(story, "hardware short", Danger.LATER, counted)
    assert item.words == f"lid-frame is short of 1 × {BOLT}"
    clear(story, item, f"A: bought 1 {BOLT} for lid-frame")


def test_a_lost_bolt_is_no_longer_short_when_it_turns_up(story):
    """Found again, it is not asked for."""
    story("A: undone lid-frame 4 of 4, tag 3CAH", f"B day 9: counted 3CAH 3 {BOLT}")
    (item,) = story.open("hardware short")
    clear(story, item, f"A: pieces lid-frame: 1 {BOLT} from lost to tag 3CAH")


def test_a_joint_made_with_a_bolt_short_presses_until_the_new_one_is_told_of(story):
    """A sheared bolt and no new one: the joint is not whole, whatever was logged."""
    undone = story("A: undone lid-frame 4 of 4, sheared 1, tag 3CAH")
    story("A: off lid", "A: on lid", "A: made lid-frame final")
    item = only(story, "hardware short", Danger.NOW, undone)
    assert item.words == f"lid-frame was made with 1 × {BOLT} short"
    clear(story, item, f"A: made lid-frame final, new 1 {BOLT}")
    assert story.balances() == {f"back on: {BOLT}": 4, f"scrap: {BOLT}": 1}


def test_a_critical_joint_made_with_a_bolt_short_is_a_danger():
    """Of a joint that can hurt somebody a missing bolt is a danger."""
    story = Story(vehicle("caliper - leg: 2 bolt M10x30; critical"))
    undone = story("A: undone caliper-leg 2 of 2, cut 1, tag 3CAH")
    story("A: made caliper-leg final, torque 25")
    only(story, "hardware short", Danger.DANGER, undone)


def test_pieces_used_once_are_not_short_while_the_joint_is_undone():
    """A cut split pin is bought with all the others; nobody is asked for it in the strip."""
    story = Story(vehicle("nut - shaft: 1 castle nut M14 + split pin 3 mm!"))
    story("A: undone nut-shaft 1 of 1, tag 3CAH")
    story("A: pieces nut-shaft: 1 split pin 3 mm from tag 3CAH to scrap")
    assert not story.open("hardware short")


def test_a_bolt_that_stays_in_the_bag_of_a_made_joint_is_left_over(story):
    """Three go back with one new; the fourth old one is left over until it is scrap."""
    undone = story("A: undone lid-frame 4 of 4, tag 3CAH")
    made = story(f"A: made lid-frame final, new 1 {BOLT}")
    item = only(story, "left over", Danger.NOW, undone, made)
    assert item.words == f"lid-frame is made, and 1 × {BOLT} in 3CAH is left over"
    clear(story, item, f"A: pieces lid-frame: 1 {BOLT} from tag 3CAH to scrap")


def test_pieces_of_no_known_joint_are_left_over_in_their_bag(story):
    """A count that finds a stranger in a bag says so, without pressing."""
    story("A: undone lid-frame 4 of 4, tag 3CAH")
    counted = story(f"A: counted 3CAH 4 {BOLT}, 1 plain washer M8")
    item = only(story, "left over", Danger.LATER, counted)
    assert item.words == "1 × plain washer M8 in 3CAH belong to no known joint"
    clear(story, item, "A: pieces -: 1 plain washer M8 from tag 3CAH to scrap")


def test_pieces_of_no_known_joint_are_no_longer_left_over_once_a_joint_is_named(story):
    """They are on the books once, as that joint's, and not as nobody's too."""
    story("A: undone lid-frame 4 of 4, 2 lost, tag 3CAH", f"A: counted K7F4 2 {BOLT}")
    (item,) = story.open("left over")
    clear(story, item, f"A: pieces lid-frame: 2 {BOLT} from tag K7F4 to tag K7F4")
    assert story.balances() == {f"tag:3CAH: {BOLT}": 2, f"tag:K7F4: {BOLT}": 2}


def test_a_stranger_stays_in_the_bag_when_two_people_log_one_move(story):
    """Said twice, the joint's own bolts move once, and nobody's bolt stays where it is."""
    story("A: undone lid-frame 4 of 4, tag 3CAH", "A: counted K7F4 1 " + BOLT)
    story(f"A: pieces -: 1 {BOLT} from tag K7F4 to tag 3CAH")
    for who in "AB":
        story(f"{who}: pieces lid-frame: 4 {BOLT} from tag 3CAH to own hole")
    assert story.balances() == {f"own hole: {BOLT}": 4, f"tag:3CAH: {BOLT}": 1}


@pytest.mark.parametrize("end", ["tag ZZZZ", "lost"])
def test_pieces_of_no_known_joint_that_nobody_placed_are_open_until_they_are(story, end):
    """Taken out of their bag to nobody knows where, they can be said to be in another, or lost."""
    story(f"A: counted 3CAH 3 {BOLT}")
    moved = story(f"A: pieces -: 3 {BOLT} from tag 3CAH to not recorded")
    item = only(story, "hardware nowhere", Danger.NOW, moved)
    assert item.words == f"nobody said where the hardware of 3CAH is: 3 × {BOLT}"
    clear(story, item, f"A: pieces -: 3 {BOLT} from not recorded to {end}")
    assert story.balances("tag:3CAH") == {f"{end.replace('tag ', 'tag:')}: {BOLT}": 3}


def test_two_counts_of_one_joint_are_open_until_they_are_one_and_the_same(story):
    """Three and four of one joint cannot both be; somebody looks again and says which."""
    first = story("A: undone lid-frame 4 of 4, tag 3CAH")
    second = story("B: undone lid-frame 3 of 4, tag 3CAH")
    item = only(story, "counts disagree", Danger.NOW, first, second)
    assert item.words == "counts of lid-frame disagree"
    settled = OneAndSame(entries=item.causes, subject=item.subject, settled=3)
    clear(story, item, settled)
    assert story.balances() == {f"on vehicle: {BOLT}": 1, f"tag:3CAH: {BOLT}": 3}


def test_a_count_against_the_description_is_open_until_the_description_is_mended(story):
    """Five holes where four are described: the log is kept, and the contradiction shown."""
    undone = story("A: undone lid-frame 5 of 5, tag 3CAH")
    item = only(story, "counts disagree", Danger.NOW, undone)
    assert item.words == "counts of lid-frame disagree with how it is described"
    fixing = {"id": "a", "count": 5, "stack": [{"spec": BOLT}]}
    clear(story, item, Described(table="joints", id="lid-frame", fields={"fixings": [fixing]}))


def test_two_tellings_with_one_count_are_no_contradiction(story):
    """The same joint logged by two people adds nothing, and nothing is open about it."""
    story("A: undone lid-frame 4 of 4, tag 3CAH", "B: undone lid-frame 4 of 4, tag 3CAH")
    assert not story.open("counts disagree")
    assert story.balances() == {f"tag:3CAH: {BOLT}": 4}


def test_two_bags_for_one_joint_are_open_until_one_is_struck_out(story):
    """Two people cannot have put the same four bolts in two bags: the second telling is seen."""
    first = story("A: undone lid-frame 4 of 4, tag 3CAH")
    second = story("B: undone lid-frame 4 of 4, tag APDC")
    item = only(story, "hardware in two bags", Danger.NOW, first, second)
    assert item.words == "hardware of lid-frame is said to be in two bags: 3CAH and APDC"
    clear(story, item, Struck(entry=first))
    assert story.balances() == {f"tag:APDC: {BOLT}": 4}


def test_two_bags_for_one_joint_may_be_one_event():
    """Of a joint that nobody described as well; somebody looked, and some of it is in each."""
    story = Story(vehicle("lid - frame"))
    first = story("A: undone strap 3 of 4, tag 3CAH")
    second = story("B: undone strap 3 of 4, tag APDC")
    item = only(story, "hardware in two bags", Danger.NOW, first, second)
    clear(story, item, OneAndSame(entries=item.causes, subject=item.subject))
    assert story.state.joints["strap"].tags == ("3CAH", "APDC")


def test_a_lower_count_into_another_bag_is_seen_both_ways(story):
    """The count disagrees and so does the bag; settled once, both are."""
    first = story("A: undone lid-frame 4 of 4, tag 3CAH")
    second = story("B: undone lid-frame 3 of 4, tag APDC")
    only(story, "counts disagree", Danger.NOW, first, second)
    item = only(story, "hardware in two bags", Danger.NOW, first, second)
    clear(story, item, OneAndSame(entries=item.causes, subject=item.subject, settled=4))
    assert not story.open("counts disagree")


@pytest.mark.parametrize(
    "lines",
    [
        ("A: undone lid-frame 2 of 4, tag 3CAH", "B: undone lid-frame 4 of 4, tag APDC"),
        ("A: undone lid-frame 4 of 4, 2 tag APDC, tag 3CAH", "B: undone lid-frame, tag APDC"),
        ("A: undone lid-frame 4 of 4", "B: undone lid-frame 4 of 4, tag APDC"),
        (
            "A: undone lid-frame 4 of 4, tag 3CAH",
            f"A: pieces lid-frame: 4 {BOLT} from tag 3CAH to tag APDC",
            "B: undone lid-frame 4 of 4, tag APDC",
        ),
        (
            "A: undone lid-frame 4 of 4, tag 3CAH",
            "A: made lid-frame final",
            "B: undone lid-frame 4 of 4, tag APDC",
        ),
    ],
    ids=["the rest", "both named", "the first bag named", "moved there", "another strip"],
)
def test_two_bags_that_hold_together_are_no_contradiction(story, lines):
    """Different fixings, pieces that went there since, or another strip altogether."""
    story(*lines)
    assert not story.open("hardware in two bags")


def test_one_tag_under_two_names_is_open_until_one_is_struck_out(story):
    """Two bags under one tag would be one in the books."""
    first = story.says("A", ContainerMade(tag="2237", name="front bits"))
    second = story.says("A", ContainerMade(tag="2237", name="hinge bolts"))
    item = only(story, "tag on two bags", Danger.NOW, first, second)
    assert item.words == "tag 2237 was put on two bags: front bits and hinge bolts"
    clear(story, item, Struck(entry=first))
    assert story.state.containers["2237"].name == "hinge bolts"


def test_one_tag_from_two_devices_may_be_one_bag(story):
    """Two phones gave it out; the same name, or none, does not say that it is one bag."""
    first = story.says("A", ContainerMade(tag="2237"))
    second = story.says("B", ContainerMade(tag="2237"))
    item = only(story, "tag on two bags", Danger.NOW, first, second)
    assert item.words == (
        "tag 2237 was put on two bags: a bag without a name (by A) and a bag without a name (by B)"
    )
    clear(story, item, OneAndSame(entries=item.causes, subject=item.subject))
    third = story.says("C", ContainerMade(tag="2237", name="hinge bolts"))
    only(story, "tag on two bags", Danger.NOW, first, third)


def test_a_bag_told_of_again_is_one_bag(story):
    """The same device repeats it, or gives the name or the zone later."""
    for body in ({"name": "front bits"}, {"zone": "here"}, {"name": "front bits"}):
        story.says("A", ContainerMade(tag="2237", **body))
    assert not story.open("tag on two bags")


def test_a_bag_with_hardware_and_no_place_is_open_until_it_has_one(story):
    """A bag that lies nobody knows where is asked for."""
    undone = story("A: undone lid-frame 4 of 4, tag 3CAH")
    item = only(story, "container nowhere", Danger.NOW, undone)
    assert item.words == "bag 3CAH has no place"
    clear(story, item, "A: moved tag:3CAH to shelf")


def test_an_empty_bag_needs_no_place(story):
    """Once the bolts are back in, the bag is of no more interest."""
    story("A: undone lid-frame 4 of 4, tag 3CAH", "A: made lid-frame final")
    assert not story.open("container nowhere")


def test_a_bag_in_a_box_is_where_the_box_is(story):
    """Of nested containers only the outermost is asked for."""
    undone = story("A: undone lid-frame 4 of 4, tag 3CAH")
    put = story.says("A", PutIn(what=Subject("tag:3CAH"), tag="B0X5"))
    item = only(story, "container nowhere", Danger.NOW, put)
    assert item.subject == "tag:B0X5"
    assert undone not in item.causes
    clear(story, item, "A: moved tag:B0X5 to shelf")
