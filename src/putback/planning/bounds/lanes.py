"""Many small counts in the lanes of one number, so that they are compared all at once."""

from collections.abc import Iterable

_BITS = 16
"""The width of a lane; its highest bit is kept free for comparing [bit]."""


class Lanes:
    """So many lanes side by side; a count in a lane is less than half of what it could hold."""

    def __init__(self, count: int) -> None:
        """Lay out the lanes."""
        self.ones = in_lanes([True] * count)
        """One in each lane."""
        self._tops = self.ones << (_BITS - 1)

    def most(self, one: int, other: int) -> int:
        """The greater of two counts, lane by lane."""
        where = self._at_least(one, other)
        return other ^ (one ^ other) & where

    def least(self, one: int, other: int) -> int:
        """The smaller of two counts, lane by lane."""
        where = self._at_least(one, other)
        return one ^ (one ^ other) & where

    def _at_least(self, one: int, other: int) -> int:
        """All bits of those lanes, but the highest, in which one count is no less than another."""
        tops = ((one | self._tops) - other) & self._tops
        return tops - (tops >> (_BITS - 1))

    def read(self, lanes: int, lane: int) -> int:
        """The count in a lane."""
        return lanes >> (lane * _BITS) & ((1 << _BITS) - 1)


def in_lanes(which: Iterable[bool]) -> int:
    """One in each lane of which something is true."""
    return sum(1 << (lane * _BITS) for lane, true in enumerate(which) if true)
