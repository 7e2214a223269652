"""Put items in a good order: precedence, and costs wherever what is at hand changes.

The general problem is *sequential ordering*: items with precedence, and a cost that depends on
what follows what. Here a cost comes in *layers*. In each layer an item has a label (its zone, its
tool, whether helpers are there; in the plain problem the item itself) or none, and every change
from one label to the next that an item has costs what the layer's table says.

The search is annealing over moves that swap two neighbouring blocks. What a move saves is known
from the three seams; only moves that pass the test of temperature are looked at for precedence,
by walking the shorter block. The number of moves is fixed, not the time, and chance is drawn from
a fixed seed, so that the same problem gives the same order everywhere.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from math import log
from random import Random

NONE = -1
"""The label of an item that a layer does not see."""

_JOINING = 0.8
"""The share of moves by which a run joins its sort; the others are drawn freely [-]."""

_SPAN = 60
"""The longest block, about, that is drawn freely."""


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
class Ordering:
    """A problem of order: items from 0 to ``count``.

    ``pairs`` are items of which the first comes before the second. Of each of ``any_of`` one item
    at least comes before its owner. ``marks`` are items, in their order, that part the whole into
    periods; ``periods`` says of each item, as bits, in which it may stand.
    """

    count: int
    pairs: Sequence[tuple[int, int]]
    layers: Sequence[Layer]
    any_of: Sequence[tuple[int, tuple[int, ...]]] = ()
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


def improve_order(
    ordering: Ordering,
    order: Sequence[int],
    alike: Sequence[int],
    moves: int,
    heat: tuple[float, float],
    seed: int = 1,
    tell: Callable[[int], None] = lambda _: None,
) -> list[int]:
    """Improve an order that works.

    Parameters
    ----------
    ordering : Ordering
        The problem.
    order : sequence of int
        All items, in an order that works.
    alike : sequence of int
        Of each item its sort: items of one sort are drawn together.
    moves : int
        How many moves are tried.
    heat : tuple of float and float
        Temperature at the beginning and at the end [minutes].
    seed : int
        Where chance begins.
    tell : callable
        Told now and then how many moves were tried; may raise to stop.
    """
    return _Search(ordering, order, alike, seed).run(moves, heat, tell)


class _Search:
    """An order being changed; place 0 and the last are kept for what is before and after all."""

    def __init__(
        self, ordering: Ordering, order: Sequence[int], alike: Sequence[int], seed: int
    ) -> None:
        count = ordering.count
        self.first, self.last = count, count + 1
        self.seq = [self.first, *order, self.last]
        self.pos = [0] * (count + 2)
        for at, item in enumerate(self.seq):
            self.pos[item] = at
        lowest = min(alike, default=0)
        self.alike = [*alike, lowest - 1, lowest - 2]
        self.random = Random(seed).random  # noqa: S311  # no secret: the same chance every time
        self.after: list[list[int]] = [[] for _ in range(count + 2)]
        self.before: list[list[int]] = [[] for _ in range(count + 2)]
        for first, then in dict.fromkeys(ordering.pairs):
            self.after[first].append(then)
            self.before[then].append(first)
        self.layers = [_with_ends(layer) for layer in ordering.layers]
        self.helps: list[list[int]] = [[] for _ in range(count + 2)]
        """The clauses of which an item is one of several that suffice."""
        self.asks: list[list[int]] = [[] for _ in range(count + 2)]
        self.owner = [owner for owner, _ in ordering.any_of]
        self.ways = [ways for _, ways in ordering.any_of]
        for number, (owner, ways) in enumerate(ordering.any_of):
            self.asks[owner].append(number)
            for way in ways:
                self.helps[way].append(number)
        self.late = ordering.late
        self.touches: list[list[int]] = [[] for _ in range(count + 2)]
        """The facts of lateness that speak of an item."""
        for number, fact in enumerate(self.late):
            for each in (fact.item, *fact.after):
                self.touches[each].append(number)
        self.marks = tuple(ordering.marks)
        self.periods = list(ordering.periods) or [1] * count
        sorts: dict[int, list[int]] = {}
        for item in order:
            sorts.setdefault(alike[item], []).append(item)
        self.sorts = sorts

    def run(self, moves: int, heat: tuple[float, float], tell: Callable[[int], None]) -> list[int]:
        """Try so many moves, and give the cheapest order met."""
        seq, pos, layers, random = self.seq, self.pos, self.layers, self.random
        cost = best = 0.0
        kept = seq[1:-1]
        temperature = heat[0]
        cooling = (heat[1] / heat[0]) ** (256 / max(moves, 256))
        heads: list[int] = []
        for turn in range(moves):
            if not turn & 255:
                tell(turn)
                temperature *= cooling
                heads = self._heads()
            # the first items of runs, so that short runs are drawn as often as long ones
            i, j, k = self._draw(heads[int(random() * len(heads))])
            if not 0 < i < j < k < len(seq):
                continue
            limit = -temperature * log(1 - random())
            more = 0.0
            for labels, table in layers:
                begin = i
                while (first_a := labels[seq[begin]]) < 0:
                    begin += 1
                if begin >= j:
                    continue
                begin = j
                while (first_b := labels[seq[begin]]) < 0:
                    begin += 1
                if begin >= k:
                    continue
                end = i - 1
                while (at := labels[seq[end]]) < 0:
                    end -= 1
                end = j - 1
                while (last_a := labels[seq[end]]) < 0:
                    end -= 1
                end = k - 1
                while (last_b := labels[seq[end]]) < 0:
                    end -= 1
                begin = k
                while (then := labels[seq[begin]]) < 0:
                    begin += 1
                from_a, from_b, from_here = table[last_a], table[last_b], table[at]
                more += (
                    from_here[first_b]
                    + from_b[first_a]
                    + from_a[then]
                    - from_here[first_a]
                    - from_a[first_b]
                    - from_b[then]
                )
            if more > limit + 12:
                continue
            if self.late:
                more += self._later(i, j, k)
            if more > limit or not self._allowed(i, j, k):
                continue
            seq[i:k] = seq[j:k] + seq[i:j]
            for at in range(i, k):
                pos[seq[at]] = at
            cost += more
            if cost < best - 1e-9:
                best, kept = cost, seq[1:-1]
        return kept

    # -- what is tried ------------------------------------------------------------------------

    def _heads(self) -> list[int]:
        """The first items of all runs of one sort."""
        alike, seq = self.alike, self.seq
        sorts = [alike[item] for item in seq]
        return [seq[at] for at in range(1, len(seq) - 1) if sorts[at] != sorts[at - 1]]

    def _draw(self, x: int) -> tuple[int, int, int]:
        """Draw two neighbouring blocks: mostly such that x or its run joins others of its sort."""
        seq, pos, alike, random = self.seq, self.pos, self.alike, self.random
        sort = alike[x]
        p = pos[x]
        others = self.sorts[sort]
        if len(others) > 1 and random() < _JOINING:
            q = pos[others[int(random() * len(others))]]
            how = random()
            if q < p:
                i, j, k = q + 1, p, p + 1
                if how < 0.75:
                    while alike[seq[k]] == sort:
                        k += 1
                if how > 0.5:
                    while j > i and alike[seq[j - 1]] == sort:
                        j -= 1
                return i, j, k
            i, j, k = p, p + 1, q + 1
            if how < 0.75:
                while j < k and alike[seq[j]] == sort:
                    j += 1
            if how > 0.5:
                while alike[seq[i - 1]] == sort:
                    i -= 1
            return i, j, k
        span = 1 + int(random() * random() * _SPAN)
        j = p + 1 + int(random() * span)
        k = j + 1 + int(random() * span)
        last = len(seq) - 1
        while j < last and alike[seq[j]] == alike[seq[j - 1]]:
            j += 1
        while k < last and alike[seq[k]] == alike[seq[k - 1]]:
            k += 1
        return p, j, k

    # -- whether it may be --------------------------------------------------------------------

    def _allowed(self, i: int, j: int, k: int) -> bool:
        """Whether the blocks [i, j) and [j, k) may change places."""
        seq, pos = self.seq, self.pos
        if j - i <= k - j:
            after, helps = self.after, self.helps
            for at in range(i, j):
                item = seq[at]
                for then in after[item]:
                    if j <= pos[then] < k:
                        return False
                for clause in helps[item]:
                    owner = pos[self.owner[clause]]
                    if j <= owner < k and not self._helped(clause, owner, i, j):
                        return False
        else:
            before, asks = self.before, self.asks
            for at in range(j, k):
                item = seq[at]
                for first in before[item]:
                    if i <= pos[first] < j:
                        return False
                for clause in asks[item]:
                    if not self._helped(clause, at, i, j):
                        return False
        return not self.marks or self._in_period(i, j, k)

    def _helped(self, clause: int, owner: int, i: int, j: int) -> bool:
        """Whether another way than those at [i, j) comes before a place."""
        pos = self.pos
        return any(pos[way] < owner and not i <= pos[way] < j for way in self.ways[clause])

    def _in_period(self, i: int, j: int, k: int) -> bool:
        """Whether all that passes a mark may stand on its other side."""
        pos, seq, periods = self.pos, self.seq, self.periods
        places = [pos[mark] for mark in self.marks]
        in_a = sum(i <= at < j for at in places)
        in_b = sum(j <= at < k for at in places)
        if in_a and in_b:
            return False
        if in_a:
            period = 1 << sum(at < i for at in places)
            return all(periods[seq[at]] & period for at in range(j, k))
        if in_b:
            period = 1 << sum(at < k for at in places)
            return all(periods[seq[at]] & period for at in range(i, j))
        return True

    def _later(self, i: int, j: int, k: int) -> float:
        """What more is late after [i, j) and [j, k) have changed places [minutes]."""
        seq, pos, touches = self.seq, self.pos, self.touches
        places = range(i, j) if j - i <= k - j else range(j, k)
        facts = {number for at in places for number in touches[seq[at]]}
        if not facts:
            return 0.0
        more = 0.0

        def moved(place: int) -> int:
            if i <= place < j:
                return place + k - j
            return place - j + i if j <= place < k else place

        for number in facts:
            fact = self.late[number]
            mine = pos[fact.item]
            by = [pos[each] for each in fact.after]
            was_late = min(by) < mine
            more += fact.minutes * ((min(map(moved, by)) < moved(mine)) - was_late)
        return more


def _with_ends(layer: Layer) -> tuple[list[int], list[list[float]]]:
    """A layer's labels and table with what is before and after all as two more of each."""
    size = len(layer.table)
    first = [0.0] * size if layer.start == NONE else list(layer.table[layer.start])
    table = [[*row, 0.0, 0.0] for row in layer.table]
    table += [[*first, 0.0, 0.0], [0.0] * (size + 2)]
    return [*layer.labels, size, size + 1], table
