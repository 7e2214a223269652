"""Cutting stock with its whole numbers relaxed: the least cost if a pattern could be cut in part.

Gilmore and Gomory's column generation: a linear program over patterns, of which only those are
made that pay. Prices of the pieces come from the program; a knapsack over the length of a stock
finds the patterns worth most at those prices. Prices also bound what any plan costs from below.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from operator import le
from typing import Any

import numpy as np

from putback.solvers.cutting_knapsack import Floats, Knapsack, Pattern

Plan = list[tuple[int, Pattern]]
"""A stock's number and its pattern for every stock that is cut."""
Finish = Callable[[Sequence[int], Sequence[int | None], Plan], tuple[Plan | None, bool]]
"""Given pieces and stocks left and the plan so far: the rest, and whether that is settled."""

_PAYS = 1e-9
_SMOOTH = 0.5
"""How much of the best prices so far goes into the next ones: fewer turns (Wentges)."""
_TURNS_A_FIX = 2
"""How often new patterns are sought after each that is fixed."""
_TOGETHER = 20
"""One more pattern is fixed at a time for so many stocks that are left."""
_LITTLE = 15
"""So many stocks at most are left to be finished exactly."""
_EACH_TURN, _OF_PIECES = 4, 8
"""Patterns made a turn of each stock, at most: so many, and one more for so many pieces."""
_NEAR = 0.02
"""How far below what it costs a pattern's worth may be to be looked at, as a share."""


@dataclass(frozen=True, slots=True)
class Order:
    """Pieces by size, largest first, and the stocks they are cut from, in whole units."""

    sizes: tuple[int, ...]
    wanted: tuple[int, ...]
    lengths: tuple[int, ...]
    costs: tuple[int, ...]
    counts: tuple[int | None, ...]
    """How many of each stock there are; ``None`` where there is no end of them."""

    @property
    def dear(self) -> float:
        """A cost above that of any plan: what a piece that is not cut costs."""
        return 1.0 + 2.0 * max(self.costs) * max(1, sum(self.wanted))


@dataclass(frozen=True, slots=True)
class Prices:
    """What pieces are worth, and stocks in short supply, such that no pattern pays (duals)."""

    pieces: Floats
    stocks: Floats
    """At most 0; 0 where there is no end of them."""
    bound: float
    """No plan costs less."""


def by_length(order: Order) -> Prices:
    """Prices that go by length alone, of the stock that is cheapest by length."""
    each = min(cost / length for cost, length in zip(order.costs, order.lengths, strict=True))
    pieces = np.array(order.sizes, dtype=float) * each
    bound = float(np.dot(pieces, order.wanted))
    return Prices(pieces, np.zeros(len(order.lengths)), bound)


class Relaxation:
    """The linear program, which grows by the patterns that pay."""

    def __init__(self, order: Order):
        """Begin with pieces that nobody cuts, and one pattern a piece and stock."""
        from ortools.linear_solver import pywraplp

        self.order = order
        self.prices = Prices(np.zeros(len(order.sizes)), np.zeros(len(order.lengths)), 0.0)
        self.cost = self.order.dear
        """Of the last solution, [cost]."""
        self.every_prices: list[Prices] = []
        """All that gave a bound; each tells something of what no good plan can hold."""
        self._solver: Any = pywraplp.Solver.CreateSolver("GLOP")
        self._objective: Any = self._solver.Objective()
        self._objective.SetMinimization()
        endless = self._solver.infinity()
        self._pieces: list[Any] = [
            self._solver.Constraint(float(wanted), endless) for wanted in order.wanted
        ]
        self._stocks: list[Any] = [
            self._solver.Constraint(-endless, endless if count is None else float(count))
            for count in order.counts
        ]
        self._variables: dict[tuple[int, Pattern], Any] = {}
        self._uncut: list[Any] = []
        for place, row in enumerate(self._pieces):
            uncut = self._solver.NumVar(0.0, endless, "")
            self._objective.SetCoefficient(uncut, order.dear)
            row.SetCoefficient(uncut, 1.0)
            self._uncut.append(uncut)
            for stock, length in enumerate(order.lengths):
                if fits := min(order.wanted[place], length // order.sizes[place]):
                    self.add(stock, _single(len(order.sizes), place, fits))

    @property
    def patterns(self) -> list[tuple[int, Pattern]]:
        """Every pattern made, with its stock."""
        return list(self._variables)

    def add(self, stock: int, pattern: Pattern) -> bool:
        """Let a pattern be used; say whether it is new."""
        if (stock, pattern) in self._variables:
            return False
        variable = self._solver.NumVar(0.0, self._solver.infinity(), "")
        self._variables[stock, pattern] = variable
        self._objective.SetCoefficient(variable, float(self.order.costs[stock]))
        for place, count in enumerate(pattern):
            if count:
                self._pieces[place].SetCoefficient(variable, float(count))
        self._stocks[stock].SetCoefficient(variable, 1.0)
        return True

    def solve(self, looked: Callable[[], bool], enough: float = 0.0) -> bool:
        """Make patterns until none pays, or the cost is `enough`; False if `looked` ended it.

        The best prices and their bound are in ``prices`` in any case.
        """
        while not looked():
            self._solver.Solve()
            self.cost = self._objective.Value()
            if self.cost <= enough or not self._turn():
                return True
        return False

    def is_possible(self) -> bool:
        """Whether all pieces are cut, if only in part, in the last solution."""
        return all(uncut.solution_value() < 1e-6 for uncut in self._uncut)

    def dive(
        self, looked: Callable[[], bool], prefer: Callable[[float], float], finish: Finish
    ) -> Plan | None:
        """Fix patterns one after the other, solving anew after each; None if that leads nowhere.

        `prefer` makes of a pattern's part (0 to 1) how much it is wanted next. Once little is left
        `finish` is asked for the rest. The program is as it was when it returns.
        """
        left = list(self.order.wanted)
        stocks = list(self.order.counts)
        plan: Plan = []
        try:
            while any(left):
                if looked():
                    return None
                self._solver.Solve()
                if self._objective.Value() <= _LITTLE * max(self.order.costs):
                    rest, settled = finish(left, stocks, plan)
                    if settled:
                        return None if rest is None else plan + rest
                self._make_for(left)
                fixed = self._to_fix(prefer)
                if fixed is None:
                    return None
                for number, (stock, pattern, times) in enumerate(fixed):
                    for _ in range(times):
                        useful = tuple(map(min, pattern, left))
                        known = stocks[stock]
                        # Only the first may be cut in part: another may be wanted no longer.
                        if known == 0 or not any(useful) or (number and useful != pattern):
                            break
                        plan.append((stock, useful))
                        stocks[stock] = None if known is None else known - 1
                        left = [have - cut for have, cut in zip(left, useful, strict=True)]
                self._bound_by(left, stocks)
            return plan
        finally:
            self._bound_by(self.order.wanted, self.order.counts)

    def _make_for(self, left: Sequence[int]) -> None:
        """Make patterns that pay for what is left."""
        for _ in range(_TURNS_A_FIX):
            if not self._ask(*self._true_prices(), *self._true_prices(), left):
                return
            self._solver.Solve()

    def _to_fix(self, prefer: Callable[[float], float]) -> list[tuple[int, Pattern, int]] | None:
        parts = [
            (variable.solution_value(), stock, pattern)
            for (stock, pattern), variable in self._variables.items()
        ]
        whole = [
            (stock, pattern, int(part + 1e-6))
            for part, stock, pattern in parts
            if part >= 1 - 1e-6
        ]
        if whole:
            return whole
        used = [each for each in parts if each[0] > 1e-6]
        if not used:
            return None
        used.sort(key=lambda each: -prefer(each[0]))
        together = 1 + int(self._objective.Value() / (_TOGETHER * max(self.order.costs)))
        return [(stock, pattern, 1) for _, stock, pattern in used[:together]]

    def _bound_by(self, left: Sequence[int], stocks: Sequence[int | None]) -> None:
        endless = self._solver.infinity()
        for row, count in zip(self._pieces, left, strict=True):
            row.SetBounds(float(count), endless)
        for row, known in zip(self._stocks, stocks, strict=True):
            row.SetBounds(-endless, endless if known is None else float(known))
        for (_, pattern), variable in self._variables.items():
            fits = all(map(le, pattern, left))
            variable.SetBounds(0.0, endless if fits else 0.0)

    def _turn(self) -> int:
        """Ask at smoothed prices, and if those make nothing new at the true ones."""
        true_pieces, true_stocks = self._true_prices()
        smooth = _SMOOTH if self.prices.bound > 0 else 0.0
        made = 0
        while not made:
            pieces = smooth * self.prices.pieces + (1 - smooth) * true_pieces
            stocks = smooth * self.prices.stocks + (1 - smooth) * true_stocks
            made = self._ask(pieces, stocks, true_pieces, true_stocks)
            if not smooth:
                break
            smooth = 0.0
        return made

    def _true_prices(self) -> tuple[Floats, Floats]:
        return (
            np.array([max(0.0, row.dual_value()) for row in self._pieces]),
            np.array([min(0.0, row.dual_value()) for row in self._stocks]),
        )

    def _ask(
        self,
        pieces: Floats,
        stocks: Floats,
        true_pieces: Floats,
        true_stocks: Floats,
        left: Sequence[int] | None = None,
    ) -> int:
        """Make patterns worth most at some prices, if they pay at the true ones; say how many.

        With `left` they hold no more pieces than that, and their prices tell nothing of the whole.
        """
        order = self.order
        knapsack = Knapsack(order.sizes, left or order.wanted, pieces, max(order.lengths))
        made, bounds = 0, []
        for stock, length in enumerate(order.lengths):
            near = (order.costs[stock] - stocks[stock]) * (1 - _NEAR)
            patterns, bound = knapsack.patterns(length, near)
            bounds.append(bound)
            paid = order.costs[stock] - true_stocks[stock]
            for pattern in patterns[: _EACH_TURN + len(order.sizes) // _OF_PIECES]:
                pays = float(np.dot(pattern, true_pieces)) > paid * (1 + _PAYS)
                made += pays and self.add(stock, pattern)
        if left is None:
            self._keep(pieces, stocks, bounds)
        return made

    def _keep(self, pieces: Floats, stocks: Floats, bounds: Sequence[float]) -> None:
        """Scale prices down until no pattern pays, and keep them if they bound better.

        Of each stock, `bounds` tells what no pattern is worth more than.
        """
        order = self.order
        scale = 1.0
        for stock, bound in enumerate(bounds):
            scale = max(scale, bound / (order.costs[stock] - stocks[stock]))
        bound = float(np.dot(pieces, order.wanted)) / scale
        for stock, count in enumerate(order.counts):
            bound += 0.0 if count is None else stocks[stock] / scale * count
        prices = Prices(pieces / scale, stocks / scale, bound)
        self.every_prices.append(prices)
        if bound > self.prices.bound:
            self.prices = prices


def _single(pieces: int, place: int, count: int) -> Pattern:
    return tuple(count if each == place else 0 for each in range(pieces))
