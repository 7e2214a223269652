"""Fewest stations against brute force over all orders."""

from itertools import permutations
from random import Random

import pytest

from putback.errors import Stopped
from putback.progress import NoProgress, Stoppable
from putback.solvers.stations import Task, _searched, fewest, least_stations


def drawn(rnd: Random, count: int) -> list[Task]:
    """A few tasks; some can never begin."""
    tasks = []
    for task in range(count):
        others = [each for each in range(count) if each != task]
        earlier = range(task)
        all_of = tuple(rnd.sample(earlier, min(task, rnd.choice([0, 0, 1, 2]))))
        ways = rnd.choice([0, 0, 1]) if others else 0
        any_of = [
            tuple(rnd.sample(others, min(len(others), rnd.randint(1, 2)))) for _ in range(ways)
        ]
        tasks.append(Task(rnd.randint(0, 6), all_of, tuple(any_of)))
    return tasks


def may(task: Task, done: list[int]) -> bool:
    """Whether a task may begin."""
    return set(task.all_of) <= set(done) and all(set(some) & set(done) for some in task.any_of)


def keeps(tasks: list[Task], cycle: int, line) -> bool:
    """Whether a line does every task once, none too early, and no station too much."""
    order = [each for station in line for each in station]
    if sorted(order) != list(range(len(tasks))):
        return False
    if any(sum(tasks[each].time for each in station) > cycle for station in line):
        return False
    return all(may(tasks[each], order[:place]) for place, each in enumerate(order))


def least(tasks: list[Task], cycle: int) -> int | None:
    """Fewest stations over all orders, each filled from its beginning; None if there is none."""
    best = None
    for order in permutations(range(len(tasks))):
        if not all(may(tasks[each], list(order[:place])) for place, each in enumerate(order)):
            continue
        stations, room = 0, -1
        for each in order:
            if room < tasks[each].time or not stations:
                stations, room = stations + 1, cycle
            room -= tasks[each].time
        best = stations if best is None else min(best, stations)
    return best


@pytest.mark.parametrize("seed", range(4))
def test_small_lines_have_the_fewest_stations_and_that_is_proved(seed):
    """Of one to six tasks, over all orders; and what can never be done is said to be."""
    rnd = Random(seed)
    met = set()
    for _ in range(25):
        tasks, cycle = drawn(rnd, rnd.randint(1, 6)), rnd.randint(6, 9)
        truth = least(tasks, cycle)
        line = fewest(tasks, cycle)
        met.add(line.possible)
        assert line.possible == (truth is not None)
        if truth is not None:
            assert least_stations([task.time for task in tasks], cycle) <= truth
            assert line.stations is not None
            assert keeps(tasks, cycle, line.stations)
            assert len(line.stations) == truth == line.bound
    assert met == {True, False}


def test_the_search_finds_what_there_is_and_refutes_what_is_not():
    """Without a line to begin from: one station less than the fewest is refuted."""
    rnd = Random(7)
    tried = 0
    while tried < 8:
        tasks, cycle = drawn(rnd, 6), 7
        truth = least(tasks, cycle)
        if truth is None or truth < 2:
            continue
        tried += 1
        found, settled = _searched(tasks, cycle, truth, 5.0, 1, NoProgress())
        assert settled
        assert found is not None
        assert keeps(tasks, cycle, found)
        assert _searched(tasks, cycle, truth - 1, 5.0, 1, NoProgress()) == (None, True)


def test_a_search_may_be_stopped_and_a_task_too_long_is_told():
    """A wish to stop ends it; a task longer than the cycle fits no station."""
    with pytest.raises(Stopped):
        fewest([Task(1)], 2, progress=Stoppable(lambda: True))
    assert not fewest([Task(3)], 2).possible
