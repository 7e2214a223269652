"""Snapshots: a cache that is right, or is not used."""

import pytest

from putback.errors import Damaged
from putback.logbook.entries.working import JointUndone, NoteMade, PartOff
from putback.logbook.fold import Fold, fold
from putback.logbook.snapshot import FORMAT, SnapshotUnreadable
from tests.strategies.entries import LOGBOOK, Draft

ENTRIES = [
    Draft(JointUndone(joint="j", out=3, of=4, tag="3CAH"), act=1).entry(1),
    Draft(PartOff(part="lid"), act=2).entry(2),
    Draft(NoteMade(text="½ turn"), act=3).entry(3),
]


def nothing(ids):
    """Nobody is asked for entries that are written down already."""
    raise AssertionError(f"asked for {ids}")


def test_a_state_is_there_without_any_entry():
    """What was folded is not folded again, nor are entries read, until something is added."""
    folded = fold(ENTRIES)
    begun = Fold.from_snapshot(folded.snapshot(), nothing)
    assert begun.state() == folded.state()
    assert begun.log() == folded.log()
    assert begun.act(ENTRIES[0].act) == (ENTRIES[0].id,)
    assert begun.snapshot() == folded.snapshot()


def test_an_entry_on_something_else_loads_nothing():
    """Only what the new entry speaks of is folded again."""
    begun = Fold.from_snapshot(fold(ENTRIES).snapshot(), nothing)
    other = Draft(PartOff(part="hose"), act=4).entry(4)
    assert begun.add([other]).new == (other.id,)
    assert begun.state() == fold([*ENTRIES, other]).state()


def test_whatever_has_to_be_folded_again_is_asked_for_at_once():
    """Once for all that new entries speak of: a store answers one question fast, not hundreds."""
    asked = []

    def load(ids):
        asked.append(set(ids))
        return [entry for entry in ENTRIES if entry.id in ids]

    begun = Fold.from_snapshot(fold(ENTRIES).snapshot(), load)
    more = [
        Draft(PartOff(part="lid"), act=4).entry(4),
        Draft(JointUndone(joint="j", out=1, of=4, tag="3CAH"), act=5).entry(5),
    ]
    begun.add(more)
    assert asked == [{ENTRIES[0].id, ENTRIES[1].id}]
    assert begun.state() == fold([*ENTRIES, *more]).state()


def test_entries_known_from_a_snapshot_are_known():
    """Sent again, they change nothing."""
    begun = Fold.from_snapshot(fold(ENTRIES).snapshot(), nothing)
    assert begun.add(ENTRIES).known == 3


def test_an_entry_that_is_not_to_be_had_is_an_error_of_the_caller():
    """Who begins from a snapshot without the entries must be able to give them."""
    begun = Fold.from_snapshot(fold(ENTRIES).snapshot(), nothing)
    with pytest.raises(AssertionError, match="asked for"):
        begun.standing_entries()
    with pytest.raises(LookupError, match="not at hand and cannot be loaded"):
        _without_loader().standing_entries()


def _without_loader() -> Fold:
    begun = Fold.from_snapshot(fold(ENTRIES).snapshot(), nothing)
    begun._index._load = None
    return begun


@pytest.mark.parametrize(
    ("blob", "why"),
    [
        (b"", "another version"),
        (b"putback snapshot 0\n", "another version"),
        (b"putback snapshot %d\n" % FORMAT, "its check sum is wrong"),
        (b"putback snapshot %d\n00000000\n" % FORMAT, "there is nothing in it"),
        (fold(ENTRIES).snapshot()[:-1], "its check sum is wrong"),
        (fold(ENTRIES).snapshot() + b" ", "its check sum is wrong"),
    ],
)
def test_what_is_torn_or_of_another_version_is_not_used(blob, why):
    """It says that nothing is lost: the snapshot is made again from the entries."""
    with pytest.raises(SnapshotUnreadable, match=why) as caught:
        Fold.from_snapshot(blob, nothing)
    assert isinstance(caught.value, Damaged)
    assert "nothing is lost: it is made again from the entries" in str(caught.value)


def test_an_empty_logbook_has_a_snapshot():
    """A logbook without entries is a logbook."""
    empty = Fold(LOGBOOK)
    assert Fold.from_snapshot(empty.snapshot(), nothing).state() == empty.state()
