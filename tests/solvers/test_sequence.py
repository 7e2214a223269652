"""The sequence solver against brute force, dynamic programming and the Python of its own loops."""

from itertools import pairwise, permutations
from random import Random

import numpy as np
import pytest
from scipy.optimize import linear_sum_assignment

from putback.errors import Stopped
from putback.progress import Stoppable
from putback.solvers.sequence import (
    Circular,
    SequenceSearch,
    anneal,
    branch,
    chains,
    exchange,
    lay_out,
    matching,
    soften,
    swaps,
    tree,
)
from putback.solvers.sequence.assign import assign
from putback.solvers.sequence.beam import search_places
from putback.solvers.sequence.problem import BARRED
from putback.solvers.sequence.start import (
    first_order,
    patched_order,
    promising_arcs,
    reduced,
)
from putback.solvers.sequence.walks import no_prizes, no_walks, raise_bound, walk_back


def drawn(rnd: Random, count: int, bonds: int) -> tuple[list[list[int]], list[tuple[int, int]]]:
    """Costs, some of them equal or none or less than nothing, and pairs that an order keeps."""
    most = rnd.choice((3, 20, 1000))
    costs = [[rnd.randint(-2, most) for _ in range(count)] for _ in range(count)]
    hidden = rnd.sample(range(count), count)
    pairs = [tuple(sorted(rnd.sample(range(count), 2))) for _ in range(bonds)]
    return costs, [(hidden[a], hidden[b]) for a, b in pairs]


def keeps(order, pairs) -> bool:
    """Whether an order has every item once and keeps the pairs."""
    place = {item: at for at, item in enumerate(order)}
    return len(place) == len(order) and all(place[a] < place[b] for a, b in pairs)


def cost(costs, order) -> int:
    """What neighbours cost, added up."""
    return sum(costs[a][b] for a, b in pairwise(order))


def least(costs, pairs) -> int:
    """The least cost of all orders, by dynamic programming over sets, in plain Python."""
    count = len(costs)
    needs = [sum({1 << a for a, b in pairs if b == item}) for item in range(count)]
    known = {(1 << i, i): 0 for i in range(count) if not needs[i]}
    for _ in range(count - 1):
        longer: dict[tuple[int, int], int] = {}
        for (inside, last), so_far in known.items():
            for item in range(count):
                if inside >> item & 1 or needs[item] & ~inside:
                    continue
                key, total = (inside | 1 << item, item), so_far + costs[last][item]
                if total < longer.get(key, total + 1):
                    longer[key] = total
        known = longer
    return min(known.values())


def test_trying_all_orders_agrees_with_dynamic_programming():
    """What the tests judge by is right itself, on orders of six."""
    rnd = Random(1)
    for _ in range(40):
        costs, pairs = drawn(rnd, 6, rnd.randint(0, 8))
        tried = min(cost(costs, each) for each in permutations(range(6)) if keeps(each, pairs))
        assert least(costs, pairs) == tried


@pytest.mark.parametrize("seed", range(8))
def test_small_orders_are_the_cheapest_and_proved(seed):
    """Of one to nine items the cheapest order is found, kept to the pairs, and proved."""
    rnd = Random(seed)
    for _ in range(12):
        count = rnd.randint(1, 9)
        costs, pairs = drawn(rnd, count, rnd.randint(0, 2 * count) if count > 1 else 0)
        best = SequenceSearch(lay_out(costs, pairs), seed).run(work=40_000)
        assert sorted(best.order) == list(range(count))
        assert keeps(best.order, pairs)
        assert best.cost == cost(costs, best.order) == least(costs, pairs)
        assert best.optimal


@pytest.mark.parametrize("seed", range(60))
def test_building_place_by_place_is_exact_where_the_room_suffices(seed):
    """With room it is the cheapest; without, its bound is still none too high."""
    rnd = Random(seed)
    costs, pairs = drawn(rnd, 11, rnd.randint(4, 16))
    problem, truth = lay_out(costs, pairs), least(costs, pairs)
    walks, prizes = no_walks(problem.size), no_prizes(problem.size)
    raise_bound(problem, walks, prizes, float(truth + 5), rnd.choice((1, 30)))
    assert prizes.bound[0] <= truth + 1e-6
    walk_back(problem, prizes.best, walks)
    whole = search_places(problem, walks, prizes.best, truth + 0.5, 50_000)
    assert whole.exact
    assert problem.cost_of(whole.order) == truth
    tight = search_places(problem, walks, prizes.best, truth + 100.5, 3)
    assert tight.bound <= truth + 1e-6
    if tight.order is not None:
        assert problem.cost_of(tight.order) >= truth
        assert not tight.exact or problem.cost_of(tight.order) == truth
    none = search_places(problem, walks, prizes.best, truth - 0.5, 50_000)
    assert none.order is None
    assert none.exact


@pytest.mark.parametrize("seed", range(10))
def test_prices_of_an_assignment_are_the_best(seed):
    """`scipy.optimize.linear_sum_assignment` finds the cost that the prices add up to."""
    costs = np.random.default_rng(seed).integers(0, 40, (10, 10), np.int32)[:-1, 1:]
    row, column, taken = assign(costs)
    assert (costs - row[:, None] - column[None, :] >= -1e-9).all()
    assert row.sum() + column.sum() == pytest.approx(costs[linear_sum_assignment(costs)].sum())
    assert sorted(taken) == list(range(9))
    assert costs[np.arange(9), taken].sum() == costs[linear_sum_assignment(costs)].sum()


@pytest.mark.parametrize("seed", range(5))
def test_prices_taken_off_make_every_order_cheaper_by_the_same(seed):
    """So the cheapest stays the cheapest, and no arc is left below nothing."""
    rnd = Random(seed)
    costs, pairs = drawn(rnd, 12, 6)
    problem = lay_out(costs, pairs)
    off = reduced(problem)
    assert (off.costs >= 0).all()
    assert ((off.costs >= BARRED) == (problem.costs >= BARRED)).all()
    orders = []
    for _ in range(20):
        likes = np.array([float(rnd.randint(0, 5000)) for _ in range(problem.size)])
        orders.append(first_order(problem, likes))
    assert len({problem.cost_of(order) - off.cost_of(order) for order in orders}) == 1
    assert len({tuple(order) for order in orders}) > 5


@pytest.mark.parametrize("seed", range(5))
def test_a_patched_order_has_every_item_once(seed):
    """From the first to the last, at no less than the assignment costs and little more."""
    rnd = Random(seed)
    costs, pairs = drawn(rnd, 40, 3)
    problem = lay_out(costs, pairs)
    order = patched_order(problem)
    assert sorted(order) == list(range(problem.size))
    assert (order[0], order[-1]) == (0, problem.size - 1)
    row, column, _ = assign(problem.costs[:-1, 1:])
    greedy = problem.cost_of(first_order(problem, np.zeros(problem.size)))
    assert row.sum() + column.sum() - 1e-6 <= problem.cost_of(order) <= greedy


@pytest.mark.parametrize("seed", range(40))
def test_branching_on_the_assignment_is_exact_where_the_room_suffices(seed, monkeypatch):
    """With room it is the cheapest, whatever the fine; without, its bound is none too high."""
    rnd = Random(seed)
    costs, pairs = drawn(rnd, 11, rnd.randint(0, 10))
    problem, truth = lay_out(costs, pairs), least(costs, pairs)
    off, first = reduced(problem), first_order(problem, np.zeros(problem.size))
    taken = problem.cost_of(first) - off.cost_of(first)
    for fine in (0, rnd.randint(1, 100)):
        whole = branch.Branching(off, first, fine)
        whole.go_on(1 << 40)
        assert whole.over
        assert problem.cost_of(whole.best) == taken + whole.cost == taken + whole.bound == truth
        assert keeps([at for at in problem.items[whole.best] if at >= 0], pairs)
    monkeypatch.setattr(branch, "_BRANCHES", 1)
    monkeypatch.setattr(branch, "_WAYS_ON", 2)
    tight = branch.Branching(off, first, fine)
    for work in (0, 1_000, 1 << 40):
        tight.go_on(work)
        assert taken + tight.bound <= truth <= taken + tight.cost == problem.cost_of(tight.best)
        assert keeps([at for at in problem.items[tight.best] if at >= 0], pairs)


def test_nothing_is_branched_on_where_the_assignment_is_none_of_this_problem():
    """Where it costs anything its prices were not taken off, and no bound is known."""
    costs, pairs = drawn(Random(3), 11, 3)
    problem = lay_out(costs, pairs)
    dear = problem._replace(costs=np.minimum(problem.costs + 5, BARRED).astype(np.int32))
    first = first_order(dear, np.zeros(dear.size))
    idle = branch.Branching(dear, first, 1)
    assert idle.over
    assert idle.go_on(1_000) == idle.bound == 0
    assert keeps([at for at in problem.items[idle.best] if at >= 0], pairs)


def test_less_promising_branches_go_and_the_bound_minds_them():
    """Half of what is open, of which the least bound is kept."""
    open_ones = tree.no_tree(9, 1, np.arange(3), 50, 40)
    open_ones.numbers[[tree.FREE, tree.OPEN]] = 3, 6
    open_ones.free[:3] = 6, 7, 8
    for branch_of, (value, low) in enumerate([(5, 5), (9, 7), (8, 30), (6, 2), (7, 1), (10, 20)]):
        open_ones.key[branch_of], open_ones.branch[branch_of] = value, branch_of
        open_ones.low[branch_of] = low
    tree.thin(open_ones)
    assert open_ones.branch[:3].tolist() == [0, 3, 4]
    assert sorted(open_ones.free[:6]) == [1, 2, 5, 6, 7, 8]
    assert open_ones.numbers[[tree.FREE, tree.OPEN, tree.LEFT]].tolist() == [6, 3, 7]


@pytest.mark.parametrize("bonds", [0, 3, 25, 60])
def test_a_large_problem_with_few_pairs_is_searched_too(bonds):
    """From an assignment, which bounds it; with next to no pairs the best is proved."""
    costs, pairs = drawn(Random(9), 115, bonds)
    search = SequenceSearch(lay_out(costs, pairs))
    begun = search.best
    row, column, _ = assign(search._problem.costs[:-1, 1:])
    assert begun.bound == round(row.sum() + column.sum())
    best = search.run(work=200_000)
    assert keeps(best.order, pairs)
    assert begun.bound <= best.bound <= best.cost == cost(costs, best.order) < begun.cost
    assert best.optimal or bonds > 3
    assert best == SequenceSearch(lay_out(costs, pairs)).run(work=200_000)


def begun(rnd: Random, count: int) -> tuple:
    """A problem of so many items, its promising arcs, and a run from its first order."""
    costs, pairs = drawn(rnd, count, count)
    problem = lay_out(costs, pairs)
    order = first_order(problem, np.zeros(problem.size))
    run = SequenceSearch(problem, 1)._run(order, 0.5, 1)
    run.cost[:] = problem.cost_of(order)  # with all that a search takes off where little is bound
    return problem, pairs, promising_arcs(problem, 8), run


def loosen(problem, promising, run):
    """Anneal a little, then kick and mend a little."""
    anneal.anneal(problem, promising, run, 3000, 0.95)
    exchange.kick_and_mend(problem, promising, run, np.zeros(1, np.int64), 400, False, True)


@pytest.mark.parametrize("seed", range(6))
def test_the_running_cost_is_the_cost_of_the_order(seed):
    """After thousands of swaps the order keeps the pairs and costs what was added up."""
    problem, pairs, promising, run = begun(Random(seed), 30)
    before = int(run.cost[0])
    loosen(problem, promising, run)
    for order, said in zip((run.order, run.best), run.cost, strict=True):
        assert problem.cost_of(order) == said
        assert sorted(order) == list(range(problem.size))
        assert keeps([at for at in problem.items[order] if at >= 0], pairs)
    assert run.cost[1] < before


def softened(problem, promising, run):
    """Soften a little, the fine growing; give what is wrong by its count, and the fine."""
    run.order[:] = patched_order(problem)
    run.place[run.order] = np.arange(problem.size)
    run.cost[:] = problem.cost_of(run.order), 1 << 40
    run.heat[0] = 50.0
    fine = np.array([soften.count_wrong(problem, run.order), 1.0])
    soften.soften(problem, promising, run, fine, 12_000, 0.9, 1.3)
    return fine


@pytest.mark.parametrize("seed", range(6))
def test_what_is_softened_ends_with_every_pair_the_right_way_round(seed):
    """Cost and what is wrong are counted as they are; the best keeps the pairs."""
    problem, pairs, promising, run = begun(Random(seed), 30)
    assert soften.count_wrong(problem, patched_order(problem)) > 0
    fine = softened(problem, promising, run)
    assert problem.cost_of(run.order) == run.cost[0]
    place = {int(item): at for at, item in enumerate(run.order)}
    direct = zip(*np.nonzero(problem.must), strict=True)
    assert (fine[0] == 0) == all(place[int(a)] < place[int(b)] for a, b in direct)
    assert fine[0] == soften.count_wrong(problem, run.order)
    right = soften.put_right(problem, run.order)
    assert sorted(right) == list(range(problem.size))
    assert keeps([at for at in problem.items[right] if at >= 0], pairs)
    assert (right == run.order).all() == (fine[0] == 0)
    assert run.cost[1] < 1 << 40
    assert problem.cost_of(run.best) == run.cost[1]
    assert keeps([at for at in problem.items[run.best] if at >= 0], pairs)


def branching(problem) -> tuple[int, int, int, list[int]]:
    """Branch on the assignment a little; give what came of it and how much was done."""
    off = reduced(problem)
    search = branch.Branching(off, first_order(off, np.zeros(off.size)), 2)
    return search.go_on(3_000), search.cost, search.bound, search.best.tolist()


@pytest.mark.twins
@pytest.mark.parametrize("seed", range(3))
def test_what_is_compiled_does_what_its_python_does(seed, monkeypatch):
    """Both go through the same orders, and end at the same cost and chance."""
    problem, _, promising, compiled = begun(Random(seed), 20)
    loosen(problem, promising, compiled)
    fine = softened(problem, promising, compiled)
    branched = branching(problem)
    for module in (anneal, branch, chains, exchange, matching, soften, swaps, tree):
        for name, function in vars(module).items():
            if hasattr(function, "py_func"):
                monkeypatch.setattr(module, name, function.py_func)
    *_, plain = begun(Random(seed), 20)
    loosen(problem, promising, plain)
    assert softened(problem, promising, plain).tolist() == pytest.approx(fine.tolist())
    for one, other in zip(compiled, plain, strict=True):
        assert one.tolist() == pytest.approx(other.tolist())
    assert branching(problem) == branched


def both_ways(rnd: Random, count: int, bonds: int):
    """Costs that are the same both ways, and pairs."""
    costs, pairs = drawn(rnd, count, bonds)
    return [[costs[min(a, b)][max(a, b)] for b in range(count)] for a in range(count)], pairs


def test_costs_are_seen_to_be_the_same_both_ways():
    """Where an order can have both; one arc that differs is enough."""
    costs, pairs = both_ways(Random(4), 12, 3)
    assert exchange.same_both_ways(lay_out(costs, pairs))
    free = next(b for b in range(1, 12) if (0, b) not in pairs and (b, 0) not in pairs)
    costs[0][free] += 1
    assert not exchange.same_both_ways(lay_out(costs, []))


@pytest.mark.twins
@pytest.mark.parametrize("seed", range(6))
def test_blocks_that_are_turned_round_keep_the_pairs(seed, monkeypatch):
    """The cost is that of the order, after thousands of turns; Python does what is compiled."""
    ran = []
    for _ in range(2):
        rnd = Random(seed)
        costs, pairs = both_ways(rnd, 24, rnd.randint(0, 24))
        problem = lay_out(costs, pairs)
        order = first_order(problem, np.zeros(problem.size))
        run = SequenceSearch(problem, 1)._run(order, 2.0, 1)
        run.cost[:] = before = problem.cost_of(order)  # without what a search puts on all costs
        promising = promising_arcs(problem, 8)
        exchange.kick_and_mend(problem, promising, run, np.zeros(1, np.int64), 600, True, False)
        for order, said in zip((run.order, run.best), run.cost, strict=True):
            assert problem.cost_of(order) == said
            assert sorted(order) == list(range(problem.size))
            assert keeps([at for at in problem.items[order] if at >= 0], pairs)
        assert (run.place[run.order] == np.arange(problem.size)).all()
        assert run.cost[1] <= before
        ran.append([each.tolist() for each in run])
        for module in (exchange, swaps):
            for name, function in vars(module).items():
                if hasattr(function, "py_func"):
                    monkeypatch.setattr(module, name, function.py_func)
    assert ran[0] == ran[1]


@pytest.mark.parametrize("seed", range(4))
def test_small_orders_whose_costs_are_the_same_both_ways_are_the_cheapest(seed):
    """With blocks turned round as well, they are found and proved."""
    rnd = Random(seed)
    for _ in range(6):
        count = rnd.randint(2, 9)
        costs, pairs = both_ways(rnd, count, rnd.randint(0, count))
        best = SequenceSearch(lay_out(costs, pairs), seed).run(work=40_000)
        assert best.cost == cost(costs, best.order) == least(costs, pairs)
        assert best.optimal


def test_the_same_seed_and_work_give_the_same():
    """However the two sides happen to run beside each other."""
    costs, pairs = drawn(Random(5), 60, 40)
    one, other = (SequenceSearch(lay_out(costs, pairs), 3).run(work=100_000) for _ in range(2))
    assert one == other


def test_a_search_may_be_stopped_and_asked_what_it_has():
    """What was found until then is an order that keeps the pairs."""
    costs, pairs = drawn(Random(5), 60, 40)
    search = SequenceSearch(lay_out(costs, pairs))
    with pytest.raises(Stopped):
        search.run(work=1e9, progress=Stoppable(lambda: True))
    best = search.best
    assert sorted(best.order) == list(range(60))
    assert keeps(best.order, pairs)
    assert best.bound <= best.cost == cost(costs, best.order)


def test_a_search_ends_by_the_clock():
    """Where the time is over it ends, and with what it has."""
    costs, pairs = drawn(Random(5), 60, 40)
    best = SequenceSearch(lay_out(costs, pairs)).run(seconds=0.1)
    assert keeps(best.order, pairs)


def test_a_circle_is_refused():
    """Pairs that no order keeps are an error that names an item."""
    with pytest.raises(Circular, match="item 0 would come before itself"):
        lay_out([[0] * 3] * 3, [(0, 1), (1, 2), (2, 0)])


def test_costs_beyond_what_can_be_added_are_refused():
    """A cost that could be taken for a barred arc is an error."""
    with pytest.raises(ValueError, match="a cost is above"):
        lay_out([[0, 1 << 27], [0, 0]], [])


def test_arcs_that_no_order_can_have_are_left_out():
    """Neither backwards, nor past what lies between, nor from the last to the first."""
    problem = lay_out([[0] * 4] * 4, [(0, 1), (1, 2), (2, 3), (0, 3)])
    assert problem.items.tolist() == [0, 1, 2, 3]
    assert problem.arcs.items.tolist() == [1, 2, 3]
    assert problem.after.items.tolist() == [1, 2, 3]
    assert problem.earliest.tolist() == problem.latest.tolist() == [0, 1, 2, 3]
