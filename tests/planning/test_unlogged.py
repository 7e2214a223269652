"""Jobs that nobody logged: offered where it is too late for them, and the goal were in reach."""

from dataclasses import replace
from itertools import permutations

from hypothesis import assume, event, given
from hypothesis import strategies as st

from putback.logbook.state import JobState
from putback.planning.impossible.attempt import Unknown, attempt
from putback.planning.impossible.facts import facts_of
from putback.planning.impossible.laid import Laid
from putback.planning.impossible.unlogged import unlogged_jobs, with_done
from putback.planning.plan import PlanSettings
from putback.vehicle.ids import job_ref
from putback.vehicle.job import Job, JobKind
from tests.makers import standing, vehicle
from tests.planning.brute import Brute, TooMany
from tests.planning.hand_made import state_of
from tests.planning.stripping import refusal
from tests.planning.test_contradict import posed
from tests.strategies.planning import SAID, Case, cases

FLOOR, STANDS = standing("floor", "wheel", stands=5.0), standing("stands", "frame", floor=5.0)
SURVEY = Job("survey", "survey", JobKind.SURVEY, standings=("floor",))
WASH = Job("wash", "wash", JobKind.DRAIN)
OFF = {"standing": "stands", "off": ["wheel"], "undone": ["wheel-frame"]}
LOG_IT = "survey was done and only not logged (log it as done, if it was)"


def surveyed(*more):
    """A vehicle that is surveyed on its wheels before the axle is undone."""
    parts = "wheel - frame: 1 clip", "axle - frame: 1 clip"
    facts = (SURVEY, "survey before axle - frame: so", FLOOR, STANDS)
    return vehicle(*parts, *facts, *more, datum="frame")


def test_a_survey_for_which_it_is_too_late_may_have_been_done():
    """The wheel it is done on is off; that it be put back on is said as well."""
    changes = refusal(surveyed(), **OFF).changes
    assert changes[0] == LOG_IT
    assert "what “floor” bears on were back on" in changes


def test_what_came_before_it_must_have_been_done_too():
    """The wash comes first, and could not be done on the stands either."""
    wash = replace(WASH, standings=("floor",))
    v = surveyed(wash, "wash before survey: so")
    assert refusal(v, **OFF).changes[0] == (
        "wash and survey were done and only not logged (log them as done, if they were)"
    )


def test_what_could_not_have_been_done_is_not_offered():
    """It comes after the lid, which is on."""
    v = surveyed("lid - frame: 1 clip", "lid before survey: so")
    assert LOG_IT not in refusal(v, **OFF).changes


def test_what_can_still_be_done_is_not_offered():
    """The vehicle is on its wheels; that rod and axle wait for one another is another matter."""
    v = surveyed("rod - frame: 1 clip", "rod before axle: so", "axle before rod: so")
    assert not any("logged" in each for each in refusal(v, standing="floor").changes)


def logged(state, jobs):
    """A state with some jobs done."""
    return replace(state, jobs={**state.jobs, **{job: JobState(job, done=SAID) for job in jobs}})


def opens(case, jobs) -> bool:
    """Whether trying every order reaches the goal, once the jobs are logged."""
    kept = {*case.goal.on, case.goal.datum}
    brute = Brute(case.vehicle, logged(case.state, jobs), PlanSettings(), kept, plain=True)
    return brute.comes_to(brute.reached(case.goal))


@given(cases(jobs=2, largest=3), st.randoms(use_true_random=False))
def test_jobs_that_are_taken_as_done_open_what_they_open_once_they_are_logged(case, draw):
    """The same goals are in reach as of a state that has them done, by trying every order."""
    left = sorted(case.vehicle.jobs.keys() - case.state.jobs_done)
    assume(left)
    jobs = [job for job in left if draw.random() < 0.7]
    problem, targets = posed(case)
    done = frozenset(i for job in jobs for i in problem.providers.get(job_ref(job), ()))
    there, asked = with_done(problem, targets, done)
    try:
        tried = attempt(Laid(there, asked, facts_of(there, asked)), (), patience=500)
        event(f"{'in' if tried.bouts is not None else 'out of'} reach")
        assert (tried.bouts is not None) == opens(case, jobs)
    except (TooMany, Unknown):
        event("nobody knows")


THINGS = ("t0", "t1", "t2", "axle - frame", "lid - frame")


@st.composite
def late(draw):
    """A vehicle whose wheel is off, jobs for which it may be too late, and what waits for what."""
    names = THINGS[:3]
    where = {job: draw(st.sampled_from([("floor",), ()])) for job in names}
    jobs = [Job(job, job, JobKind.SURVEY, standings=where[job]) for job in names]
    pairs = draw(st.sets(st.tuples(st.sampled_from(THINGS), st.sampled_from(THINGS)), max_size=4))
    waits = {(one, then) for one, then in pairs if one != then}
    too_late = set(draw(st.lists(st.sampled_from(names), max_size=1)))
    parts = (f"{name} - frame: 1 clip" for name in ("wheel", "axle", "lid"))
    befores = (f"{one} before {then}: so" for one, then in sorted(waits))
    nevers = (f"{job} never after wheel" for job in too_late)
    v = vehicle(*parts, FLOOR, STANDS, *jobs, *befores, *nevers, datum="frame")
    shut = too_late | {job for job in names if where[job]}
    return Case(v, state_of(v, **OFF), v.goals["bare"]), shut, waits


@given(late())
def test_jobs_are_offered_where_they_can_have_been_done_and_that_opens_the_goal(drawn):
    """Of all sets of jobs, of which each comes with what it waits for: by trying every order."""
    case, shut, waits = drawn
    problem, targets = posed(case)
    can_be = {
        frozenset(order)
        for n in range(4)
        for order in permutations(shut, min(n, len(shut)))
        if all(a in order[: order.index(b)] for a, b in waits if b in order)
    }
    enough = [some for some in can_be if opens(case, some)]
    assume(frozenset() not in enough)
    offered = unlogged_jobs(problem, targets)
    event(f"{[len(jobs) for jobs in offered]} jobs")
    assert bool(offered) == bool(enough)
    for jobs in offered:
        assert set(jobs) in enough
        assert len(jobs) == min(map(len, enough)) or len(offered) == 1
        assert all(a in jobs[: jobs.index(b)] for a, b in waits if b in jobs)
