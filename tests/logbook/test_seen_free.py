"""Seen free on the walk-round before a lift, and void once the joint is made again."""

from putback.logbook.entries.working import SeenFree
from tests.makers import vehicle
from tests.makers_logbook import Story


def story() -> Story:
    """A lid on a frame, undone."""
    told = Story(vehicle("lid - frame: 4 bolt 5/16-24 UNF x 1 in"))
    told("A: undone lid-frame 4 of 4")
    return told


def seen(told: Story) -> str | None:
    """By which entry the joint was last seen free."""
    said = told.state.joints["lid-frame"].seen_free
    return said and said.entry


def test_a_joint_seen_free_says_who_saw_it_last():
    """The last look counts; the hardware stays where it is."""
    told = story()
    assert seen(told) is None
    before = told.state.balances
    told.says("A", SeenFree(joint="lid-frame", before="part:lid"))
    last = told.says("B", SeenFree(joint="lid-frame"))
    assert (seen(told), told.state.joints["lid-frame"].seen_free.who) == (last, "B")
    assert told.state.balances == before


def test_it_is_void_once_the_joint_is_made_again():
    """However loosely; and undoing the joint once more does not bring the look back."""
    told = story()
    told.says("A", SeenFree(joint="lid-frame"))
    made = told("A: made lid-frame finger tight, made 1")
    assert seen(told) is None
    told("A: undone lid-frame 4 of 4")
    assert seen(told) is None
    told.strike(made)
    assert seen(told) is not None


def test_it_undoes_nothing():
    """A joint that the logbook has as made stays made: the two are told apart."""
    told = Story(vehicle("lid - frame: 4 bolt 5/16-24 UNF x 1 in"))
    told.says("A", SeenFree(joint="lid-frame"))
    assert told.state.undone_joints == frozenset()
    assert seen(told) is not None


def test_it_says_itself():
    """With the lift it was looked at for, or without."""
    assert SeenFree(joint="j").sentence(str) == "saw joint:j free"
    said = SeenFree(joint="j", before="part:lid").sentence(str)
    assert said == "saw joint:j free before part:lid is lifted"
