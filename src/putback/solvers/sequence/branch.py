"""Branch on the cheapest assignment: exact where hardly any precedence binds, compiled.

Where costs are at random and little must come before anything else, the cheapest assignment costs
hardly less than the cheapest order. It is a way from the first item to the last and circles beside
it. At least one arc of each circle is in no order, and neither is one of each way that leads from
an item to one that must come before it. So the assignment is branched on where fewest arcs are in
question: in each branch one of them is barred and those before it are settled (G. Carpaneto,
M. Dell'Amico and P. Toth, *Exact solution of large-scale, asymmetric traveling salesman problems*,
ACM Transactions on Mathematical Software 21, 1995; there it is circles only). What barring an arc
costs is one shortest augmenting path. In every branch the circles are joined, which often gives an
order (W. Zhang, *Truncated branch-and-bound: a case study on the asymmetric TSP*, AAAI Spring
Symposium 1993). The branch that goes on is that of the least bound, a fine added for each pair
that is then the wrong way round; where room is short the least promising go.
"""

import numpy as np

from putback.solvers.compiled import compiled, inlined
from putback.solvers.sequence.assign import assign
from putback.solvers.sequence.matching import (
    Matching,
    join_circles,
    no_matching,
    number_circles,
    reassign,
)
from putback.solvers.sequence.problem import BARRED, Array, Lists, Sequencing, inner_pairs
from putback.solvers.sequence.soften import count_wrong
from putback.solvers.sequence.start import patched_order
from putback.solvers.sequence.tree import (
    BEST,
    CUT,
    EFFORT,
    FREE,
    LEFT,
    OPEN,
    Tree,
    no_tree,
    pop,
    push,
    take_room,
    thin,
)

_BRANCHES, _NUMBERS = 4_000, 2_000_000
"""How many branches are open at most, and how many numbers are remembered of all."""

_CUTS = 1 << 20
"""How many arcs are barred at most, in all branches that ever were."""

_WAYS_ON = 20
"""How many arcs of an item are looked at, on the mean."""


class Branching:
    """A search over branches that can be gone on with."""

    def __init__(self, problem: Sequencing, order: Array, fine: int) -> None:
        """Begin with a problem from which an assignment's prices were taken off.

        Parameters
        ----------
        problem : Sequencing
            What is asked; no cost is below 0, and the cheapest assignment costs 0 (where it
            costs more, nothing is done).
        order : array of int
            The best order that is known.
        fine : int
            What a pair the wrong way round counts.
        """
        self._problem, self._fine = problem, fine
        count = problem.size
        patched = patched_order(problem)
        if not count_wrong(problem, patched):
            order = min(order, patched, key=problem.cost_of)
        best = problem.cost_of(order)
        self._few, self._costs, lost = _few_arcs(problem, best)
        self._pairs = inner_pairs(problem)
        room = max(min(_BRANCHES, _NUMBERS // count), 2 * count)
        self._tree = no_tree(room, _CUTS, order, best, lost)
        *_, taken = assign(problem.costs[:-1, 1:])
        self._tree.then[0, :-1] = taken + 1
        if problem.costs[np.arange(count - 1), taken + 1].any():
            self._tree.numbers[[OPEN, LEFT]] = 0, 0

    @property
    def best(self) -> Array:
        """The cheapest order met."""
        return self._tree.best

    @property
    def cost(self) -> int:
        """What it costs."""
        return int(self._tree.numbers[BEST])

    @property
    def over(self) -> bool:
        """Whether nothing is open."""
        return not self._tree.numbers[OPEN] or self._tree.numbers[CUT] + self._problem.size > _CUTS

    @property
    def bound(self) -> int:
        """What no order costs less than."""
        numbers = self._tree.numbers
        nodes = self._tree.branch[: numbers[OPEN]]
        return int(min([*self._tree.low[nodes].tolist(), numbers[BEST], numbers[LEFT]]))

    def go_on(self, effort: int) -> int:
        """Branch until so many numbers were looked at, in all; give how many were."""
        numbers = self._tree.numbers
        while not self.over and numbers[EFFORT] < effort:
            grow(
                self._problem, self._few, self._costs, self._pairs, self._tree, self._fine, effort
            )
            if numbers[FREE] < self._problem.size:
                thin(self._tree)
        return int(numbers[EFFORT])


def _few_arcs(problem: Sequencing, best: int) -> tuple[Lists, Array, int]:
    """The arcs that a better order may have, each item's cheapest first, and what they cost.

    Where they are too many the dearest are left out; no order with one of those costs less than
    the third number.
    """
    source, item = np.nonzero(problem.costs < min(best, BARRED))
    costs = problem.costs[source, item].astype(np.int64)
    lost = best
    if len(costs) > (most := _WAYS_ON * problem.size):
        lost = int(np.partition(costs, most)[most])
        kept = costs <= max(lost - 1, 0)
        source, item, costs = source[kept], item[kept], costs[kept]
        lost = max(lost, 1)
    by = np.lexsort((item, costs, source))
    begin = np.zeros(problem.size + 1, np.int64)
    np.cumsum(np.bincount(source, minlength=problem.size), out=begin[1:])
    return Lists(begin, item[by].astype(np.int64)), costs[by], lost


@inlined
def _judge(
    problem: Sequencing,
    few: Lists,
    pairs: Array,
    match: Matching,
    circle: Array,
    size: Array,
    place: Array,
    tree: Tree,
) -> int:
    """Join the circles; give how many pairs are the wrong way round then, and keep the best."""
    last = len(problem.earliest) - 1
    circles = number_circles(match.then, circle, size)
    joined = join_circles(
        problem.costs, few, match, circle, size, circles, tree.numbers[EFFORT : EFFORT + 1]
    )
    cost = np.int64(0)
    item = at = 0
    while item != last:
        place[item] = at
        cost += problem.costs[item, match.then[item]]
        item = match.then[item]
        at += 1
    place[last] = at
    tree.numbers[EFFORT] += last // 2
    if not joined:
        return len(pairs)
    wrong = 0
    for each in range(len(pairs)):
        wrong += place[pairs[each, 0]] > place[pairs[each, 1]]
    if not wrong and cost < tree.numbers[BEST]:
        tree.numbers[BEST] = cost
        for item in range(last + 1):
            tree.best[place[item]] = item
    return int(wrong)


@inlined
def _in_question(
    match: Matching,
    settled: Array,
    pairs: Array,
    circle: Array,
    size: Array,
    place: Array,
    chosen: Array,
) -> int:
    """Choose where to branch: the items whose next arcs are in question, and how many there are.

    They are of a circle or, where there is none, of the way between a pair the wrong way round.
    """
    then = match.then
    last = len(then) - 1
    circles = number_circles(then, circle, size)
    if circles > 1:
        for each in range(circles):
            size[each] = 0
        for item in range(last):
            size[circle[item]] += not settled[then[item]]
        few = 1
        for each in range(2, circles):
            if size[each] < size[few]:
                few = each
        begin = 0
        while circle[begin] != few:
            begin += 1
        end = begin
    else:
        item = at = 0  # places counted by what is in question
        for each in range(last):
            place[item] = at * last + each
            at += not settled[then[item]]
            item = then[item]
        least, begin, end = last + 1, 0, 0
        for each in range(len(pairs)):
            first, second = place[pairs[each, 0]], place[pairs[each, 1]]
            if second < first and first // last - second // last < least:
                least = first // last - second // last
                begin, end = pairs[each, 1], pairs[each, 0]
        if least > last:
            return 0
    count, item = 0, begin
    while True:
        if not settled[then[item]]:
            chosen[count] = item
            count += 1
        item = then[item]
        if item == end:
            return count


@inlined
def _bar(tree: Tree, cut: int, barred: Array, whether: bool) -> None:
    """Bar all arcs that a branch bars, or let them be again."""
    each = cut
    while each > 0:
        barred[tree.arc[each]] = whether
        each = tree.above[each]


@compiled
def grow(
    problem: Sequencing,
    few: Lists,
    costs: Array,
    pairs: Array,
    tree: Tree,
    fine: int,
    most: int,
) -> None:
    """Branch until nothing is open, so much was done, or room may not suffice for one more."""
    n, numbers = len(problem.earliest), tree.numbers
    effort = numbers[EFFORT : EFFORT + 1]
    barred, settled = np.zeros(len(costs), np.bool_), np.zeros(n, np.bool_)
    here, anew = no_matching(n), no_matching(n)
    circle, size = np.empty(n, np.int64), np.empty(n, np.int64)
    place, chosen = np.empty(n, np.int64), np.empty(n, np.int64)
    room = np.zeros((4, n), np.int64)
    while numbers[OPEN] > 0 and effort[0] < most:
        if numbers[FREE] < n or numbers[CUT] + n > len(tree.arc):
            return
        now = pop(tree)
        low, cut = tree.low[now], tree.cut[now]
        if low >= numbers[BEST]:
            continue
        for item in range(n):
            here.then[item] = tree.then[now, item]
            here.row[item], here.column[item] = tree.row[now, item], tree.column[now, item]
            settled[item] = tree.settled[now, item]
        for item in range(n - 1):
            here.before[here.then[item]] = item
        _bar(tree, cut, barred, True)
        effort[0] += n
        for choice in range(_in_question(here, settled, pairs, circle, size, place, chosen)):
            start = chosen[choice]
            goal = here.then[start]
            if low >= numbers[BEST]:
                break
            arc = few.begin[start]
            while few.items[arc] != goal:
                arc += 1
            for item in range(n):
                anew.then[item], anew.before[item] = here.then[item], here.before[item]
                anew.row[item], anew.column[item] = here.row[item], here.column[item]
            effort[0] += n // 4
            barred[arc] = True
            dearest = numbers[BEST] - 1
            risen = low + reassign(
                few, costs, barred, settled, anew, start, dearest, dearest - low, room, effort
            )
            barred[arc] = False
            if risen <= dearest:
                new = take_room(tree)
                for item in range(n):
                    tree.then[new, item] = anew.then[item]
                    tree.row[new, item], tree.column[new, item] = anew.row[item], anew.column[item]
                    tree.settled[new, item] = settled[item]
                tree.low[new], tree.cut[new] = risen, numbers[CUT]
                tree.above[numbers[CUT]], tree.arc[numbers[CUT]] = cut, arc
                numbers[CUT] += 1
                wrong = _judge(problem, few, pairs, anew, circle, size, place, tree)
                # of two that promise the same the later goes on
                push(tree, new, (risen + fine * wrong) * len(tree.arc) - tree.cut[new])
            settled[goal] = True
        _bar(tree, cut, barred, False)
