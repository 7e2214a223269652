"""The fold in stories: striking out, conflicts, what is not there yet, and what is given out."""

import pytest

from putback.logbook.entries.bookkeeping import MoneySpent, Struck
from putback.logbook.entries.describing import Described, OneAndSame
from putback.logbook.entries.keeping import HardwareMoved
from putback.logbook.entries.rebuilding import Checked, JointMade
from putback.logbook.entries.working import JointUndone, NoteMade, PartOff, PhotoTaken
from putback.logbook.fold import Fold, fold
from tests.strategies.entries import LOGBOOK, Draft, act_of, id_of


def entries(*drafted: Draft | object):
    """Bodies or drafts, each an act of its own, numbered from 1."""
    return [
        (each if isinstance(each, Draft) else Draft(each, act=number)).entry(number)
        for number, each in enumerate(drafted, start=1)
    ]


def test_undo_strikes_all_that_one_tap_made():
    """One act made a bag, a part and a photo; striking it leaves nothing of them."""
    act = [
        Draft(PartOff(part="lid", tag="3CAH"), act=1),
        Draft(PhotoTaken(photo="ab" * 32, of=("part:lid",)), act=1),
    ]
    before, after, undone = NoteMade(text="before"), NoteMade(text="after"), Struck(act=act_of(1))
    story = entries(*act, Draft(before, act=2), Draft(after, act=3), Draft(undone, act=4))
    folded = fold(story)
    assert folded.act(act_of(1)) == tuple(sorted([id_of(1), id_of(2)]))
    assert folded.log().struck == {id_of(1), id_of(2)}
    assert folded.state() == fold(story[2:4]).state()
    assert {entry.id for entry in folded.standing_entries()} == {id_of(3), id_of(4), id_of(5)}


def test_a_late_member_of_a_struck_act_is_struck_too():
    """The strike of an act holds for whatever of it arrives later."""
    strike, late = entries(Draft(Struck(act=act_of(5)), act=1), Draft(PartOff(part="lid"), act=5))
    folded = fold([strike])
    folded.add([late])
    assert folded.state() == fold([strike]).state()
    assert folded.log().struck == {late.id}


def test_striking_a_strike_brings_back_and_striking_that_takes_away_again():
    """Strikes may be struck out to any depth."""
    story = entries(
        PartOff(part="lid"),
        Struck(entry=id_of(1)),
        Struck(entry=id_of(2)),
        Struck(entry=id_of(3)),
    )
    off = ["lid" in fold(story[:count]).state().parts_off for count in (1, 2, 3, 4)]
    assert off == [True, False, True, False]


@pytest.mark.parametrize("count", [1, 2, 3])
def test_strikes_in_a_ring_strike_nothing(count):
    """Nobody can say which of them came first; so all stand, on every copy."""
    ring = entries(*(Struck(entry=id_of(number % count + 1)) for number in range(1, count + 1)))
    folded = fold(ring)
    assert folded.log().struck == frozenset()
    assert len(folded.standing_entries()) == count


def test_a_ring_broken_from_outside_is_a_chain():
    """What is struck out for certain no longer keeps a ring together."""
    ring = entries(Struck(entry=id_of(2)), Struck(entry=id_of(1)), Struck(entry=id_of(1)))
    assert fold(ring[:2]).log().struck == frozenset()
    assert fold(ring).log().struck == {id_of(1)}


def test_what_rests_on_a_struck_entry_stays_and_is_offered():
    """A check of a joint whose making was struck out stands, and is told together with it."""
    made, checked, strike = entries(
        JointMade(joint="j", tightness="final"),
        Checked(joint="j", of=id_of(1)),
        Struck(entry=id_of(1)),
    )
    assert fold([made, checked]).log().rest_on_struck == ()
    folded = fold([made, checked, strike])
    assert folded.log().rest_on_struck == (checked.id,)
    assert checked in folded.standing_entries()


def test_an_act_may_have_the_identity_of_its_first_entry():
    """Striking the entry strikes only it; striking the act strikes all of it."""
    act = [
        Draft(PartOff(part=part), act=0, number=number).entry(0)
        for number, part in enumerate(["lid", "fan"])
    ]
    assert act[0].id == act[0].act
    entry_only = Draft(Struck(entry=act[0].id), act=5).entry(5)
    whole_act = Draft(Struck(act=act[0].act), act=5).entry(5)
    for arrival in ([*act, entry_only], [entry_only, *act]):
        assert fold(arrival).state().parts_off == {"fan"}
    for arrival in ([*act, whole_act], [whole_act, *act]):
        assert fold(arrival).state().parts_off == set()


def test_the_other_body_of_a_strike_spares_what_it_had_struck():
    """A strike whose smaller body strikes something else leaves nothing struck, down the chain."""
    lid = Draft(PartOff(part="lid"), act=1).entry(1)
    strike = Draft(Struck(entry=id_of(1)), act=2).entry(2)
    bodies = [
        Draft(Struck(entry=target), act=3, number=3).entry(0) for target in (id_of(2), id_of(9))
    ]
    small, large = sorted(bodies, key=lambda entry: entry.digest)
    folded = fold([lid, strike, large])
    added = folded.add([small])
    assert added.conflicts == (id_of(3),)
    assert folded.state() == fold([lid, strike, small]).state()
    assert folded.log().struck == fold([small, strike, lid, large]).log().struck
    assert folded.log().conflicts == {id_of(3): (small.digest, large.digest)}
    assert folded.add([large, small]).known == 2


def test_work_on_what_nobody_described_waits_for_its_description():
    """A joint undone before anybody said what it is: the description comes, nothing is lost."""
    undone = Draft(JointUndone(joint="j", out=2, of=4, tag="3CAH"), act=1).entry(1)
    said = Draft(
        Described(
            table="joints",
            id="j",
            fields={
                "parts": ["lid", "frame"],
                "fixings": [{"id": "a", "count": 4, "stack": [{"spec": "bolt M8"}]}],
            },
        ),
        act=2,
    ).entry(2)
    folded = fold([undone])
    assert folded.state().undescribed == {"joint:j"}
    folded.add([said])
    assert folded.state().undescribed == frozenset()
    in_bag = folded.state().balances
    assert {(key[0], count) for key, count in in_bag.items() if count > 0} == {
        ("tag:3CAH", 2),
        ("on vehicle", 2),
    }
    assert folded.state() == fold([said, undone]).state()


def test_two_people_who_counted_one_joint_are_settled_by_one_and_the_same():
    """Counts that contradict are told until somebody says that they are one event."""
    story = entries(
        JointUndone(joint="j", out=3, of=4),
        Draft(JointUndone(joint="j", out=2, of=4), act=2, who="ben"),
        OneAndSame(entries=(id_of(1), id_of(2)), subject="joint:j", settled=3),
    )
    assert fold(story[:2]).state().joints["j"].doubles
    settled = fold(story).state().joints["j"]
    assert settled.doubles == ()
    assert settled.out == 3


def test_pieces_that_nobody_owns_are_taken_from_nobody():
    """What lies about is no joint's, whatever bags once linked it to one by entries struck out."""
    bolt = ({"spec": "bolt M8", "count": 1},)
    to_lost = HardwareMoved(joint="j", pieces=bolt, source="tag", source_tag="K7F4", to="lost")
    found = HardwareMoved(pieces=bolt, source="lost", to="tag", to_tag="3CAH")
    linking = JointUndone(
        joint="j", out=0, of=1, went=({"to": "tag", "fixings": 0, "tag": "3CAH"},)
    )
    story = entries(to_lost, linking, found, Struck(entry=id_of(2)))
    assert fold(story).state() == fold([story[0], story[2]]).state()
    owners = {owner for (_, owner, _), count in fold(story).state().balances.items() if count > 0}
    assert owners == {"joint:j", "stock"}


def test_two_names_of_one_vehicle_are_one_name_on_every_copy():
    """Should two entries call the vehicle by different identities, all copies go by the same."""
    story = entries(*(Described(table="about", id=each, fields={"name": each}) for each in "ba"))
    assert fold(story).state().vehicle.about.name == "a"
    assert fold(story[::-1]).state() == fold(story).state()


def test_sums_are_exact():
    """Ten pence ten times is a pound."""
    story = entries(*(MoneySpent(amount="0.10", currency="GBP") for _ in range(10)))
    assert fold(story).state().money == {"GBP": "1.00"}


def test_a_state_given_out_never_changes():
    """What is added later makes a new state; what did not change is shared."""
    first, second = entries(PartOff(part="lid"), JointUndone(joint="j"))
    folded = fold([first])
    before = folded.state()
    assert folded.state() is before
    folded.add([second])
    assert set(before.joints) == set()
    assert set(folded.state().joints) == {"j"}
    assert folded.state().parts is before.parts
    with pytest.raises(TypeError):
        before.parts["lid"] = None  # type: ignore[index]


def test_an_empty_logbook_has_a_state():
    """A vehicle of which nothing is known is a vehicle."""
    state = fold([], LOGBOOK).state()
    assert state.vehicle.about.id == LOGBOOK
    assert state == Fold(LOGBOOK).state()
    assert fold([]).log().entries == 0
