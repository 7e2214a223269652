"""Cut pieces from lengths of stock so that the stock costs least: one-dimensional cutting stock.

Sizes are whole units of length::

    plan = cut([450, 300], [4, 6], [Stock(1000)])
    plan.cost, plan.bound           # 4000, 4000: no plan takes less
    plan.cuts[0].pieces             # (0, 0): two pieces of 450 from the first stock

A plan is sought by swaps (`cutting_swaps`, of one kind of stock), by rounding the relaxation
(`cutting_relaxed`), and where that leaves a gap to its bound, among all patterns that a better
plan could hold (`cutting_patterns`): that choice is exact.
"""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from itertools import islice
from math import ceil, gcd
from random import Random
from time import monotonic

import numpy as np

from putback.progress import NoProgress, Progress
from putback.solvers.cutting_knapsack import MOST_UNITS, Knapsack, Pattern
from putback.solvers.cutting_patterns import choose, near_patterns
from putback.solvers.cutting_relaxed import Order, Plan, Relaxation, by_length
from putback.solvers.cutting_swaps import FEWEST, Bins, laid_out, pack

__all__ = ["MOST_UNITS", "Cut", "Cutting", "Stock", "cut"]

_LITTLE_PATTERNS, _FEW_PATTERNS, _MOST_PATTERNS = 600, 3_000, 40_000
_TIGHT = 0.2
"""Where the relaxation is no further below a whole number of stocks, rounding seldom hits."""
_DIVES = 12
_EFFORT, _LITTLE_EFFORT = 8.0, 0.2
_FEW_TURNS, _SOME_TURNS, _MOST_TURNS = 50_000, 200_000, 2_000_000
_SPELL = 5_000
"""How many turns of swaps are made between two looks at the clock."""


@dataclass(frozen=True, slots=True)
class Stock:
    """Lengths that can be had: how long, what each costs (its length, unless said), how many."""

    length: int
    cost: int | None = None
    count: int | None = None
    """``None`` where there is no end of them."""

    @property
    def price(self) -> int:
        """What one of them costs."""
        return self.length if self.cost is None else self.cost


@dataclass(frozen=True, slots=True)
class Cut:
    """One length of stock, by its number, and the pieces cut from it, by theirs, largest first."""

    stock: int
    pieces: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Cutting:
    """A plan; ``cost`` is at least ``bound``, and equal where it is proven that none is cheaper.

    ``possible`` is False where the stock is not enough for all pieces; there are no cuts then.
    """

    cuts: tuple[Cut, ...]
    cost: int
    bound: int
    possible: bool = True

    @property
    def optimal(self) -> bool:
        """Whether it is proven that none is cheaper."""
        return self.possible and self.cost == self.bound


def cut(
    sizes: Sequence[int],
    wanted: Sequence[int],
    stocks: Sequence[Stock],
    *,
    seconds: float = 5.0,
    progress: Progress = NoProgress(),
) -> Cutting:
    """Find the cheapest stock to cut all pieces from.

    Parameters
    ----------
    sizes, wanted : sequence of int
        Size of each piece, over 0, and how many of it are wanted, over 0.
    stocks : sequence of Stock
        At least one; lengths and costs over 0.
    seconds : float
        When to end in any case with the best plan so far, [s].
    progress : Progress
        Asked often whether to go on.

    Raises
    ------
    Stopped
        If `progress` wants the search to end.
    """
    if not sizes:
        return Cutting((), 0, 0)
    if max(sizes) > max(stock.length for stock in stocks):
        return Cutting((), 0, 0, possible=False)
    _compile()
    search = _Search(sizes, wanted, stocks, monotonic() + seconds, progress)
    search.run()
    return search.cutting()


@cache
def _compile() -> None:
    """Compile what is compiled, or load it, before the clock runs."""
    pack(laid_out([7, 5, 4], 8, FEWEST), 1)
    Knapsack([5, 3], [1, 1], np.ones(2), 8).patterns(8, 0.0)


class _Search:
    """One search, with the best plan and bound so far."""

    def __init__(
        self,
        sizes: Sequence[int],
        wanted: Sequence[int],
        stocks: Sequence[Stock],
        end: float,
        progress: Progress,
    ):
        self._end, self._progress = end, progress
        self._places: dict[int, list[int]] = {}
        for place, (size, count) in enumerate(zip(sizes, wanted, strict=True)):
            self._places.setdefault(size, []).extend([place] * count)
        self._sizes = tuple(sorted(self._places, reverse=True))
        self._order = Order(
            self._sizes,
            tuple(len(self._places[size]) for size in self._sizes),
            tuple(stock.length for stock in stocks),
            tuple(stock.price for stock in stocks),
            tuple(stock.count for stock in stocks),
        )
        self._step = gcd(*self._order.costs)
        self._bound = self._rounded(self._by_length(stocks))
        self._plan: Plan | None = None
        self._chance = Random(1)  # noqa: S311 - the same dives every time
        self._dived = False
        one = stocks[0] if len(stocks) == 1 else None
        self._length = one.length if one and one.count is None else None
        """Of the one kind of stock, if there is but one and no end of it."""
        self._packing: Bins | None = None

    def run(self) -> None:
        """Greedy first, then by the relaxation, then exact as far as time goes."""
        for stock, length in enumerate(self._order.lengths):
            self._offer(_first_fit(self._order, stock, length))
        self._by_swaps(_FEW_TURNS)
        if self._settled():
            return
        relaxation = Relaxation(self._order)
        for stock, pattern in self._plan or ():
            relaxation.add(stock, pattern)
        enough = self._bound - _TIGHT * self._step
        solved = relaxation.solve(self._out_of_time, enough)
        self._raise_bound(relaxation)
        if solved and not relaxation.is_possible():
            return
        if relaxation.cost <= enough:
            self._by_dives(relaxation, _DIVES // 4)
            if self._settled() or not relaxation.solve(self._out_of_time):
                return
            self._raise_bound(relaxation)
        self._by_swaps(_SOME_TURNS)
        self._by_choice(relaxation, _FEW_PATTERNS)
        self._by_dives(relaxation, _DIVES // 4)
        self._by_choice(relaxation, _MOST_PATTERNS)
        self._by_dives(relaxation, _DIVES)
        self._by_swaps(_MOST_TURNS)

    def cutting(self) -> Cutting:
        """Give the best plan, piece by piece."""
        if self._plan is None:
            return Cutting((), 0, self._bound, possible=False)
        left = {size: iter(places) for size, places in self._places.items()}
        cuts = tuple(
            Cut(
                stock,
                tuple(
                    place
                    for size, count in zip(self._sizes, pattern, strict=True)
                    for place in islice(left[size], count)
                ),
            )
            for stock, pattern in sorted(self._plan, key=lambda each: (each[0], each[1]))
        )
        return Cutting(cuts, self._cost(self._plan), self._bound)

    def _raise_bound(self, relaxation: Relaxation) -> None:
        self._bound = max(self._bound, self._rounded(relaxation.prices.bound))

    def _by_swaps(self, turns: int) -> None:
        """Pack one kind of stock into one less than are known, again and again."""
        while self._length is not None and self._plan and turns > 0 and not self._settled():
            bins = len(self._plan) - 1
            if bins < FEWEST:
                return
            if self._packing is None or len(self._packing.many) != bins:
                pieces = [size for size, places in self._places.items() for _ in places]
                self._packing = laid_out(pieces, self._length, bins)
            if self._out_of_time():
                return
            if pack(self._packing, min(_SPELL, turns)):
                self._offer(self._plan_of(self._packing))
            turns -= _SPELL

    def _plan_of(self, packing: Bins) -> Plan:
        plan: Plan = []
        for pieces, many in zip(packing.inside, packing.many, strict=True):
            held = Counter(packing.sizes[pieces[:many]].tolist())
            plan.append((0, tuple(held[size] for size in self._sizes)))
        return plan

    def _by_dives(self, relaxation: Relaxation, dives: int) -> None:
        for _ in range(dives):
            if self._settled() or self._out_of_time():
                return
            self._offer(relaxation.dive(self._out_of_time, self._prefer, self._finish))
            self._dived = True

    def _finish(
        self, left: Sequence[int], stocks: Sequence[int | None], plan: Plan
    ) -> tuple[Plan | None, bool]:
        """Cut what is left exactly, if that makes the plan that is sought."""
        whole = self._order
        aim = self._aim() - self._cost(plan)
        kept = [place for place, count in enumerate(left) if count]
        order = Order(
            tuple(whole.sizes[place] for place in kept),
            tuple(left[place] for place in kept),
            whole.lengths,
            whole.costs,
            tuple(stocks),
        )
        near = near_patterns(order, [by_length(order)], aim, _LITTLE_PATTERNS)
        if near is None:
            return None, False
        left_s = self._end - monotonic()
        rest, settled = choose(order, *near, aim, _LITTLE_EFFORT, left_s, self._progress)
        if rest is None:
            return None, settled and self._dived
        return [(stock, self._spread(pattern, kept)) for stock, pattern in rest], True

    def _spread(self, pattern: Pattern, places: Sequence[int]) -> Pattern:
        counts = [0] * len(self._order.sizes)
        for place, count in zip(places, pattern, strict=True):
            counts[place] = count
        return tuple(counts)

    def _prefer(self, part: float) -> float:
        """How much a pattern used in part is wanted next: the largest part, later by some luck."""
        return part * (1.0 - 0.4 * self._chance.random()) if self._dived else part

    def _by_choice(self, relaxation: Relaxation, at_most: int) -> None:
        """Look among all patterns of a better plan; raise the bound where there is none."""
        while not self._settled() and not self._out_of_time():
            aim = self._aim()
            near = near_patterns(self._order, relaxation.every_prices, aim, at_most)
            if near is None:
                return
            left_s = self._end - monotonic()
            plan, settled = choose(self._order, *near, aim, _EFFORT, left_s, self._progress)
            self._offer(plan)
            if not settled:
                return
            self._bound = self._cost(plan) if plan else aim + self._step

    def _aim(self) -> int:
        """Cost of the plan that is sought: of one kind of stock the least there may be."""
        if self._plan is None or len(self._order.lengths) == 1:
            return self._bound
        return self._cost(self._plan) - self._step

    def _offer(self, plan: Plan | None) -> None:
        if plan is not None and (self._plan is None or self._cost(plan) < self._cost(self._plan)):
            self._plan = plan

    def _cost(self, plan: Plan) -> int:
        return sum(self._order.costs[stock] for stock, _ in plan)

    def _settled(self) -> bool:
        return self._plan is not None and self._cost(self._plan) <= self._bound

    def _out_of_time(self) -> bool:
        self._progress.step(0, None, "looking for a cheaper way to cut")
        return monotonic() >= self._end

    def _rounded(self, bound: float) -> int:
        """The next cost that a plan can have; a little less than float is sure of."""
        return ceil(bound / self._step - 1e-6) * self._step

    def _by_length(self, stocks: Sequence[Stock]) -> float:
        """What the pieces cost by length alone, from the stock that is cheapest by length."""
        needed = sum(size * len(places) for size, places in self._places.items())
        return needed * min(stock.price / stock.length for stock in stocks)


def _first_fit(order: Order, stock: int, length: int) -> Plan | None:
    """Fill one stock after the other, the largest piece that fits first; of one kind only."""
    if order.sizes[0] > length:
        return None
    left = list(order.wanted)
    plan: Plan = []
    while any(left):
        room = length
        pattern = []
        for place, size in enumerate(order.sizes):
            count = min(left[place], room // size)
            left[place] -= count
            room -= count * size
            pattern.append(count)
        plan.append((stock, tuple(pattern)))
    known = order.counts[stock]
    return plan if known is None or len(plan) <= known else None
