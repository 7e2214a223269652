"""Counts in lanes of one number, against counts one by one."""

from hypothesis import given
from hypothesis import strategies as st

from putback.planning.bounds.lanes import Lanes, in_lanes

PAIRS = st.lists(st.tuples(st.integers(0, 2**15 - 1), st.integers(0, 2**15 - 1)), max_size=9)


def packed(counts):
    """The counts, each in a lane."""
    return sum(count * in_lanes([False] * lane + [True]) for lane, count in enumerate(counts))


@given(PAIRS)
def test_lanes_compare_as_the_counts_do_one_by_one(pairs):
    """The greater and the smaller of each pair, whatever stands in the lanes beside."""
    lanes = Lanes(len(pairs))
    one, other = packed(a for a, _ in pairs), packed(b for _, b in pairs)
    most, least = lanes.most(one, other), lanes.least(one, other)
    assert [lanes.read(most, lane) for lane in range(len(pairs))] == [max(p) for p in pairs]
    assert [lanes.read(least, lane) for lane in range(len(pairs))] == [min(p) for p in pairs]
    assert most + least == one + other
