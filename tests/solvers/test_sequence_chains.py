"""Chains of exchanges in the sequence solver, against trying every exchange in plain Python."""

from random import Random

import numpy as np
import pytest

from putback.solvers.sequence import chains, exchange, lay_out, swaps
from putback.solvers.sequence.soften import put_right
from putback.solvers.sequence.start import promising_arcs
from putback.solvers.sequence.swaps import TURN, Run

NONE = np.empty((0, 2), np.int64)
ANY = 1 << 40


def problem_of(rnd: Random, count: int, *, both_ways: bool):
    """Random costs and some precedence."""
    most = rnd.choice((6, 20, 1000))
    costs = [[rnd.randint(0, most) for _ in range(count)] for _ in range(count)]
    if both_ways:
        costs = [[costs[min(a, b)][max(a, b)] for b in range(count)] for a in range(count)]
    hidden = rnd.sample(range(count), count)
    bonds = [sorted(rnd.sample(range(count), 2)) for _ in range(rnd.randint(0, count // 2))]
    return lay_out(costs, [(hidden[a], hidden[b]) for a, b in bonds])


def order_of(rnd: Random, problem) -> np.ndarray:
    """Any order that precedence allows."""
    return put_right(problem, np.array(rnd.sample(range(problem.size), problem.size)))


def places(order: np.ndarray) -> np.ndarray:
    """Of each item where it stands."""
    place = np.empty(len(order), np.int64)
    place[order] = np.arange(len(order))
    return place


def keeps(problem, order) -> bool:
    """Whether an order has every item once and keeps all precedence."""
    place = places(np.array(order))
    first, then = np.nonzero(problem.must)
    return sorted(order) == list(range(problem.size)) and bool((place[first] < place[then]).all())


def exchanges(order: list[int], *, turns: bool):
    """Every exchange: what comes of it, the arcs that go, and those that come."""
    last = len(order) - 1
    for i in range(1, last):
        for j in range(i + 1, last + 1):
            for k in range(j + 1, last + 1):
                after = order[:i] + order[j:k] + order[i:j] + order[k:]
                gone = [(order[at - 1], order[at]) for at in (i, j, k)]
                ends = (i - 1, j), (k - 1, i), (j - 1, k)
                come = [(order[one], order[other]) for one, other in ends]
                yield after, gone, come
            if turns and j - i > 1:
                after = order[:i] + order[i:j][::-1] + order[j:]
                gone = [(order[i - 1], order[i]), (order[j - 1], order[j])]
                yield after, gone, [(order[i - 1], order[j - 1]), (order[i], order[j])]


def most_left(problem, possible, item, saved, below, links, *, forward) -> int:
    """The most that any of the exchanges leaves but for its closing arc."""
    costs, best = problem.costs.astype(int), 0
    barred = {tuple(each) for each in links} | {tuple(each)[::-1] for each in links}
    end = 0 if forward else 1
    for gone, come in possible:
        mine = [arc for arc in gone if arc[end] == item]
        if not mine:
            continue
        if len(come) == 2:  # turned round: what was at the far end is the neighbour now
            (other,) = {*next(arc for arc in come if item in arc)} - {item}
            kept, others = (item, other), []
            lost = [arc for arc in gone if arc != mine[0]]
        else:
            kept = next(arc for arc in come if arc[end] == item)
            (lost_first,) = [arc for arc in gone if arc[1 - end] == kept[1 - end]]
            others = [next(arc for arc in come if arc[end] == lost_first[end])]
            (lost_second,) = [arc for arc in gone if arc not in (mine[0], lost_first)]
            lost = [lost_first, lost_second]
        if any(arc in barred for arc in lost) or costs[kept] >= saved:
            continue
        left = saved - costs[kept] + costs[lost[0]]
        if others:
            if costs[others[0]] >= left:
                continue
            left += costs[lost[1]] - costs[others[0]]
        if left < below:
            best = max(best, left)
    return best


@pytest.mark.parametrize("seed", range(15))
@pytest.mark.parametrize("turns", [False, True])
def test_the_exchange_that_goes_on_is_the_one_that_leaves_most(seed, turns):
    """Of all that precedence allows, on either side of each item; its cost is as it says."""
    rnd = Random(seed)
    problem = problem_of(rnd, 11, both_ways=turns)
    promising, order = promising_arcs(problem, problem.size), order_of(rnd, problem)
    costs, place, found = problem.costs.astype(int), places(order), np.empty(8, np.int64)
    last, met = problem.size - 1, 0
    for forward in (True, False):
        every = exchanges(order.tolist(), turns=turns and forward)
        possible = [(gone, come) for after, gone, come in every if keeps(problem, after)]
        for at in range(last) if forward else range(1, last + 1):
            item, arc = int(order[at]), (at, at + 1) if forward else (at - 1, at)
            saved = int(costs[order[arc[0]], order[arc[1]]]) + rnd.choice((0, 0, 5))
            below, drawn = rnd.choice((ANY, saved)), rnd.randrange(last)
            links = rnd.choice((NONE, np.array([[order[drawn], order[drawn + 1]]])))
            given = problem, promising, order, place, item, saved, below, links, len(links)
            if forward:
                chains.next_after(*given, turns, found)
            else:
                chains.next_before(*given, found)
            tried = most_left(problem, possible, item, saved, below, links, forward=forward)
            assert found[chains.OPEN] == tried
            if not tried:
                continue
            met += 1
            after, there, spare = order.copy(), place.copy(), np.empty_like(order)
            blocks = found[[chains.FIRST, chains.MIDDLE, chains.END]]
            swaps.change(after, there, spare, *blocks)
            assert keeps(problem, after.tolist())
            assert (there == places(after)).all()
            seam = there[found[chains.SEAM]]
            closes = (seam, seam + 1) if forward else (seam - 1, seam)
            closing = costs[after[closes[0]], after[closes[1]]]
            was = problem.cost_of(order) - costs[order[arc[0]], order[arc[1]]] + saved
            assert problem.cost_of(after) == was - tried + closing
    assert met


def mended(rnd: Random, problem, *, turns: bool, along: bool = False) -> Run:
    """A run in which no single exchange makes the order cheaper; or no chain, either."""
    order = order_of(rnd, problem)
    costs = np.full(2, problem.cost_of(order), np.int64)
    run = Run(order, places(order), order.copy(), costs, np.zeros(1), np.array([7]))
    promising = promising_arcs(problem, 8)
    exchange.kick_and_mend(problem, promising, run, np.zeros(1, np.int64), 1, turns, along)
    return run


@pytest.mark.parametrize("turns", [False, True])
def test_a_chain_helps_where_no_exchange_does_and_else_leaves_all_as_it_was(turns):
    """It keeps precedence, saves what it says, is taken back, and names all items beside seams."""
    helped = idle = long = turned = 0
    for seed in range(8):
        rnd = Random(seed)
        problem = problem_of(rnd, 30, both_ways=turns)
        promising, run = promising_arcs(problem, 8), mended(rnd, problem, turns=turns)
        order, place, spare = run.order, run.place, np.empty_like(run.order)
        links, found = np.empty((2 * chains.DEPTH + 1, 2), np.int64), np.empty(8, np.int64)
        done = np.full((2 + chains.DEPTH, 3), -9)
        for item in range(problem.size):
            before, effort = order.copy(), np.zeros(1, np.int64)
            many, new, saved = chains.chain(
                problem, promising, order, place, spare, item, turns, done, 2, links, found, effort
            )
            assert effort[0] > 0 or item in (0, problem.size - 1)
            assert keeps(problem, order.tolist())
            assert (place == places(order)).all()
            assert problem.cost_of(order) == problem.cost_of(before) - saved
            assert (done[:2] == -9).all()
            if not saved:
                idle += 1
                assert (order == before).all()
                assert (many, new) == (2, 0)
                continue
            helped += 1
            assert saved > 0
            assert 3 <= many <= 2 + chains.DEPTH
            long += many > 3
            beside = set(links[:new].ravel().tolist())
            arcs = set(zip(before[:-1].tolist(), before[1:].tolist(), strict=True))
            if turns:
                arcs |= {(b, a) for a, b in arcs}
            for arc in zip(order[:-1].tolist(), order[1:].tolist(), strict=True):
                assert arc in arcs or set(arc) <= beside
            turned += bool((done[2:many, 2] == TURN).any())
            again, there = order.copy(), place.copy()
            for i, j, k in done[2:many][::-1]:
                swaps.change(again, there, spare, i, j, k)
            assert (again == before).all()
    assert helped >= long > 10
    assert idle > 10
    assert bool(turned) == turns


@pytest.mark.parametrize("turns", [False, True])
def test_with_chains_an_order_is_mended_further(turns):
    """From the same order, on the mean of twenty; none ends where precedence is broken."""
    alone = together = 0
    for seed in range(20):
        problem = problem_of(Random(seed), 40, both_ways=turns)
        plain = mended(Random(seed), problem, turns=turns)
        run = mended(Random(seed), problem, turns=turns, along=True)
        assert keeps(problem, run.order.tolist())
        assert problem.cost_of(run.order) == run.cost[0]
        alone += int(plain.cost[0])
        together += int(run.cost[0])
    assert together < 0.97 * alone


@pytest.mark.twins
@pytest.mark.parametrize("turns", [False, True])
def test_chains_compiled_do_what_their_python_does(turns, monkeypatch):
    """Both go through the same orders, kicked and mended, and end at the same cost and chance."""
    ran = []
    for _ in range(2):
        rnd = Random(3)
        problem = problem_of(rnd, 20, both_ways=turns)
        run = mended(rnd, problem, turns=turns)
        run.heat[0] = 1.0
        effort = np.zeros(1, np.int64)
        exchange.kick_and_mend(problem, promising_arcs(problem, 8), run, effort, 500, turns, True)
        assert problem.cost_of(run.order) == run.cost[0]
        assert problem.cost_of(run.best) == run.cost[1]
        ran.append([each.tolist() for each in (*run, effort)])
        for module in (chains, exchange, swaps):
            for name, function in vars(module).items():
                if hasattr(function, "py_func"):
                    monkeypatch.setattr(module, name, function.py_func)
    assert ran[0] == ran[1]
