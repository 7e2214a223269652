"""The schedule solver against brute force, and the Python of its own loops."""

from random import Random

import numpy as np
import pytest

from putback.errors import Stopped
from putback.progress import Stoppable
from putback.solvers.chance import chance_from
from putback.solvers.schedule import ScheduleSearch, TooMuch, lay_out, search
from putback.solvers.schedule.anneal import Chain, anneal, begin, heat
from putback.solvers.schedule.bounds import cliques, lower_bound
from putback.solvers.schedule.exact import Shorter
from putback.solvers.schedule.lists import build, justify, sample
from putback.solvers.sequence import Circular


def drawn(rnd: Random, count: int, kinds: int = 2) -> tuple:
    """Durations, demands, capacities and pairs; some jobs take no time, some nothing."""
    capacities = [rnd.randint(2, 4) for _ in range(kinds)]
    demands = [[rnd.randint(0, most) for most in capacities] for _ in range(count)]
    durations = [rnd.randint(0, 4) for _ in range(count)]
    hidden = rnd.sample(range(count), count)
    many = rnd.randint(0, count) if count > 1 else 0
    bonds = [sorted(rnd.sample(range(count), 2)) for _ in range(many)]
    return durations, demands, capacities, [(hidden[a], hidden[b]) for a, b in bonds]


def keeps(case: tuple, starts) -> bool:
    """Whether a schedule keeps precedence, and every capacity at every moment."""
    durations, demands, capacities, pairs = case
    if any(starts[b] < starts[a] + durations[a] for a, b in pairs) or min(starts) < 0:
        return False
    for time in range(max(starts) + max(durations)):
        running = [j for j, s in enumerate(starts) if s <= time < s + durations[j]]
        if any(sum(demands[j][k] for j in running) > room for k, room in enumerate(capacities)):
            return False
    return True


def least(case: tuple) -> int:
    """The least makespan: every start of every job is tried, time after time, in plain Python.

    A state is what ended when, for jobs begun; at each moment any set of ready jobs may begin.
    """
    durations, demands, capacities, pairs = case
    count = len(durations)
    needs = [[a for a, b in pairs if b == job] for job in range(count)]
    states = {((None,) * count)}
    for time in range(sum(durations) + 1):
        stack, seen = list(states), set(states)
        while stack:
            ends = stack.pop()
            if all(end is not None and end <= time for end in ends):
                return time
            running = [j for j, end in enumerate(ends) if end is not None and end > time]
            for job in range(count):
                if ends[job] is not None or any(
                    ends[a] is None or ends[a] > time for a in needs[job]
                ):
                    continue
                if durations[job] and any(
                    sum(demands[j][k] for j in running) + demands[job][k] > room
                    for k, room in enumerate(capacities)
                ):
                    continue
                begun = (*ends[:job], time + durations[job], *ends[job + 1 :])
                if begun not in seen:
                    seen.add(begun)
                    stack.append(begun)
        states = {tuple(None if e is None else max(e, time) for e in ends) for ends in seen}
    raise AssertionError("one after another they would have ended")


@pytest.mark.parametrize("seed", range(6))
def test_small_projects_are_the_shortest_and_proved(seed):
    """Of one to five jobs the shortest schedule is found, proved, and no bound is above it."""
    rnd = Random(seed)
    for _ in range(8):
        case = drawn(rnd, rnd.randint(1, 5))
        project, truth = lay_out(*case), least(case)
        assert lower_bound(project) <= truth
        best = ScheduleSearch(project, seed).run(work=100_000)
        assert keeps(case, best.starts)
        ends = [start + span for start, span in zip(best.starts, case[0], strict=True)]
        assert best.makespan == max(ends) == truth == best.bound


@pytest.mark.parametrize("seed", range(6))
def test_the_exact_search_finds_the_shortest_from_the_longest(seed):
    """Begun from all jobs one after another, and with no bound, CP-SAT ends at the shortest."""
    case = drawn(Random(100 + seed), 5)
    project, truth = lay_out(*case), least(case)
    order = np.argsort(project.rank)
    starts = np.zeros(project.size, np.int64)
    starts[order] = np.cumsum(project.durations[order]) - project.durations[order]
    found = Shorter(project, starts, 0, seed=1).run(5.0, None, lambda _: None)
    assert found.bound == truth
    if project.horizon > truth:
        assert keeps(case, found.starts.tolist())
        assert project.span_of(found.starts) == truth
    else:
        assert found.starts is None


@pytest.mark.twins
@pytest.mark.parametrize("seed", range(8))
def test_schedules_from_lists_keep_everything_and_are_not_justified_longer(seed):
    """Drawn lists keep precedence; their schedules that and every capacity, justified or not."""
    case = drawn(Random(seed), 20, kinds=3)
    project = lay_out(*case)
    free = np.zeros((project.horizon, len(project.room)), np.int64)
    chance, order = chance_from(seed), np.zeros(20, np.int64)
    starts = np.zeros(20, np.int64)
    for _ in range(20):
        sample(project, chance, order)
        assert sorted(order) == list(range(20))
        span = build(project, order, free, starts)
        assert keeps(case, starts.tolist())
        shorter = justify(project, project.turned(), order, free, starts)
        assert keeps(case, starts.tolist())
        assert project.span_of(starts) == shorter <= span
        twin = np.zeros(20, np.int64)
        assert build.py_func(project, order, free, twin) == shorter
        assert twin.tolist() == starts.tolist()


def test_resources_by_the_million_are_kept_as_those_of_a_few():
    """Capacities that fill several words give the schedules of the same in small numbers."""
    durations, demands, capacities, pairs = drawn(Random(7), 20, kinds=5)
    few = lay_out(durations, demands, capacities, pairs)
    scale = 3_000_001
    large = [[take * scale for take in takes] for takes in demands]
    many = lay_out(durations, large, [each * scale + 1 for each in capacities], pairs)
    assert (len(few.room), len(many.room)) == (1, 3)
    chance, order = chance_from(1), np.zeros(20, np.int64)
    for _ in range(20):
        sample(few, chance, order)
        found = []
        for project in (few, many):
            free = np.zeros((project.horizon, len(project.room)), np.int64)
            starts = np.zeros(20, np.int64)
            build(project, order, free, starts)
            found.append(starts.tolist())
        assert found[0] == found[1]
        assert keeps((durations, demands, capacities, pairs), found[0])


def chain_of(project, seed):
    """A chain begun with a single list, and the place to build in."""
    count = project.size
    parts = [np.zeros(count, np.int64) for _ in range(3)]
    chain = Chain(*parts, np.zeros(2, np.int64), chance_from(seed))
    free = np.zeros((project.horizon, len(project.room)), np.int64)
    begin(project, project.turned(), chain, free, 1, 0)
    return chain, free


def test_a_chain_keeps_everything_and_its_best_never_gets_longer():
    """Whatever the heat; its list is by the starts of its schedule, whose time it tells."""
    for seed in range(6):
        case = drawn(Random(seed), 25, kinds=3)
        project = lay_out(*case)
        chain, free = chain_of(project, seed)
        least = chain.spans[1]
        for warm in (2.0, 0.5, 0.01):
            anneal(project, project.turned(), chain, free, 200, warm, 0)
            for starts, span in ((chain.starts, chain.spans[0]), (chain.best, chain.spans[1])):
                assert keeps(case, starts.tolist())
                assert project.span_of(starts) == span
            assert (np.diff(chain.starts[chain.order]) >= 0).all()
            assert chain.spans[1] <= min(least, chain.spans[0])
            least = chain.spans[1]


@pytest.mark.twins
def test_a_chain_is_the_same_in_plain_python():
    """The compiled loop and its Python twin go the same way."""
    project = lay_out(*drawn(Random(3), 12))
    (one, free), (other, _) = chain_of(project, 3), chain_of(project, 3)
    anneal(project, project.turned(), one, free, 100, 0.5, 0)
    anneal.py_func(project, project.turned(), other, free, 100, 0.5, 0)
    for mine, its in zip(one, other, strict=True):
        assert mine.tolist() == its.tolist()


def test_a_cold_chain_never_gets_longer_and_a_hot_one_may():
    """Heat is how much longer a schedule may be on average."""
    project = lay_out(*hard())
    chain, free = chain_of(project, 1)
    longer = {}
    for warm in (1e-9, 5.0):
        spans = []
        for _ in range(300):
            anneal(project, project.turned(), chain, free, 1, warm, 0)
            spans.append(int(chain.spans[0]))
        longer[warm] = bool((np.diff(spans) > 0).any())
    assert longer == {1e-9: False, 5.0: True}


def test_a_chain_cools_and_heat_is_in_proportion_to_durations():
    """Ten times as long, ten times as hot; jobs of no duration do not count."""
    few = lay_out([2, 0, 4], [[1], [0], [1]], [1], [])
    many = lay_out([20, 40], [[1], [1]], [1], [])
    heats = [heat(few, share) for share in (0.0, 0.5, 1.0)]
    assert heats[0] > heats[1] > heats[2] > 0
    assert [heat(many, share) for share in (0.0, 0.5, 1.0)] == pytest.approx(
        [10 * each for each in heats]
    )
    assert heat(lay_out([0], [[0]], [1], []), 0.0) > 0


def test_sets_of_which_no_two_run_at_once_are_that():
    """Each pair that a resource keeps apart is in one, and no pair that may run together."""
    for seed in range(20):
        durations, demands, capacities, pairs = drawn(Random(seed), 12)
        project = lay_out(durations, demands, capacities, pairs)
        together = {(a, b) for each in cliques(project) for a in each for b in each if a < b}
        for a in range(12):
            for b in range(a + 1, 12):
                apart = (project.demands[a] + project.demands[b] > project.capacities).any()
                bound = project.must[a, b] or project.must[b, a]
                assert (a, b) not in together or apart or bound
                assert (a, b) in together or not apart or bound


def test_the_same_seed_and_work_give_the_same():
    """However the two sides happen to run beside each other."""
    project = lay_out(*drawn(Random(5), 40, kinds=3))
    one, other = (ScheduleSearch(project, 3).run(work=100_000) for _ in range(2))
    assert one == other


def hard() -> tuple:
    """A project whose bound is far below what anybody finds at once."""
    rnd = Random(2)
    takes = [[rnd.randint(2, 6)] for _ in range(40)]
    return [rnd.randint(5, 19) for _ in range(40)], takes, [11], [(a, a + 7) for a in range(30)]


def test_where_no_proof_is_in_reach_two_chains_are_annealed_the_same_every_time(monkeypatch):
    """Of many jobs whose bound is far off; what comes of it keeps everything."""
    case = hard()
    monkeypatch.setattr(search, "_MANY", 40)
    monkeypatch.setattr(search, "_HOPELESS", 0.0)
    proofs = []
    monkeypatch.setattr(
        search, "Shorter", lambda *given, **more: proofs.append(1) or Shorter(*given, **more)
    )
    one, other = (ScheduleSearch(lay_out(*case), 3).run(work=100_000) for _ in range(2))
    assert one == other
    assert not one.optimal
    assert len(proofs) == 2  # in the first round of each
    assert keeps(case, one.starts)


def test_a_search_may_be_stopped_and_asked_what_it_has():
    """What was found until then is a schedule that keeps everything."""
    case = hard()
    looking = ScheduleSearch(lay_out(*case))
    assert not looking.best.optimal
    with pytest.raises(Stopped):
        looking.run(work=1e9, progress=Stoppable(lambda: True))
    assert keeps(case, looking.best.starts)
    assert looking.best.bound <= looking.best.makespan


def test_a_search_ends_by_the_clock():
    """Where the time is over it ends, and with what it has."""
    case = hard()
    assert keeps(case, ScheduleSearch(lay_out(*case)).run(seconds=0.2).starts)


def test_nothing_to_do_takes_no_time():
    """A project without jobs is over at once."""
    best = ScheduleSearch(lay_out([], [], [3], [])).run(work=1000)
    assert (best.starts, best.makespan, best.optimal) == ((), 0, True)


def test_what_cannot_be_done_is_refused():
    """A circle, more than there is, less than nothing: each is an error that says so."""
    with pytest.raises(Circular, match="would come before itself"):
        lay_out([1, 1], [[0], [0]], [1], [(0, 1), (1, 0)])
    with pytest.raises(TooMuch, match="job 1 takes more of resource 0"):
        lay_out([1, 1], [[0], [2]], [1], [])
    with pytest.raises(ValueError, match="below 0"):
        lay_out([-1], [[0]], [1], [])
