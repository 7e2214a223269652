"""Which step of a place is next: the tool stays in the hand, and helpers while they are there.

What costs less depends on what follows, so several ways to choose are tried.
"""

from collections import Counter
from collections.abc import Callable, Collection, Iterator, Mapping, Sequence, Set
from dataclasses import dataclass
from enum import Enum, auto
from itertools import chain


class Keep(Enum):
    """What is done first while no helpers are there; those that are there are kept."""

    TOOL = auto()
    """Whatever the tool in the hand does."""
    TOOL_ALONE = auto()
    """What the tool in the hand does without helpers, then with them."""
    ALONE = auto()
    """What wants no helpers, with whatever tool."""


@dataclass(frozen=True, slots=True)
class Hands:
    """What steps of one place want in hand, to choose among them.

    ``tools`` are those of which any would do for each step, none where none is wanted; ``place``
    is where each stands among all.
    """

    keep: Keep
    helped: Sequence[bool]
    tools: Sequence[Set[str]]
    place: Mapping[int, int]

    def next(
        self, steps: Collection[int], tool: str, with_helpers: bool, goes_on: Callable[[int], bool]
    ) -> int | None:
        """Choose a step that goes on with what is in hand, if any does."""
        for some in self._in_turn(steps, tool, with_helpers):
            if some and (node := self._by_tool(some, tool, goes_on)) is not None:
                return node
        return None

    def _in_turn(
        self, steps: Collection[int], tool: str, with_helpers: bool
    ) -> Iterator[Collection[int]]:
        if self.keep is Keep.TOOL and not with_helpers:
            yield steps
            return
        helped = [node for node in steps if self.helped[node]]
        alone = [node for node in steps if not self.helped[node]]
        if with_helpers:
            yield from (helped, alone)
            return
        if self.keep is Keep.TOOL_ALONE:
            yield self._at_hand(alone, tool)
            yield self._at_hand(helped, tool)
        yield from (alone, helped)

    def _at_hand(self, steps: Collection[int], tool: str) -> list[int]:
        return [n for n in steps if not tool or not (these := self.tools[n]) or tool in these]

    def _by_tool(
        self, steps: Collection[int], tool: str, goes_on: Callable[[int], bool]
    ) -> int | None:
        """Keep the tool in the hand, else take the one with most to do."""
        at_hand = self._at_hand(steps, tool)
        for node in sorted(at_hand, key=self.place.__getitem__):
            if goes_on(node):
                return node
        others = set(steps).difference(at_hand)
        fit = [node for node in others if goes_on(node)]
        count = Counter(chain(*(self.tools[node] for node in fit)))
        return min(
            fit,
            key=lambda n: (-max(count[each] for each in self.tools[n]), self.place[n]),
            default=None,
        )
