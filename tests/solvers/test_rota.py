"""Rotas: held against rules written here anew, and against every start that there is."""

from itertools import combinations, product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from putback.errors import Stopped
from putback.progress import Stoppable
from putback.solvers.rota import Rota, RotaSearch, Shifts, Task, TooFew
from putback.solvers.weekly import WEEK_MINUTES, Weekly

HOURS = [Weekly(((0, 6), (10, 15))), Weekly(((2, 9),)), Weekly(((0, 4), (12, 20)))]


@st.composite
def rotas(draw):
    """A few people, a few short jobs."""
    people = tuple(draw(st.lists(st.sampled_from(HOURS), min_size=1, max_size=3)))
    count = draw(st.integers(1, 5))
    tasks = []
    for number in range(count):
        may = sorted(draw(st.sets(st.integers(0, len(people) - 1), min_size=1)))
        crew = draw(st.integers(0, min(2, len(may))))
        before = draw(st.sets(st.integers(0, number - 1), max_size=2)) if number else set()
        tasks.append(
            Task(
                draw(st.integers(0, 4)),
                tuple(may),
                crew,
                tuple(sorted(before)),
                draw(st.sampled_from([0, 0, 3, 11])),
                draw(st.sampled_from([(), (), (0,)])) if crew else (),
            )
        )
    return Rota(people, tuple(tasks), (1,), draw(st.sampled_from([0, 1])))


def faults(rota: Rota, found: Shifts) -> list[str]:
    """What is wrong with a rota, minute by minute."""
    wrong = []
    working: dict[tuple[str, int, int], int] = {}
    for job, task in enumerate(rota.tasks):
        start, who = found.starts[job], found.who[job]
        if start < max(rota.begin, task.release):
            wrong.append(f"{job} begins too soon")
        wrong += [
            f"{job} before {each}"
            for each in task.before
            if found.starts[each] + rota.tasks[each].minutes > start
        ]
        if task.minutes and (len(set(who)) != task.crew or not set(who) <= set(task.may)):
            wrong.append(f"{job} by {who}")
        for at in range(start, start + task.minutes):
            for person in who:
                working["person", person, at] = working.get(("person", person, at), 0) + 1
                inside = at % WEEK_MINUTES
                if not any(a <= inside < b for a, b in rota.people[person].stretches):
                    wrong.append(f"{person} is not there at {at}")
            for thing in task.uses:
                working["thing", thing, at] = working.get(("thing", thing, at), 0) + 1
        for person in who if task.minutes else ():
            spans = rota.people[person].stretches
            if not any(
                a <= start % WEEK_MINUTES < b >= start % WEEK_MINUTES + task.minutes
                for a, b in spans
            ):
                wrong.append(f"{job} is broken off")
    for (kind, number, at), many in working.items():
        if many > (1 if kind == "person" else rota.few[number]):
            wrong.append(f"{kind} {number} twice at {at}")
    return wrong


def least(rota: Rota, horizon: int) -> int:
    """The earliest end of any rota, every start and crew tried."""
    best = horizon

    def place(job, starts, who):
        nonlocal best
        task_list = rota.tasks
        if job == len(task_list):
            found = Shifts(tuple(starts), tuple(who), 0, 0)
            if not faults(rota, found):
                best = min(
                    best, max(s + t.minutes for s, t in zip(starts, task_list, strict=True))
                )
            return
        task = task_list[job]
        low = max(
            [rota.begin, task.release, *(starts[e] + task_list[e].minutes for e in task.before)]
        )
        crews = list(combinations(task.may, task.crew)) if task.minutes else [()]
        for at, crew in product(range(low, best - task.minutes), crews):
            part = Rota(rota.people, task_list[: job + 1], rota.few, rota.begin)
            if not faults(part, Shifts((*starts, at), (*who, crew), 0, 0)):
                place(job + 1, [*starts, at], [*who, crew])
                if not task.minutes:
                    break

    place(0, [], [])
    return best


def is_possible(rota: Rota) -> RotaSearch | None:
    """A search, if the jobs can be done at all."""
    try:
        return RotaSearch(rota)
    except TooFew:
        return None


@given(rotas())
@settings(max_examples=25)
def test_the_rota_keeps_all_rules_and_none_ends_sooner(rota):
    """First orders and CP-SAT keep the rules; what is proved is the least of all there are."""
    search = is_possible(rota)
    if search is None:
        return
    first = search.best
    assert not faults(rota, first)
    assert first.bound <= first.finish
    found = search.run(work=2.0)
    assert not faults(rota, found)
    assert found.bound <= found.finish <= first.finish
    assert found.optimal
    if found.finish < 24:
        assert found.finish == max(least(rota, found.finish + 1), rota.begin)


def test_two_people_with_one_hoist_take_turns():
    """Two lifts on one hoist follow one another, whoever is free."""
    week = Weekly(((60, 600),))
    lifts = (Task(30, (0, 1), uses=(0,)), Task(30, (0, 1), uses=(0,)), Task(60, (0, 1)))
    found = RotaSearch(Rota((week, week), lifts, (1,))).run(work=1.0)
    assert (found.finish, found.optimal) == (120, True)


def test_a_job_that_nobody_is_there_for_is_told():
    """Longer than the evening: it can never be done in one."""
    with pytest.raises(TooFew):
        RotaSearch(Rota((Weekly(((0, 30),)),), (Task(31, (0,)),)))


def test_the_same_seed_and_work_give_the_same_rota():
    """Chance is drawn from the seed alone."""
    week = Weekly(((0, 50), (100, 150)))
    tasks = tuple(Task(7 + n % 5, (0, 1), 1 + n % 2, (n - 3,) if n > 2 else ()) for n in range(12))
    rota = Rota((week, week), tasks)
    assert RotaSearch(rota, 3).run(work=0.2) == RotaSearch(rota, 3).run(work=0.2)


def test_a_search_that_is_stopped_keeps_its_best():
    """Whoever stops it has a rota all the same."""
    week = Weekly(((0, 97), (200, 290)))
    tasks = tuple(Task(5 + n * 7 % 11, (0, 1, 2), 1 + n % 3 // 2) for n in range(60))
    search = RotaSearch(Rota((week,) * 3, tasks))
    if not search.best.optimal:
        with pytest.raises(Stopped):
            search.run(seconds=20, progress=Stoppable(lambda: True))
    assert not faults(search.rota, search.best)
