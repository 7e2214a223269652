"""The hardware check: what is short, what is left over, and when it closes."""

from dataclasses import replace

import pytest
from hypothesis import given

from putback.logbook.accounts import AT_REST
from putback.logbook.entries.keeping import HardwareMoved, Pieces, Scrapped
from putback.logbook.entries.working import TemporaryFitOff, TemporaryFitOn
from putback.logbook.hardware_check import hardware_check, is_laid_up, joint_of, sentences
from putback.vehicle.joint import Care
from tests.makers import joint, vehicle
from tests.makers_logbook import Story
from tests.strategies.stories import stories

BOLT, WASHER = "bolt M8x1.25 x 20 mm", "plain washer M8"


@pytest.fixture
def story():
    """A lid on a frame by four bolts with washers."""
    return Story(vehicle(f"lid - frame: 4 {BOLT} + {WASHER}"))


def check(story):
    """The hardware check of a story."""
    return hardware_check(story.state)


def told(story):
    """The same in words."""
    return sentences(check(story), story.state.name_of)


def test_as_built_it_closes(story):
    """Nobody has touched it: all is where it belongs."""
    assert check(story).closes
    assert told(story) == ("the hardware check closes: nothing short, nothing left over",)


def test_a_vehicle_of_which_nothing_is_known_closes():
    """There is nothing to be short of."""
    assert check(Story(vehicle())).closes


def test_what_is_laid_up_is_neither_short_nor_over(story):
    """In the strip bolts are in bags, and that is right; but it does not close."""
    story("A: undone lid-frame 3 of 4, tag 3CAH")
    found = check(story)
    assert (found.short, found.over, found.to_go_on, found.closes) == (0, 0, 6, False)
    assert told(story) == ("6 still to go on, nothing short",)
    line = found.lines[0]
    assert (line.owner, line.spec, line.wanted, line.on) == ("joint:lid-frame", BOLT, 4, 1)
    assert dict(line.laid_up) == {"tag:3CAH": 3}


def test_by_tag_it_says_what_is_in_the_bag(story):
    """Pieces by joint and specification, and who counted last."""
    story("A: undone lid-frame 4 of 4, tag 3CAH")
    counted = story(f"A: counted 3CAH 3 {BOLT}, 4 {WASHER}")
    (bag,) = check(story).tags
    assert (bag.tag, bag.short, bag.over, bag.counted_by) == ("3CAH", 1, 0, counted)
    held = [(each.owner, each.spec, each.count, each.counted) for each in bag.pieces]
    assert held == [
        ("joint:lid-frame", BOLT, 3, True),
        ("joint:lid-frame", WASHER, 4, True),
    ]


def test_a_bag_is_short_only_of_what_has_not_turned_up(story):
    """Two were missed, one was found."""
    story("A: undone lid-frame 4 of 4, tag 3CAH", f"A: counted 3CAH 2 {BOLT}, 4 {WASHER}")
    assert check(story).tags[0].short == 2
    story(f"A: pieces lid-frame: 1 {BOLT} from lost to tag 3CAH")
    assert check(story).tags[0].short == 1


def test_by_specification_it_adds_up_the_joints():
    """Of one bolt in two joints so many are on, laid up, bought and short."""
    story = Story(vehicle(f"a = lid - frame: 2 {BOLT}", f"b = bar - frame: 3 {BOLT}"))
    story("A: undone a 2 of 2, tag 3CAH, 1 lost", f"A: bought 1 {BOLT} for b")
    (spec,) = check(story).specs
    assert (spec.spec, spec.wanted, spec.on, spec.laid_up, spec.new) == (BOLT, 5, 3, 1, 1)
    assert (spec.short, spec.over, spec.counted) == (1, 0, True)


def test_what_may_be_on_a_shelf_is_not_back_together(story):
    """A part laid away that nobody logged off: the check does not close over it."""
    story("A: moved part:lid to shelf")
    assert check(story).apart == ("part:lid",)
    story("A: off lid", "A: on lid")
    assert check(story).closes


UNKNOWN = "fixing of unknown size"


@pytest.fixture
def bare():
    """A joint of which nobody described more than what it holds together."""
    car = vehicle("box - frame")
    joint = replace(car.joints["box-frame"], fixings=())
    return Story(replace(car, joints={joint.id: joint}))


def test_what_is_lost_of_unknown_fixings_is_short_until_it_is_here(bare):
    """Lost and sheared ones alike; bought, found again or made with new ones they are not."""
    bare("A: undone box-frame 4 of 4, sheared 1, 1 lost, tag 3CAH")
    assert told(bare) == (
        f"box-frame: 2 × {UNKNOWN} short (1 lost, 1 scrap)",
        "2 short, 0 left over",
    )
    (item,) = bare.open("hardware short")
    assert item.words == f"box-frame is short of 2 × {UNKNOWN}"
    assert item.causes == (bare.entries[-1].id,)
    bolt = (Pieces(spec=BOLT, count=1),)
    bare.says(
        "A",
        HardwareMoved(joint="box-frame", pieces=bolt, source="lost", to="tag", to_tag="3CAH"),
    )
    assert bare.state.joints["box-frame"].lost == 0
    assert told(bare)[0] == f"box-frame: 1 × {UNKNOWN} short (1 scrap)"
    twin = bare.copy()
    twin(f"A: bought 1 {BOLT} for box-frame")
    assert check(twin).short == 0
    bare("A: made box-frame final")
    assert check(bare).short == 0


def test_a_bag_counted_with_fewer_than_went_in_is_short(bare):
    """Eight fixings went in, seven bolts are there; washers and a count of some say nothing."""
    bare("A: undone box-frame 8 of 8, tag 3CAH", f"A: counted 3CAH 7 {BOLT}")
    assert told(bare)[0] == f"box-frame: 1 × {UNKNOWN} short (1 lost)"
    bare(f"A: counted 3CAH 8 {BOLT}, 8 {WASHER}")
    assert check(bare).short == 0
    bare(f"A: counted 3CAH 7 {BOLT}, 8 {WASHER}")
    assert told(bare)[0] == f"box-frame: 1 × {BOLT} short (1 lost)"


def test_a_count_of_washers_alone_tells_no_fixing(bare):
    """Nobody knows how many a fixing has."""
    bare("A: undone box-frame 8 of 8, tag 3CAH", f"A: counted 3CAH 7 {WASHER}")
    assert check(bare).short == 0


def test_what_is_lost_is_short_until_it_is_bought(story):
    """Short is what neither the vehicle nor any bag nor the stock has."""
    story("A: undone lid-frame 4 of 4, sheared 1, 1 lost, tag 3CAH")
    assert told(story) == (
        f"lid-frame: 2 × {BOLT} short (1 lost, 1 scrap)",
        f"lid-frame: 2 × {WASHER} short (1 lost, 1 scrap)",
        "4 short, 0 left over",
    )
    story(f"A: bought 2 {BOLT}, 2 {WASHER} for lid-frame")
    assert check(story).short == 0
    assert not check(story).closes


def test_new_pieces_that_went_in_close_it(story):
    """The lost ones stay in the books as lost, and nothing is short."""
    story("A: undone lid-frame 4 of 4, 1 lost, tag 3CAH")
    story(f"A: made lid-frame final, new 1 {BOLT}, new 1 {WASHER}")
    assert check(story).closes


def test_made_without_them_it_does_not_close(story):
    """Three bolts where four belong."""
    story("A: undone lid-frame 4 of 4, 1 lost, tag 3CAH", "A: made lid-frame final")
    found = check(story)
    assert (found.short, found.closes) == (2, False)


def test_what_is_left_in_the_bag_of_a_made_joint_is_over(story):
    """A fourth washer in the bag belongs somewhere."""
    story("A: undone lid-frame 4 of 4, tag 3CAH", f"A: made lid-frame final, new 1 {WASHER}")
    assert told(story) == (
        f"lid-frame: 1 × {WASHER} left over: 1 in 3CAH",
        "0 short, 1 left over",
    )
    assert [bag.over for bag in check(story).tags] == [1]
    story(f"A: pieces lid-frame: 1 {WASHER} from tag 3CAH to scrap")
    assert check(story).closes


def test_a_stranger_in_a_bag_is_over(story):
    """It belongs to no joint, and something may be without it."""
    story("A: undone lid-frame 4 of 4, tag 3CAH")
    story(f"A: counted 3CAH 4 {BOLT}, 4 {WASHER}, 1 nut M6", "A: made lid-frame final")
    assert told(story)[0] == "3CAH: 1 × nut M6x1 left over: 1 in 3CAH"
    assert not check(story).closes


def test_bought_and_not_used_is_a_spare(story):
    """New stock is not left over from the strip."""
    story(f"A: bought 2 {BOLT} for lid-frame", f"A: bought 10 {WASHER}")
    assert check(story).closes


def test_uncounted_hardware_is_marked_until_somebody_counts():
    """A bag of clips is as described until it is counted."""
    clips = replace(joint("trim - door: 6 spring clip 8 mm"), care=Care.ALL_THERE)
    story = Story(vehicle(clips))
    story("A: undone trim-door 6 of 6, tag 3CAH", "A: made trim-door final, made 5")
    story("A: made trim-door final, new 1 spring clip 8 mm")
    assert told(story)[0] == "trim-door: 1 × spring clip 8 mm left over: 1 in 3CAH (not counted)"
    assert not check(story).specs[0].counted
    story("A: counted 3CAH 0 spring clip 8 mm")
    assert check(story).closes
    assert check(story).lines[0].counted


def test_a_count_that_finds_all_there_is_a_count_too():
    """Nothing moved, and yet somebody knows."""
    clips = replace(joint("trim - door: 6 spring clip 8 mm"), care=Care.ALL_THERE)
    story = Story(vehicle(clips))
    story("A: undone trim-door 6 of 6, tag 3CAH")
    assert not check(story).lines[0].counted
    story("A: counted 3CAH 6 spring clip 8 mm")
    assert check(story).lines[0].counted


def test_a_temporary_fit_keeps_it_open(story):
    """A dolly is no part of the vehicle."""
    story.says("A", TemporaryFitOn(fit="f", what="dolly"))
    assert told(story)[0] == "dolly is still fitted for now"
    assert not check(story).closes
    story.says("A", TemporaryFitOff(fit="f"))
    assert check(story).closes


def test_a_part_that_is_off_keeps_it_open(story):
    """Logged off in one word, its joint cannot be together whatever the accounts say."""
    story("A: off lid")
    assert not check(story).closes
    assert told(story) == ("nothing short, and not all is back together",)
    story("A: on lid")
    assert check(story).closes


def test_a_joint_that_only_the_logbook_knows_wants_back_what_came_out():
    """Four bolts were counted in its bag; three are left."""
    story = Story(vehicle())
    story("A: undone J 4 of 4, tag 3CAH", f"A: counted 3CAH 4 {BOLT}")
    assert (check(story).short, check(story).to_go_on) == (0, 4)
    story(f"A: counted 3CAH 3 {BOLT}")
    assert check(story).short == 1
    story("A: made J final")
    assert not check(story).closes


def test_what_nobody_described_keeps_it_open_too():
    """A joint half undone and a part off, of which no piece is known."""
    story = Story(vehicle())
    story("A: undone J 3 of 4, tag 3CAH", "A: off fan")
    assert check(story).apart == ("joint:J", "part:fan")
    assert told(story) == ("nothing short, and not all is back together",)
    story("A: made J final")
    assert not check(story).closes
    story("A: on fan")
    assert check(story).closes


def test_a_part_that_is_gone_is_not_waited_for(story):
    """What went to scrap and is in no joint does not come back."""
    story("A: off badge")
    story.says("A", Scrapped(part="badge"))
    assert check(story).closes


def test_shims_of_a_joint_are_not_its_fasteners():
    """Only owners that are joints are named as joints."""
    assert joint_of("joint:J") == "J"
    assert joint_of("stock") is None
    assert joint_of("tag:3CAH") is None


@given(stories())
def test_it_closes_exactly_if_nothing_waits_anywhere(story):
    """Told from the accounts alone: every piece at rest, every described joint full."""
    found = check(story)
    state = story.state
    waiting = {
        (account, owner): count
        for (account, owner, _), count in state.balances.items()
        if account not in AT_REST and count > 0
    }
    if found.closes:
        assert not waiting
        assert not any(joint.out for joint in state.joints.values())
        assert not any(part.is_off and not part.gone for part in state.parts.values())
        assert not any(fit.fitted and not fit.off for fit in state.fits.values())
    assert {account for account, _ in waiting} == {
        account for line in found.lines for account in line.laid_up if is_laid_up(account)
    }


@given(stories())
def test_the_three_views_agree(story):
    """By joint, by tag and by specification the same pieces are added up."""
    found = check(story)
    assert sum(spec.short for spec in found.specs) == found.short
    assert sum(spec.over for spec in found.specs) == found.over
    bagged = sum(each.count for bag in found.tags for each in bag.pieces)
    assert bagged == sum(
        count
        for line in found.lines
        for account, count in line.laid_up.items()
        if account.startswith("tag:")
    )
    assert sum(bag.over for bag in found.tags) <= found.over
