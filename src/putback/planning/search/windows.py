"""Windows: the earliest and the latest visit of a walk in which precedence lets a step be done.

Nothing is chosen here, and the air is left aside, so that a walk which will not do is mostly seen
at once: before anybody spreads work over it.
"""

from collections.abc import Mapping, Sequence
from typing import NamedTuple

from putback.planning.posing.problem import Node
from putback.planning.search.field import Rules
from putback.vehicle.ids import StandingId


class Window(NamedTuple):
    """Of a node by visit whether it may be done there, and the first and the last that may be."""

    may: Sequence[bool]
    earliest: int
    latest: int


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

    def on(
        self, walk: Sequence[StandingId], by: Mapping[int, int] | None = None
    ) -> dict[int, Window] | None:
        """Give the window of each node on a walk; ``None`` if one of them has none.

        ``by`` says of some nodes in which visit they are to be done at the latest.
        """
        if not self._is_ordered:
            return None
        rules, last = self._rules, len(walk) - 1
        kinds: dict[object, list[bool]] = {}
        may: dict[int, list[bool]] = {}
        earliest: dict[int, int] = {}
        for index in self._order:
            node = rules.nodes[index]
            kind = (node.standings, node.crack_in) if node.kind.is_step else None
            if kind not in kinds:
                kinds[kind] = [kind is None or _may(node, walk, at) for at in range(last + 1)]
            here = may[index] = kinds[kind]
            # Of a way that comes later in this order nothing is known yet.
            asked = (min(earliest.get(by, 0) for by in ways) for ways in self.asked[index])
            at = max(asked, default=0)
            while at <= last and not here[at]:
                at += 1
            if at > last:
                return None
            earliest[index] = at
        latest = dict.fromkeys(self._order, last)
        latest.update((index, at) for index, at in (by or {}).items() if index in latest)
        for index in reversed(self._order):
            at = latest[index]
            while not may[index][at]:
                at -= 1
            if at < earliest[index]:
                return None
            latest[index] = at
            for ways in self.asked[index]:
                if len(ways) == 1:
                    latest[ways[0]] = min(latest[ways[0]], at)
        return {index: Window(may[index], earliest[index], latest[index]) for index in self._order}


def _may(node: Node, walk: Sequence[StandingId], at: int) -> bool:
    """Whether a step may be done in a visit, if that alone is looked at."""
    if not node.allows(walk[at]):
        return False
    return node.crack_in in (None, walk[at]) or node.crack_in in walk[:at]
