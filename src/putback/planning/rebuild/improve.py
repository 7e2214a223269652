"""Improve the order of a rebuild, in rounds, as that of a strip is improved.

Each round anneals the order under plain precedence, and puts the steps in order along what came of
it, by all the rules. Where the rules wanted something else, that is learnt and costs a fine in the
rounds to come. The cheapest order is given that asks for no more precautions than the one begun
with.
"""

from collections import Counter
from collections.abc import Sequence
from operator import le

from putback.planning.held.lifting import Lifting
from putback.planning.ordering.items import Change, Lesson
from putback.planning.rebuild.along import Aim, Along
from putback.planning.rebuild.bearing import Bearing
from putback.planning.rebuild.behind import behind_the_change
from putback.planning.rebuild.network import Network
from putback.planning.rebuild.pays import MANY_STEPS
from putback.planning.rebuild.pieces import Pieces
from putback.planning.rebuild.placed import Order, Stuck
from putback.planning.rebuild.propping import propping
from putback.progress import Progress

_TRIES = 200
"""Tries for each item of a round [-]."""

_HEAT, _HEAT_OF_MANY = 0.4, 0.2
"""The heat at the beginning of a round, of the least that a change costs [-]; of many steps the
less, for what is changed in more places at once breaks more of the rules."""

_COLD = 0.1
"""The heat at the end of a round, likewise [-]."""

_FINE = 5.0
"""What breaking a lesson costs for each time it was learnt, likewise [-]."""

_STEPS = 2_500
"""So many steps are put in order along others, in all."""

_LEAST, _MOST = 3, 10
"""Rounds, of however many steps."""

_TOO_MANY = 5_000
"""An order of more steps is left as it is, to save time: so few rounds gain nothing there."""

_ROUNDING = 1e-9
"""Sums of minutes that differ by no more are the same [minutes]."""

_TOLD = "improving the order"


def improve(
    network: Network, order: Order, lifting: Lifting, progress: Progress, *, quick: bool = False
) -> Order:
    """Give an order as cheap as is found that asks for no more precautions; else the same.

    ``quick`` makes few rounds.
    """
    settings = network.settings
    costs = (settings.zone_minutes, settings.tool_minutes, settings.helper_minutes)
    unit = min((each for each in costs if each > 0), default=0.0)
    if not (2 < len(order.placed) <= _TOO_MANY and unit):
        return order
    most = _LEAST if quick else min(max(_STEPS // len(order.placed), _LEAST), _MOST)
    return _Rounds(network, order, lifting, unit, most).go(progress)


class _Rounds:
    """The order as far as it is improved, and what was learnt on the way."""

    def __init__(
        self, network: Network, begun: Order, lifting: Lifting, unit: float, most: int
    ) -> None:
        self.net = network
        self.lifting = lifting
        self.unit = unit
        self.best = begun
        self.precautions = _count_precautions(network, begun, lifting)
        self.learnt: Counter[Lesson] = Counter()
        """How often each lesson was learnt."""
        self.most = most
        self.heat = unit * (_HEAT_OF_MANY if len(begun.placed) > MANY_STEPS else _HEAT)

    def go(self, progress: Progress) -> Order:
        """Begin each round with the best order known."""
        begun, pieces = self.best, self._pieces()
        for done in range(self.most):
            progress.step(done, self.most, _TOLD)
            if self.best is not begun:
                begun, pieces = self.best, self._pieces()
            self._along(pieces.aims(self._annealed(pieces, seed=done + 1)))
        return self.best

    def _pieces(self) -> Pieces:
        """The best order as a problem of order; lessons of changes are of the one before."""
        for lesson in [each for each in self.learnt if _is_of_a_change(each)]:
            del self.learnt[lesson]
        return Pieces(self.net, self.best, self.lifting, self.unit * _FINE)

    def _annealed(self, pieces: Pieces, seed: int) -> list[int]:
        from putback.planning.ordering.anneal import improve_order  # loads Numba

        return improve_order(
            pieces.taught(self.learnt),
            pieces.start,
            pieces.sortings,
            _TRIES * len(pieces.start),
            (self.heat, self.unit * _COLD),
            seed,
        )

    def _along(self, aims: Sequence[Aim]) -> None:
        """Put the steps in order along these, by all the rules, and keep what is better."""
        scheduling = Along(self.net, aims, self.lifting)
        try:
            order = scheduling.order()
            self.learnt.update(scheduling.lessons.keys())
            while begun := behind_the_change(self.net, order):
                order = Along(self.net, aims, self.lifting).order(begun)
        except Stuck:
            return
        if order.setup_minutes < self.best.setup_minutes - _ROUNDING:
            precautions = _count_precautions(self.net, order, self.lifting)
            if all(map(le, precautions, self.precautions)):
                self.best, self.precautions = order, precautions


def _is_of_a_change(lesson: Lesson) -> bool:
    return any(isinstance(each, Change) for each in (lesson.item, *lesson.before))


def _count_precautions(network: Network, order: Order, lifting: Lifting) -> tuple[int, int, int]:
    """How often something is to be propped, to be held up or supported, and to be nipped first."""
    props = propping(network.fastenings, order, lifting)
    bearing = Bearing(network.work, network.settings.least_margin_m)
    standing, tipping = order.start, 0
    for each in order.placed:
        entered = standing is not None and each.standing != standing
        standing = each.standing
        tipping += bool(bearing.add_support(each.node, standing, entered=entered))
    return (
        sum(len(each.prop_first) for each in props),
        sum(len(each.add_support) for each in props) + tipping,
        sum(len(each.cautions) for each in props),
    )
