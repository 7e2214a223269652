"""Put items in a good order: precedence, and costs wherever what is at hand changes.

The general problem is *sequential ordering*: items with precedence, and a cost that depends on
what follows what. Here a cost comes in *layers*. In each layer an item has a label (its zone, its
tool, whether helpers are there; in the plain problem the item itself) or none, and every change
from one label to the next that an item has costs what the layer's table says.

"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import inf

NONE = -1
"""The label of an item that a layer does not see."""


@dataclass(frozen=True, slots=True)
class Layer:
    """What items have in hand, and what each change costs [minutes].

    ``start`` is the label before the first item; `NONE` if the first costs nothing.
    """

    labels: Sequence[int]
    table: Sequence[Sequence[float]]
    start: int = NONE


@dataclass(frozen=True, slots=True)
class Late:
    """An item costs ``minutes`` more once any of ``after`` stands before it."""

    item: int
    after: tuple[int, ...]
    minutes: float


@dataclass(frozen=True, slots=True)
class OneOf:
    """One of ``before`` stands before an item, or one of ``behind`` behind it.

    Where that is not so it costs ``fine`` [minutes]; infinite where it must be so.
    """

    item: int
    before: tuple[int, ...] = ()
    behind: tuple[int, ...] = ()
    fine: float = inf

    def is_kept(self, place: Mapping[int, int]) -> bool:
        """Whether it is so, by the place of each item."""
        mine = place[self.item]
        return any(place[each] < mine for each in self.before) or any(
            place[each] > mine for each in self.behind
        )


@dataclass(frozen=True, slots=True)
class Ordering:
    """A problem of order: items from 0 to ``count``.

    ``pairs`` are items of which the first comes before the second. ``marks`` are items, in their
    order, that part the whole into periods; ``periods`` says of each item, as bits, in which it
    may stand.
    """

    count: int
    pairs: Sequence[tuple[int, int]]
    layers: Sequence[Layer]
    any_of: Sequence[OneOf] = ()
    late: Sequence[Late] = ()
    marks: Sequence[int] = ()
    periods: Sequence[int] = ()


def cost_of(ordering: Ordering, order: Sequence[int]) -> float:
    """What an order costs [minutes]: all changes, and what is late in it."""
    total = 0.0
    for layer in ordering.layers:
        at = layer.start
        for item in order:
            label = layer.labels[item]
            if label != NONE:
                if at != NONE:
                    total += layer.table[at][label]
                at = label
    place = {item: at for at, item in enumerate(order)}
    for fact in ordering.late:
        if any(place[by] < place[fact.item] for by in fact.after):
            total += fact.minutes
    return total


@dataclass(frozen=True, slots=True)
class Sorting:
    """Of each item its sort: items of one sort are better done together.

    ``share`` is how many of the moves go by it [-].
    """

    sorts: Sequence[int]
    share: float = 1.0
