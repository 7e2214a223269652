"""The least order of few items, exactly: by dynamic programming over what is done.

What an order costs from a point on depends on which items are done and what is in hand, not on
how one got there. So the cheapest way to each such position is kept, one item more at a time.
"""

from collections.abc import Sequence

from putback.planning.bits import bits
from putback.planning.ordering.order import NONE, Layer, Ordering

_MOST = 20_000
"""Positions looked at before giving up."""

_Position = tuple[int, tuple[int, ...]]
"""The items done, as bits, and the label in hand in each layer."""


def least_order(ordering: Ordering, most: int = _MOST) -> list[int] | None:
    """Give a cheapest order of all items; ``None`` if there are too many positions to look at.

    Raises
    ------
    ValueError
        If no order works: precedence runs in a circle.
    """
    return _Search(ordering).run(most)


class _Search:
    """An ordering as bits."""

    def __init__(self, ordering: Ordering) -> None:
        self.ordering = ordering
        self.need = [0] * ordering.count
        for first, then in ordering.pairs:
            self.need[then] |= 1 << first
        self.any_of: list[list[tuple[int, int]]] = [[] for _ in range(ordering.count)]
        for each in ordering.any_of:
            before, behind = (bits(some) for some in (each.before, each.behind))
            self.any_of[each.item].append((before, behind))
        self.late: list[list[tuple[int, float]]] = [[] for _ in range(ordering.count)]
        for fact in ordering.late:
            after = bits(fact.after)
            self.late[fact.item].append((after, fact.minutes))
        self.marks = bits(ordering.marks)

    def run(self, most: int) -> list[int] | None:
        """Go on item by item."""
        start: _Position = (0, tuple(layer.start for layer in self.ordering.layers))
        reached: list[dict[_Position, tuple[float, int, _Position]]] = [{start: (0.0, -1, start)}]
        looked_at = 0
        for _ in range(self.ordering.count):
            further: dict[_Position, tuple[float, int, _Position]] = {}
            for position, (cost, _, _) in reached[-1].items():
                done, held = position
                for item in self._ready(done):
                    more, hands = _take_up(self.ordering.layers, held, item)
                    more += cost + sum(m for after, m in self.late[item] if after & done)
                    then = (done | 1 << item, hands)
                    if then not in further or more < further[then][0]:
                        further[then] = (more, item, position)
            looked_at += len(further)
            if looked_at > most:
                return None
            if not further:
                raise ValueError("no order works: precedence runs in a circle")
            reached.append(further)
        return _traced(reached)

    def _ready(self, done: int) -> list[int]:
        """What may come next."""
        periods = self.ordering.periods
        period = 1 << (done & self.marks).bit_count()
        return [
            item
            for item, need in enumerate(self.need)
            if not done >> item & 1
            and need & done == need
            and (not periods or periods[item] & period)
            and all(before & done or behind & ~done for before, behind in self.any_of[item])
        ]


def _take_up(
    layers: Sequence[Layer], held: tuple[int, ...], item: int
) -> tuple[float, tuple[int, ...]]:
    """What taking up an item costs [minutes], and what is in hand then."""
    cost, hands = 0.0, list(held)
    for number, layer in enumerate(layers):
        label = layer.labels[item]
        if label != NONE:
            if held[number] != NONE:
                cost += layer.table[held[number]][label]
            hands[number] = label
    return cost, tuple(hands)


def _traced(reached: Sequence[dict[_Position, tuple[float, int, _Position]]]) -> list[int]:
    """Follow the cheapest way back."""
    position = min(reached[-1], key=lambda each: reached[-1][each][0])
    order: list[int] = []
    for step in reversed(reached[1:]):
        _, item, position = step[position]
        order.append(item)
    return order[::-1]
