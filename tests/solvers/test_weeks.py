"""People whose hours come again every week: minute by minute, and against every start there is."""

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from putback.solvers.schedule.crews import Staffed
from putback.solvers.schedule.site import Job, Need
from putback.solvers.schedule.site_search import SiteSearch, Timetable
from putback.solvers.schedule.weeks import TooFew, site_in_weeks
from putback.solvers.weekly import WEEK_MINUTES, Weekly
from tests.solvers.test_site import keeps, least

HOURS = [
    Weekly(((0, 6), (10, 15))),
    Weekly(((2, 9),)),
    Weekly(((0, 4), (4, 20))),
    Weekly(((0, 20),), ((3, 8), (12, 13))),
    Weekly(((2, 9),), ((0, WEEK_MINUTES),)),
]
"""The third breaks off between its two stretches; the last two are away at times."""


@st.composite
def weeks(draw):
    """A few people, a few short jobs, and what waits for what."""
    people = draw(st.lists(st.sampled_from(HOURS), min_size=1, max_size=3))
    jobs, pairs = [], []
    for number in range(draw(st.integers(1, 4))):
        minutes = draw(st.integers(0, 4))
        able = draw(st.sets(st.integers(0, len(people) - 1), min_size=1))
        crew = draw(st.integers(0, min(2, len(able))))
        needs = (Need(frozenset(able), crew),) if crew and minutes else ()
        rooms = draw(st.sampled_from([(), (), ((0, 1),)])) if minutes else ()
        jobs.append(Job(minutes, needs, rooms, release=draw(st.sampled_from([0, 0, 1, 3, 11]))))
        if number:
            before = draw(st.sets(st.integers(0, number - 1), max_size=2))
            pairs += [(each, number) for each in before]
    lent = draw(st.sampled_from([(), (((1, 4),),), (((0, 3), (11, 12)),)]))
    return jobs, pairs, people, lent


def is_there(hours: Weekly, begin: int, end: int) -> bool:
    """Whether one stretch of hours covers it all, and no absence lies in it."""
    week = begin // WEEK_MINUTES * WEEK_MINUTES
    if any(begin < b and a < end for a, b in hours.away):
        return False
    return any(a <= begin - week and end - week <= b for a, b in hours.stretches)


@given(weeks())
@settings(max_examples=25)
def test_everybody_is_there_and_none_ends_sooner(drawn):
    """First and best keep the rules; what is proved is the least of all there are."""
    jobs, pairs, people, lent = drawn
    try:
        site, first = site_in_weeks(jobs, pairs, people, (1,), lent)
    except TooFew:
        assume(False)
    found = SiteSearch(site, known=first).run(work=2.0)
    assert found.optimal
    for plan in (first, found.plan):
        assert keeps(site, plan)
        assert all(
            is_there(people[person], start, start + job.duration)
            for job, start, teams in zip(jobs, plan.starts, plan.who, strict=True)
            for team in teams
            for person in team
        )
    assert found.bound <= found.plan.ends <= first.ends
    if found.plan.ends < 24 and len(jobs) < 4:
        assert found.plan.ends == least(site)


def test_a_job_that_never_fits_before_the_weekend_waits_for_it():
    """What is too long for each evening is done on Saturday, week after week."""
    hours = Weekly(((1000, 1120), (8000, 8300)))
    jobs = [Job(150, (Need(frozenset({0}), 1),)) for _ in range(3)]
    site, first = site_in_weeks(jobs, [], [hours])
    assert first.ends == WEEK_MINUTES + 8150
    assert SiteSearch(site, known=first).best == Timetable(first, first.ends)  # without a search
    assert not site_in_weeks([], [], [hours])[1].starts
    assert site.latest(first.ends - 1).tolist() == [8150] * 3


def test_two_people_with_one_hoist_take_turns():
    """Two lifts on one hoist follow one another, whoever is free."""
    week, needs = Weekly(((60, 600),)), (Need(frozenset({0, 1}), 1),)
    lifts = [Job(30, needs, ((0, 1),)), Job(30, needs, ((0, 1),)), Job(60, needs)]
    site, first = site_in_weeks(lifts, [], [week, week], [1])
    assert isinstance(first, Staffed)
    assert SiteSearch(site, known=first).run(work=1.0).plan.ends == 120


def test_a_job_that_nobody_is_there_for_is_told():
    """Longer than the evening: it can never be done in one."""
    with pytest.raises(TooFew):
        site_in_weeks([Job(31, (Need(frozenset({0}), 1),))], [], [Weekly(((0, 30),))])
