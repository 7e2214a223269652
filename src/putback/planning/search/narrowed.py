"""Narrow windows: what is held up in one way only, is done early, or late, enough for that.

Most walks that will not do are seen by that alone, long before work is spread over them: what is
left of a window is nothing. It is what a solver would find by propagation (unit clauses), without
laying anything out for it.
"""

from collections.abc import Collection, Mapping, Sequence
from itertools import islice
from math import inf
from typing import NamedTuple

from putback.planning.search.windows import Window


class HeldUp(NamedTuple):
    """What is to be off before each of these changes, or one of its ties still made.

    It is of a ``piece``, parts by number. ``offs`` are the nodes that take it off, ``ties`` those
    that undo what ties it; a change goes by the number of the visit that it leads to.
    """

    piece: frozenset[int]
    offs: Sequence[int]
    ties: Sequence[int]
    changes: Sequence[int]


class Asking(NamedTuple):
    """Of each node what it asks for, one of each several; and who asks for it."""

    asked: Mapping[int, Sequence[Sequence[int]]]
    by: Mapping[int, Sequence[int]]


def asking(asked: Mapping[int, Sequence[Sequence[int]]]) -> Asking:
    """Turn round what each node asks for."""
    by: dict[int, list[int]] = {}
    for index, several in asked.items():
        for ways in several:
            for way in ways:
                by.setdefault(way, []).append(index)
    return Asking(asked, by)


class _NoneLeft(Exception):
    """A window has no visit left."""


def shut_by(
    windows: Mapping[int, Window],
    asks: Asking,
    held_up: Sequence[HeldUp],
    circles: Collection[Collection[int]] = (),
) -> list[frozenset[int]] | None:
    """Tell which pieces leave some node no visit; ``None`` where none is plain to do so.

    Parameters
    ----------
    windows : mapping of int to Window
        The windows on a walk by precedence alone.
    asks : Asking
        What asks for what among these nodes.
    held_up : sequence of HeldUp
        What is to be held up.
    circles : collection of collection of int
        Nodes that would be done only by each other.

    Returns
    -------
    list of frozenset of int or None
        The pieces that mattered, each once.
    """
    narrowing = _Narrowing(windows, asks, held_up, circles)
    try:
        narrowing.run()
    except _NoneLeft:
        return list(narrowing.binding)
    return None


class _Narrowing:
    """Windows as far as they are narrowed."""

    def __init__(
        self,
        windows: Mapping[int, Window],
        asks: Asking,
        held_up: Sequence[HeldUp],
        circles: Collection[Collection[int]],
    ) -> None:
        self.windows = windows
        self.earliest = {index: each.earliest for index, each in windows.items()}
        self.latest = {index: each.latest for index, each in windows.items()}
        self.asks = asks
        self.held_up = held_up
        self.circles = circles
        self.speaking: dict[int, list[int]] = {}
        """Of each node what is to be held up and speaks of it, by number."""
        for number, each in enumerate(held_up):
            for index in (*each.offs, *each.ties):
                self.speaking.setdefault(index, []).append(number)
        self.todo: dict[int, None] = {}
        self.binding: dict[frozenset[int], None] = {}
        """The pieces that narrowed anything."""

    def run(self) -> None:
        """Narrow until nothing more follows."""
        for circle in self.circles:
            self._enter(circle)
        self.todo = dict.fromkeys(range(len(self.held_up)))
        while self.todo:
            number = next(iter(self.todo))
            del self.todo[number]
            self._hold_up(number)
            if not self.todo:
                for circle in self.circles:
                    self._enter(circle)

    def _enter(self, circle: Collection[int]) -> None:
        """Let nothing of a circle be done before one of it can be by what is outside.

        What that one needs is done by then.
        """
        earliest, asked = self.earliest, self.asks.asked
        by = min(self.latest[index] for index in circle)
        entries: list[tuple[int, list[list[int]]]] = []
        for index in circle:
            outside = [[way for way in ways if way not in circle] for ways in asked[index]]
            if all(outside):
                first = max((min(earliest[way] for way in ways) for ways in outside), default=0)
                entries.append((first, outside))
        if not any(first <= by for first, _ in entries):
            raise _NoneLeft
        for index in circle:
            self._from(index, min(first for first, _ in entries))
        could = [outside for first, outside in entries if first <= by]
        for ways in could[0] if len(could) == 1 else ():
            in_time = [way for way in ways if earliest[way] <= by]
            if len(in_time) == 1:
                self._by(in_time[0], by)

    def _hold_up(self, number: int) -> None:
        piece, offs, ties, changes = self.held_up[number]
        earliest, latest = self.earliest, self.latest
        off_at = min([latest[index] for index in offs], default=inf)
        tied_to = max([earliest[index] for index in ties], default=0)
        for visit in changes:
            if tied_to >= visit or off_at < visit:
                continue
            # There are many ties, of which mostly two of the first could be left.
            could_tie = [*islice((index for index in ties if latest[index] >= visit), 2)]
            if len(could_tie) > 1:
                continue
            could_be_off = [index for index in offs if earliest[index] < visit]
            if len(could_be_off) + len(could_tie) > 1:
                continue
            self.binding[piece] = None
            if could_be_off:
                self._by(could_be_off[0], visit - 1)
                off_at = min(off_at, latest[could_be_off[0]])
            elif could_tie:
                self._from(could_tie[0], visit)
                tied_to = max(tied_to, earliest[could_tie[0]])
            else:
                raise _NoneLeft

    def _from(self, index: int, visit: int) -> None:
        """Let a node be done in a visit at the earliest."""
        todo = [(index, visit)]
        for node, at in todo:
            if at <= self.earliest[node]:
                continue
            window = self.windows[node]
            while at <= window.latest and not window.may[at]:
                at += 1
            if at > self.latest[node]:
                raise _NoneLeft
            self.earliest[node] = at
            self.todo.update(dict.fromkeys(self.speaking.get(node, ())))
            for asker in self.asks.by.get(node, ()):
                if self.earliest[asker] < at:
                    first = (
                        min(self.earliest[way] for way in ways)
                        for ways in self.asks.asked[asker]
                        if node in ways
                    )
                    todo.append((asker, max(first)))

    def _by(self, index: int, visit: int) -> None:
        """Let a node be done in a visit at the latest."""
        todo = [(index, visit)]
        for node, at in todo:
            if at >= self.latest[node]:
                continue
            may = self.windows[node].may
            while at >= 0 and not may[at]:
                at -= 1
            if at < self.earliest[node]:
                raise _NoneLeft
            self.latest[node] = at
            self.todo.update(dict.fromkeys(self.speaking.get(node, ())))
            for ways in self.asks.asked[node]:
                could = [way for way in ways if self.earliest[way] <= at]
                if not could:
                    raise _NoneLeft
                if len(could) == 1:
                    todo.append((could[0], at))
