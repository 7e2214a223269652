"""Windows: the earliest and the latest visit of a walk in which precedence lets a step be done.

Nothing is chosen here, and the air is left aside, so that a walk which will not do is mostly seen
at once: before anybody spreads work over it.
"""

from collections.abc import Mapping, Sequence
from typing import NamedTuple

from putback.planning.search.field import Rules
from putback.vehicle.ids import StandingId


class Window(NamedTuple):
    """Of a node by visit whether it may be done there, and the first and the last that may be."""

    may: Sequence[bool]
    earliest: int
    latest: int


_Kind = tuple[frozenset[StandingId] | None, StandingId | None]
"""In which standings something may be done, and in which it is cracked before."""


class _Row(NamedTuple):
    """A node, of what kind it is, and what it asks for: each of some, one of each several."""

    node: int
    kind: int
    ones: tuple[int, ...]
    several: tuple[tuple[int, ...], ...]


class Windows:
    """What asks for what among the wanted nodes, to be looked at on one walk after another."""

    def __init__(self, rules: Rules) -> None:
        """Put the wanted nodes in an order in which they could be done, standings left aside."""
        self._rules = rules
        wanted = rules.wanted
        self.asked: dict[int, list[tuple[int, ...]]] = {
            index: [tuple(by for by in ways if by in wanted) for ways in rules.steps_before(index)]
            for index in sorted(wanted)
        }
        """Of each wanted node what it asks for: one of each several."""
        self._order: dict[int, None] = {}
        left = list(self.asked)
        while left:
            waiting: list[int] = []
            for index in left:
                if all(any(by in self._order for by in ways) for ways in self.asked[index]):
                    self._order[index] = None
                else:
                    waiting.append(index)
            if len(waiting) == len(left):
                break
            left = waiting
        self._is_ordered = len(self._order) == len(self.asked)
        self._kinds: dict[_Kind, int] = {}
        self._rows = [self._row(index) for index in self._order]

    def _row(self, index: int) -> "_Row":
        node = self._rules.nodes[index]
        kind = (node.standings, node.crack_in) if node.kind.is_step else (None, None)
        asked = self.asked[index]
        return _Row(
            index,
            self._kinds.setdefault(kind, len(self._kinds)),
            tuple(ways[0] for ways in asked if len(ways) == 1),
            tuple(ways for ways in asked if len(ways) > 1),
        )

    def on(
        self, walk: Sequence[StandingId], by: Mapping[int, int] | None = None
    ) -> dict[int, Window] | None:
        """Give the window of each node on a walk; ``None`` if one of them has none.

        ``by`` says of some nodes in which visit they are to be done at the latest.
        """
        if not self._is_ordered:
            return None
        last = len(walk) - 1
        mays = [[_may(kind, walk, at) for at in range(last + 1)] for kind in self._kinds]
        # Of each visit the first from it on that may be, and the last up to it.
        nexts = [
            [next((v for v in range(at, last + 1) if may[v]), last + 1) for at in range(last + 1)]
            for may in mays
        ]
        befores = [
            [next((v for v in range(at, -1, -1) if may[v]), -1) for at in range(last + 1)]
            for may in mays
        ]
        earliest: dict[int, int] = {}
        for index, kind, ones, several in self._rows:
            at = 0
            for each in ones:
                at = max(at, earliest[each])
            for ways in several:
                # Of a way that comes later in this order nothing is known yet.
                at = max(at, min([earliest.get(each, 0) for each in ways]))
            earliest[index] = at = nexts[kind][at]
            if at > last:
                return None
        latest = dict.fromkeys(self._order, last)
        latest.update((index, at) for index, at in (by or {}).items() if index in latest)
        windows: dict[int, Window] = {}
        for index, kind, ones, _ in reversed(self._rows):
            at = befores[kind][latest[index]]
            if at < earliest[index]:
                return None
            windows[index] = Window(mays[kind], earliest[index], at)
            for each in ones:
                latest[each] = min(latest[each], at)
        return {node: windows[node] for node in self._order}


def _may(kind: _Kind, walk: Sequence[StandingId], at: int) -> bool:
    """Whether something of a kind may be done in a visit, if that alone is looked at."""
    standings, crack_in = kind
    if standings is not None and walk[at] not in standings:
        return False
    return crack_in in (None, walk[at]) or crack_in in walk[:at]
