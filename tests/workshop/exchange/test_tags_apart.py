"""Tags of several workshops, which all begin at the same place of one order."""

from itertools import combinations, pairwise

from hypothesis import given
from hypothesis import strategies as st

from putback.logbook.entries.base import DeviceId, LogbookId
from putback.workshop.exchange.course import Course, Exchange
from putback.workshop.exchange.tags_apart import blocks_here, keep_apart
from putback.workshop.logbooks.memory import MemoryEntryStore, MemoryPhotoStore
from putback.workshop.logbooks.workshop import Workshop
from tests.far import BesideFar
from tests.stores import ANN, PHONE


def workshop() -> Workshop:
    return Workshop(MemoryEntryStore(), MemoryPhotoStore())


def test_two_workshops_that_met_issue_different_tags():
    """By exchanging a vehicle once: before it both would have begun with the same tag."""
    here, there = workshop(), workshop()
    car = here.new_vehicle("Old Dunlin", who=ANN, device=PHONE)
    first = here.reserve_tags(PHONE, 12)
    exchange = Exchange(there, BesideFar(here), "a", LogbookId(car), "partner a", ANN, Course())
    list(exchange.pull())
    bens = DeviceId("ben's phone")
    for _ in range(9):
        mine, theirs = here.reserve_tags(PHONE, 40), there.reserve_tags(bens, 40)
        assert not {*mine, *first} & {*theirs}
    assert here.reserve_tags(PHONE, 1)[0] not in there.tags_of(bens)


def test_meeting_again_moves_nobody():
    """Once apart they stay where they are: else the tags would soon run out."""
    here, there = workshop(), workshop()
    here.reserve_tags(PHONE, 12)
    assert keep_apart(there, blocks_here(here))
    there.reserve_tags(PHONE, 12)
    for _ in range(5):
        assert not keep_apart(here, blocks_here(there))
        assert not keep_apart(there, blocks_here(here))
        here.reserve_tags(PHONE, 12)
        there.reserve_tags(PHONE, 12)


def test_what_makes_no_sense_moves_nobody():
    """Blocks that cannot be."""
    here = workshop()
    for wrong in [(5, 5), (9, 3), (-4, 4), (0, 10**9)]:
        assert not keep_apart(here, [wrong])
    assert blocks_here(here) == ()


@given(st.lists(st.tuples(st.integers(0, 3), st.integers(0, 3), st.integers(1, 30)), max_size=12))
def test_who_knows_of_each_other_does_not_overlap(acts):
    """Four workshops: all meet once before the first bag, then reserve and meet as they like."""
    all_of_them = [workshop() for _ in range(4)]
    for one, other in combinations(range(4), 2):
        all_of_them[one].reserve_tags(PHONE, 1)
        keep_apart(all_of_them[other], blocks_here(all_of_them[one]))
    begun = [len(each.tags_of(PHONE)) for each in all_of_them]
    for one, other, count in acts:
        all_of_them[one].reserve_tags(PHONE, count)
        keep_apart(all_of_them[one], blocks_here(all_of_them[other]))
    issued = [
        set(each.tags_of(PHONE)[start:]) for each, start in zip(all_of_them, begun, strict=True)
    ]
    if sum(map(len, issued)) < 200:
        assert sum(map(len, issued)) == len(set().union(*issued))
    for each in all_of_them:
        places = [places for _, places in each.store.reserved_tags()]
        assert all(a.stop == b.start for a, b in pairwise(places))
