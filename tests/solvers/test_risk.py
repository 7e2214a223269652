"""Runs over a network of jobs, against networkx, sums by hand and one job at a time."""

from itertools import count

import networkx as nx
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from putback.solvers.risk import Network, critical, pert_draws, play, won_by_chasing
from putback.solvers.weekly import ALWAYS, WEEK_MINUTES, Weekly, first_there, shared
from tests.solvers.starts import find_starts

DAY = 24 * 60
SATURDAY = Weekly(((5 * DAY + 540, 5 * DAY + 1020),))
EVENINGS = Weekly(((1080, 1260), (2 * DAY + 1080, 2 * DAY + 1260)))


@st.composite
def hours(draw, days_away=8):
    """Hours of work that come again, with an absence or two in the first days."""
    cuts = draw(
        st.lists(st.integers(0, WEEK_MINUTES), min_size=2, max_size=8, unique=True).map(sorted)
    )
    marks = st.lists(st.integers(0, days_away * DAY), max_size=4, unique=True).map(sorted)
    off = draw(marks) if days_away else []
    away = tuple(zip(off[::2], off[1::2], strict=False))
    return Weekly(tuple(zip(cuts[::2], cuts[1::2], strict=False)), away)


@st.composite
def networks(draw):
    """What each job waits for."""
    count = draw(st.integers(1, 12))
    return [sorted(draw(st.sets(st.integers(0, n - 1)))) if n else [] for n in range(count)]


def longest(before, durations):
    """The longest path, by networkx."""
    graph = nx.DiGraph()
    graph.add_nodes_from(["begin", *range(len(before))])
    for job, these in enumerate(before):
        for each in these or ["begin"]:
            graph.add_edge(each, job, weight=durations[job])
    return nx.dag_longest_path_length(graph)


def minute_by_minute(week: Weekly, start: int, work: int) -> int:
    """When work begun at a time is done, tried minute by minute."""
    at, last = start, max((end for _, end in week.away), default=0)
    while work and at < last:
        work -= works(week, at)
        at += 1
    whole = max(work - 1, 0) // week.minutes  # weeks after which all is as before
    at, work = at + whole * WEEK_MINUTES, work - whole * week.minutes
    while work:
        work -= works(week, at)
        at += 1
    return at


def works(week: Weekly | None, minute: int) -> bool:
    """Whether somebody with these hours works in a minute."""
    return (
        week is not None
        and any(a <= minute % WEEK_MINUTES < b for a, b in week.stretches)
        and not any(a <= minute < b for a, b in week.away)
    )


@given(networks(), st.data())
def test_the_end_is_the_longest_path(before, data):
    """Finish of the runs and of a site without people agree with networkx, in every run."""
    spans = st.lists(st.integers(0, 50), min_size=len(before), max_size=len(before))
    drawn = np.array([data.draw(spans) for _ in range(3)], float).T
    runs = play(Network.without_hours(before), drawn, 0.0, {})
    for n in range(3):
        known = longest(before, drawn[:, n])
        assert runs.finish[n] == pytest.approx(known)
        assert find_starts(before, list(drawn[:, n])).finish == pytest.approx(known)


@given(networks(), st.data())
def test_a_job_is_critical_if_a_longer_one_is_a_later_end(before, data):
    """What is called critical is what delays the finish, tried job by job."""
    count = len(before)
    drawn = np.array(data.draw(st.lists(st.integers(1, 9), min_size=count, max_size=count)), float)
    network = Network.without_hours(before)
    runs = play(network, drawn[:, None], 0.0, {})
    found = critical(network, runs)[:, 0]
    slack = find_starts(before, list(drawn)).slack
    for job in range(count):
        longer = drawn.copy()
        longer[job] += 0.5
        later = play(network, longer[:, None], 0.0, {}).finish[0]
        assert found[job] == (later > runs.finish[0])
        assert found[job] == (slack[job] < 1e-9)


@given(hours(), st.integers(0, 2 * WEEK_MINUTES), st.integers(1, 300))
def test_work_is_done_in_the_hours(week, start, work):
    """A job ends when so many minutes of the hours are gone, counted one by one."""
    done = week.worked(np.array([float(start)])) + work
    assert week.when(done)[0] == pytest.approx(minute_by_minute(week, start, work), abs=1e-3)


@settings(max_examples=30)
@given(hours(), hours(), st.integers(0, 20_000))
def test_somebody_is_there_from_the_first_minute_in_which_one_of_them_works(one, other, start):
    """Counted minute by minute; of a time within the hours it is that time."""
    truth = next(each for each in count(start) if works(one, each) or works(other, each))
    found = first_there([one, other], np.array([float(start)]))
    assert found[0] == pytest.approx(truth, abs=1e-3)


@given(hours(), hours(), st.integers(0, 2 * WEEK_MINUTES - 1))
def test_shared_hours_are_those_of_both(one, other, minute):
    """Two work together in a minute if each does."""
    both = shared((one, other))
    assert works(both, minute) == (works(one, minute) and works(other, minute))


@given(networks(), hours(days_away=0), hours(days_away=2), st.data())
def test_many_runs_are_as_one_after_another(before, one, other, data):
    """Hours, jobs without minutes and releases, reckoned again with the plain rule."""
    count = len(before)
    week = [data.draw(st.sampled_from([one, other, ALWAYS])) for _ in before]
    spans = [data.draw(st.integers(0, 90)) for _ in before]
    late = data.draw(st.dictionaries(st.integers(0, count - 1), st.integers(0, WEEK_MINUTES)))
    network = Network(tuple(map(tuple, before)), tuple(week))
    runs = play(
        network, np.array(spans, float)[:, None], 30.0, {j: np.array([t]) for j, t in late.items()}
    )
    ends: list[float] = []
    for job, these in enumerate(before):
        free = max([30, late.get(job, 0), *(ends[each] for each in these)])
        ends.append(minute_by_minute(week[job], round(free), spans[job]))
        assert runs.ends[job, 0] == pytest.approx(ends[job], abs=1e-2)


def test_a_part_that_holds_all_up_wins_a_day_a_day():
    """What only one late part holds up ends a day sooner for each day sooner that it comes."""
    network = Network.without_hours([[], [], [0, 1]])
    drawn = np.full((3, 50), 60.0)
    late = {1: np.full(50, 20.0 * DAY)}
    runs = play(network, drawn, 0.0, late)
    week = {1: late[1] - 7.0 * DAY}
    won = won_by_chasing(network, drawn, 0.0, late, runs, critical(network, runs), week)
    assert (won.minutes, won.holds_up) == (pytest.approx(7.0 * DAY), 1.0)


def test_of_two_late_parts_only_the_later_is_worth_chasing():
    """Until the other holds all up: a week sooner wins no more than lies between them."""
    network = Network.without_hours([[], [], [0, 1]])
    drawn = np.full((3, 10), 60.0)
    late = {0: np.full(10, 18.0 * DAY), 1: np.full(10, 20.0 * DAY)}
    runs = play(network, drawn, 0.0, late)
    both = critical(network, runs)
    first, second = (
        won_by_chasing(network, drawn, 0.0, late, runs, both, {job: late[job] - 7.0 * DAY})
        for job in (0, 1)
    )
    assert first == (0.0, 0.0)
    assert second == (pytest.approx(2.0 * DAY), 1.0)


def test_one_who_works_on_saturdays_ends_on_one():
    """Ten hours begun on Wednesday evening by two with other hours."""
    network = Network(((), (0,)), (EVENINGS, SATURDAY))
    runs = play(network, np.array([[120.0], [600.0]]), 2 * DAY + 1200.0, {})
    monday = WEEK_MINUTES + 1080.0  # an hour on Wednesday, the other on Monday
    assert runs.ends[0, 0] == pytest.approx(monday + 60)
    assert runs.ends[1, 0] == pytest.approx(2 * WEEK_MINUTES + 5 * DAY + 540 + 120)


@given(
    st.lists(st.integers(0, 100), min_size=3, max_size=3).map(sorted).filter(lambda t: t[0] < t[2])
)
def test_draws_keep_to_their_estimate(points):
    """No draw is better than the best or worse than the worst."""
    drawn = pert_draws(*points, 200, np.random.default_rng(1))
    assert points[0] <= drawn.min() <= drawn.max() <= points[2]


@pytest.mark.parametrize("stretches", [(), ((5, 5),), ((0, 9), (8, 12)), ((0, WEEK_MINUTES + 1),)])
def test_hours_that_are_none_are_refused(stretches):
    """Hours are in order, apart and within the week."""
    with pytest.raises(ValueError, match="hours"):
        Weekly(stretches)


@pytest.mark.parametrize("away", [((5, 5),), ((0, 9), (9, 12)), ((-1, 4),)])
def test_absences_that_are_none_are_refused(away):
    """Absences are in order and apart, and none begins before time 0."""
    with pytest.raises(ValueError, match="absences"):
        Weekly(((0, 60),), away)


def test_a_job_waits_for_none_after_it():
    """A network is numbered in an order that works."""
    with pytest.raises(ValueError, match="waits"):
        Network.without_hours([[1], []])
