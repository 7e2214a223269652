"""What entries do to joints and to the nuts and bolts that come out of them."""

from dataclasses import replace

import pytest
from hypothesis import given

from putback.logbook.entries.describing import OneAndSame
from putback.logbook.entries.keeping import Counted, Pieces
from putback.logbook.entries.rebuilding import Tightness
from putback.logbook.state import Made
from putback.vehicle.joint import Care
from tests.makers import joint, vehicle
from tests.makers_logbook import Story
from tests.strategies.stories import hardware_bodies, stories

BOLT, WASHER, PIN = "bolt M8x1.25 x 20 mm", "plain washer M8", "split pin 3 mm"


@pytest.fixture
def story():
    """A lid on a frame by four bolts with washers."""
    return Story(vehicle(f"lid - frame: 4 {BOLT} + {WASHER}"))


def of(story, name="lid-frame"):
    """The state of the joint."""
    return story.state.joints[name]


def pieces(story, *specs):
    """Where pieces of some specifications are: ``{"tag:3CAH": 3, ...}`` if of one."""
    found = story.balances()
    (spec,) = specs
    return {key.removesuffix(f": {spec}"): n for key, n in found.items() if key.endswith(spec)}


# -- undoing ------------------------------------------------------------------------------------


def test_as_built_all_is_on_the_vehicle(story):
    """Before anybody touches it the description says what is there."""
    assert story.balances() == {f"on vehicle: {BOLT}": 4, f"on vehicle: {WASHER}": 4}
    assert of(story).stage is Made.AS_FOUND


def test_three_of_four_go_into_the_bag_and_the_stuck_one_stays(story):
    """Each fixing takes its whole stack with it."""
    story("A: undone lid-frame 3 of 4, stuck 1, tag 3CAH")
    assert pieces(story, BOLT) == pieces(story, WASHER) == {"on vehicle": 1, "tag:3CAH": 3}
    assert (of(story).out, of(story).stuck, of(story).stage) == (3, 1, Made.PART_UNDONE)


def test_the_last_one_follows_into_another_bag(story):
    """Only what is newly out moves."""
    story("A: undone lid-frame 3 of 4, tag 3CAH", "A: undone lid-frame 4 of 4, tag K7F4")
    assert pieces(story, BOLT) == {"tag:3CAH": 3, "tag:K7F4": 1}
    assert of(story).is_undone


def test_a_cut_bolt_is_scrap_and_the_rest_are_bagged(story):
    """What came out in pieces does not go into the bag."""
    story("A: undone lid-frame 4 of 4, cut 1, sheared 1, tag 3CAH")
    assert pieces(story, BOLT) == {"tag:3CAH": 2, "scrap": 2}
    assert of(story).destroyed == 2


def test_half_go_back_slack_into_their_own_holes(story):
    """Some to a bag, some to their holes, one lost, and one of which nobody says."""
    story("A: undone lid-frame 4 of 4, 2 own hole, 1 lost")
    assert pieces(story, BOLT) == {"own hole": 2, "lost": 1, "not recorded": 1}


def test_all_out_without_a_count(story):
    """Undone and no number means all of it."""
    story("A: undone lid-frame, tag 3CAH")
    assert pieces(story, BOLT) == {"tag:3CAH": 4}


def test_said_twice_moves_nothing_twice(story):
    """Two people log one joint; the second telling is an observation."""
    story("A: undone lid-frame 4 of 4, tag 3CAH", "B: undone lid-frame 4 of 4, tag K7F4")
    assert pieces(story, BOLT) == {"tag:3CAH": 4}
    assert of(story).doubles == ()


def test_more_out_than_described_follows_the_description_and_shows(story):
    """Five of five where four are described: four moved, and the contradiction kept."""
    undone = story("A: undone lid-frame 5 of 5, tag 3CAH")
    assert pieces(story, BOLT) == {"tag:3CAH": 4}
    assert of(story).doubles == (undone,)


def test_the_named_hole_goes_first():
    """Of several groups of holes the one that is named is emptied."""
    story = Story(vehicle(f"lid - frame: 2 {BOLT} & 1 {WASHER}"))
    story("A: undone lid-frame 1 of 3, fixing b, tag 3CAH")
    assert story.balances() == {f"on vehicle: {BOLT}": 2, f"tag:3CAH: {WASHER}": 1}


def test_what_stays_on_its_part_never_enters_a_bag():
    """A captive nut is no piece."""
    story = Story(vehicle(f"lid - frame: 2 {BOLT} + captive nut M8"))
    story("A: undone lid-frame 2 of 2, tag 3CAH")
    assert story.balances() == {f"tag:3CAH: {BOLT}": 2}


def test_uncounted_hardware_says_so():
    """A bag of trim screws moves as described, and not as counted."""
    clips = replace(joint("trim - door: 6 spring clip 8 mm"), care=Care.ALL_THERE)
    story = Story(vehicle(clips))
    story("A: undone trim-door, tag 3CAH")
    told = [each for each in story.state.all_movements() if each.entry]
    assert [(each.count, each.counted) for each in told] == [(6, False)]


def test_cracked_is_neither_undone_nor_as_found(story):
    """Broken loose and nipped again."""
    story("A: cracked lid-frame")
    assert of(story).stage is Made.CRACKED
    assert pieces(story, BOLT) == {"on vehicle": 4}


# -- two people, one joint ----------------------------------------------------------------------


@pytest.mark.parametrize(("settled", "bag"), [(3, 3), (4, 4), (0, 0)])
def test_two_counts_are_settled_by_looking_again(story, settled, bag):
    """Four, says one; three, says the other; the books follow who looked."""
    first = story("A: undone lid-frame 4 of 4, tag 3CAH")
    second = story("B: undone lid-frame 3 of 4, tag 3CAH")
    assert of(story).doubles == (first, second)
    story.says("B", OneAndSame(entries=(first, second), subject="joint:lid-frame",
                               settled=settled))  # fmt: skip
    assert of(story).doubles == ()
    assert of(story).out == settled
    assert pieces(story, BOLT).get("tag:3CAH", 0) == bag
    assert pieces(story, BOLT).get("on vehicle", 0) == 4 - bag


def test_a_count_settled_higher_brings_out_the_rest(story):
    """The later, lower count was the right person's mistake."""
    first = story("A: undone lid-frame 3 of 4, tag 3CAH")
    second = story("B: undone lid-frame 2 of 4, tag 3CAH")
    story.says("B", OneAndSame(entries=(first, second), subject="joint:lid-frame", settled=4))
    assert pieces(story, BOLT) == {"tag:3CAH": 4}


def test_a_sheared_bolt_that_was_counted_too_many_is_back_in(story):
    """Settled at three, the fourth never sheared."""
    first = story("A: undone lid-frame 4 of 4, sheared 1, tag 3CAH")
    second = story("B: undone lid-frame 0 of 4, tag 3CAH")
    story.says("B", OneAndSame(entries=(first, second), subject="joint:lid-frame", settled=0))
    assert pieces(story, BOLT) == {"on vehicle": 4}
    assert of(story).undone is None


def test_settled_without_a_count_only_the_doubt_goes(story):
    """One event told twice; what was known stays known."""
    first = story("A: undone lid-frame 4 of 4, tag 3CAH")
    second = story("B: undone lid-frame 3 of 4, tag 3CAH")
    story.says("B", OneAndSame(entries=(first, second), subject="joint:lid-frame"))
    assert (of(story).doubles, of(story).out) == ((), 4)


def test_settled_after_it_was_made_again_takes_nothing_apart(story):
    """How many were out then is history."""
    first = story("A: undone lid-frame 4 of 4, tag 3CAH")
    second = story("B: undone lid-frame 3 of 4, tag 3CAH")
    story("A: made lid-frame final")
    story.says("B", OneAndSame(entries=(first, second), subject="joint:lid-frame", settled=4))
    assert of(story).out == 0
    assert pieces(story, BOLT) == {"back on": 4}


# -- bags ---------------------------------------------------------------------------------------


def test_a_stocktake_dates_a_loss(story):
    """What is short is lost by the entry of the count, not before."""
    story("A: undone lid-frame 4 of 4, tag 3CAH")
    counted = story(f"B day 9: counted 3CAH 3 {BOLT}, 4 {WASHER}")
    assert pieces(story, BOLT) == {"tag:3CAH": 3, "lost": 1}
    (lost,) = [each for each in story.state.all_movements() if each.to == "lost"]
    assert lost.entry == counted


def test_a_count_of_some_says_nothing_of_the_rest(story):
    """Three bolts, and nobody looked at the washers."""
    story("A: undone lid-frame 4 of 4, tag 3CAH")
    listed = (Pieces(spec=BOLT, count=3),)
    story.says("B", Counted(tag="3CAH", pieces=listed, complete=False))
    assert pieces(story, WASHER) == {"tag:3CAH": 4}
    assert pieces(story, BOLT) == {"tag:3CAH": 3, "lost": 1}


def test_one_specification_listed_twice_is_added_up(story):
    """Two heaps of bolts, each counted."""
    story("A: undone lid-frame 4 of 4, tag 3CAH")
    story(f"B: counted 3CAH 2 {BOLT}, 2 {BOLT}, 4 {WASHER}")
    assert pieces(story, BOLT) == {"tag:3CAH": 4}


def test_found_again_it_comes_out_of_the_lost(story):
    """The fourth bolt lay under the bench."""
    story("A: undone lid-frame 4 of 4, tag 3CAH", f"B: counted 3CAH 3 {BOLT}, 4 {WASHER}")
    story(f"B day 20: counted 3CAH 4 {BOLT}, 4 {WASHER}")
    assert pieces(story, BOLT) == {"tag:3CAH": 4}


def test_more_than_were_ever_missed_are_found(story):
    """A fifth bolt of four is nobody's, but it is there."""
    story("A: undone lid-frame 4 of 4, tag 3CAH", f"B: counted 3CAH 5 {BOLT}, 4 {WASHER}")
    assert pieces(story, BOLT) == {"tag:3CAH": 5}
    assert story.state.balances["found", "joint:lid-frame", BOLT] == -1


def test_a_stranger_in_a_bag_of_two_joints_belongs_to_the_bag():
    """Whose it is nobody can say."""
    story = Story(vehicle(f"a = lid - frame: 1 {BOLT}", f"b = lid - frame: 1 {BOLT}"))
    story("A: undone a 1 of 1, tag 3CAH", "A: undone b 1 of 1, tag 3CAH")
    story(f"A: counted 3CAH 3 {BOLT}")
    assert story.balances("tag:3CAH") == {f"tag:3CAH: {BOLT}": 1}


def test_moved_pieces_follow_the_hand(story):
    """Named from the wrong bag, they are taken from where the books had them."""
    story("A: undone lid-frame 4 of 4, tag 3CAH")
    story(f"A: pieces lid-frame: 4 {BOLT} from tag K7F4 to own hole")
    assert pieces(story, BOLT) == {"own hole": 4}
    assert pieces(story, WASHER) == {"tag:3CAH": 4}


def test_moved_twice_is_moved_once(story):
    """What is there already is not taken from elsewhere."""
    story("A: undone lid-frame 4 of 4")
    for who in "AB":
        story(f"{who}: pieces lid-frame: 4 {BOLT} from not recorded to tag 3CAH")
    assert pieces(story, BOLT) == {"tag:3CAH": 4}


def test_a_whole_bag_is_moved_without_saying_whose_it_is(story):
    """Each owner's pieces go along; what the books did not have there is found."""
    story("A: undone lid-frame 4 of 4, tag 3CAH")
    story(f"A: pieces -: 5 {BOLT} from tag 3CAH to tag K7F4")
    assert story.balances("lid-frame") == {
        f"tag:3CAH: {WASHER}": 4,
        f"tag:K7F4: {BOLT}": 5,
    }
    assert story.state.balances["found", "joint:lid-frame", BOLT] == -1


# -- making -------------------------------------------------------------------------------------


def test_made_again_all_is_back_on(story):
    """From the bag, from the hole and from where nobody said."""
    story("A: undone lid-frame 4 of 4, 1 own hole, 1 tag 3CAH")
    story("A: made lid-frame tightened, torque 25")
    assert pieces(story, BOLT) == {"back on": 4}
    state = of(story)
    assert (state.out, state.times_made, state.tightness) == (0, 1, Tightness.TIGHTENED)
    assert (state.torque_nm, state.tags) == (25, ())


def test_made_in_part_only_so_many_are_back_on(story):
    """Two bolts by hand to hold it."""
    story("A: undone lid-frame 4 of 4, tag 3CAH", "A: made lid-frame finger tight, made 2")
    assert pieces(story, BOLT) == {"back on": 2, "tag:3CAH": 2}
    assert of(story).out == 2
    story("A: made lid-frame final")
    assert pieces(story, BOLT) == {"back on": 4}


def test_new_bolts_come_out_of_what_was_bought_for_it(story):
    """Two bought, one used, the old one left in its bag."""
    story("A: undone lid-frame 4 of 4, tag 3CAH", f"A: bought 2 {BOLT} for lid-frame")
    story(f"A: made lid-frame final, new 1 {BOLT}")
    assert pieces(story, BOLT) == {"back on": 4, "tag:3CAH": 1, "new stock": 1}


def test_renewed_pieces_are_scrapped_and_bought():
    """The old split pin goes, a new one comes, whether its purchase was logged or not."""
    story = Story(vehicle(f"nut - shaft: 1 castle nut M14 + {PIN}!"))
    story("A: undone nut-shaft 1 of 1, tag 3CAH", "A: made nut-shaft final, renewed")
    assert pieces(story, PIN) == {"scrap": 1, "back on": 1}
    assert story.state.balances["bought", "joint:nut-shaft", PIN] == -1


def test_renewal_told_of_afterwards_swaps_the_pin_once():
    """Logged final, and a day later that the pin was new."""
    story = Story(vehicle(f"nut - shaft: 1 castle nut M14 + {PIN}!"))
    story("A: undone nut-shaft 1 of 1, tag 3CAH", "A: made nut-shaft final")
    assert of(story, "nut-shaft").renewed is None
    story("A day 9: made nut-shaft final, renewed", "A: made nut-shaft final, renewed")
    assert of(story, "nut-shaft").renewed is True
    assert pieces(story, PIN) == {"scrap": 1, "back on": 1}


def test_renewed_in_two_goes_is_renewed_only_if_both_were(story):
    """Of two tellings the one that promises less counts."""
    story("A: undone lid-frame 4 of 4, tag 3CAH")
    story("A: made lid-frame nipped, made 2, reused", "A: made lid-frame final, renewed")
    assert of(story).renewed is False


def test_new_pieces_told_of_afterwards_fill_what_was_short(story):
    """Two were cut; that new ones went in is remembered later, and no more than were short."""
    story("A: undone lid-frame 4 of 4, cut 2, tag 3CAH", "A: made lid-frame final")
    assert pieces(story, BOLT) == {"back on": 2, "scrap": 2}
    story(f"A day 9: made lid-frame final, new 3 {BOLT}")
    assert pieces(story, BOLT) == {"back on": 4, "scrap": 2}


def test_a_trial_build_is_taken_down_again(story):
    """Up for the gaps, down for the paint, up for good."""
    story("A: undone lid-frame 4 of 4, tag 3CAH", "A: made lid-frame finger tight")
    story("A: undone lid-frame 4 of 4, tag K7F4")
    assert pieces(story, BOLT) == {"tag:K7F4": 4}
    assert (of(story).made, of(story).tightness, of(story).times_made) == (None, None, 1)
    assert of(story).tags == ("K7F4",)
    story("A: made lid-frame final")
    assert pieces(story, BOLT) == {"back on": 4}
    assert of(story).times_made == 2


def test_retightened_without_being_undone_nothing_moves(story):
    """A torque on a joint as found."""
    story("A: made lid-frame final, torque 25, locked")
    state = of(story)
    assert pieces(story, BOLT) == {"on vehicle": 4}
    assert (state.times_made, state.torque_nm, state.locked) == (0, 25, True)


def test_checks_are_of_the_making_they_looked_at(story):
    """Undone again, an old check says nothing; who made it is no second person."""
    story("A: undone lid-frame 4 of 4, tag 3CAH", "A: made lid-frame final")
    story("A: checked lid-frame right", "B: checked lid-frame right")
    assert [check.second_person for check in of(story).checks] == [False, True]
    story("A: undone lid-frame 4 of 4, tag 3CAH")
    assert of(story).checks == ()


# -- joints that nobody described ---------------------------------------------------------------


def test_an_undescribed_joint_counts_what_is_said_of_it():
    """Its number of fixings is what the log says."""
    story = Story(vehicle())
    story("A: undone J 3 of 4, tag 3CAH")
    assert (of(story, "J").of, of(story, "J").out) == (4, 3)
    assert story.balances() == {}


def test_an_undescribed_joint_has_the_hardware_that_is_counted_in_its_bag():
    """A bag and a count are enough; made again, they are back on, and out once more."""
    story = Story(vehicle())
    story("A: undone J 4 of 4, tag 3CAH", f"A: counted 3CAH 4 {BOLT}")
    assert story.balances("J") == {f"tag:3CAH: {BOLT}": 4}
    story("A: made J final")
    assert story.balances("J") == {f"back on: {BOLT}": 4}
    story("A: undone J 4 of 4, tag K7F4")
    assert story.balances("J") == {f"tag:K7F4: {BOLT}": 4}


def test_an_undescribed_joint_remembers_what_was_lost_of_it():
    """No account has it, so its count is kept until it is made again; described, accounts do."""
    story = Story(vehicle())
    story("A: undone J 4 of 4, sheared 1, 1 lost, tag 3CAH")
    assert (of(story, "J").destroyed, of(story, "J").lost) == (1, 1)
    story("A: made J final")
    assert of(story, "J").lost == 0
    story("A: undone J 4 of 4, 1 lost, tag 3CAH")
    story.describe("joints", joint(f"J = lid - frame: 4 {BOLT}"))
    assert of(story, "J").lost == 0
    assert story.balances("J")[f"lost: {BOLT}"] == 2  # of both times


def test_described_later_it_is_as_if_it_had_been_described_before():
    """The description is folded first, whenever it came."""
    story = Story(vehicle())
    story("A: undone lid-frame 3 of 4, tag 3CAH")
    story.describe("joints", joint(f"lid - frame: 4 {BOLT}"))
    assert story.balances() == {f"on vehicle: {BOLT}": 1, f"tag:3CAH: {BOLT}": 3}


def test_a_bag_shared_by_two_joints_keeps_their_pieces_apart():
    """One bag, two joints: each brings back its own."""
    story = Story(vehicle(f"a = lid - frame: 2 {BOLT}", f"b = bar - frame: 3 {BOLT}"))
    story("A: undone a 2 of 2, tag 3CAH", "A: undone b 3 of 3, tag 3CAH", "A: made b final")
    assert story.balances() == {f"back on: {BOLT}": 3, f"tag:3CAH: {BOLT}": 2}


# -- whatever happens ---------------------------------------------------------------------------


@given(stories(hardware_bodies()))
def test_a_joint_is_never_more_undone_than_it_has_fixings(story):
    """Counts stay within what there is, and a joint that is all in has nothing open of it."""
    for state in story.state.joints.values():
        assert 0 <= state.destroyed <= max(state.of, state.out)
        assert 0 <= state.lost <= max(state.of, state.out) - state.destroyed
        if state.joint in story.about.joints:
            assert 0 <= state.out <= state.of
        if state.out == 0:
            assert state.undone is None or state.stage is not Made.UNDONE


@given(stories(hardware_bodies()))
def test_a_bolt_is_out_exactly_if_its_fixing_is(story):
    """What is on the vehicle never exceeds what the fixings that are in can hold."""
    for state in story.state.joints.values():
        described = story.about.joints.get(state.joint)
        if described is None or len(described.fixings) != 1:
            continue
        (fixing,) = described.fixings
        for piece in fixing.stack:
            on = sum(
                story.state.balances.get((account, f"joint:{state.joint}", piece.spec.text), 0)
                for account in ("on vehicle", "back on")
            )
            assert on <= (state.of - state.out) * piece.per_fixing
