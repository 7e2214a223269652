"""Schedules of people, rooms and balances against brute force."""

from dataclasses import replace
from itertools import combinations, product
from random import Random

import pytest

from putback.errors import Stopped
from putback.progress import Stoppable
from putback.solvers.schedule.allowance import Allowance
from putback.solvers.schedule.crews import Forward, Staffed, staff
from putback.solvers.schedule.site import Job, Lying, Need, Site, least_time
from putback.solvers.schedule.site_exact import Model, staff_exactly
from putback.solvers.schedule.site_search import SiteSearch
from putback.solvers.sequence import Circular


def drawn(rnd: Random, count: int) -> Site:
    """A few jobs for three people, two rooms and a balance; some sites cannot be done in time."""
    jobs = []
    for _ in range(count):
        able = frozenset(rnd.sample(range(3), rnd.randint(1, 3)))
        needs = [Need(able, rnd.randint(1, len(able)))]
        if rnd.random() < 0.2:
            needs.append(Need(frozenset(range(3)), 1))
        rooms = [(room, rnd.randint(1, 2)) for room in (0, 1) if rnd.random() < 0.4]
        shifts, release = (rnd.choice([0, 0, 2, -2, 3]),), rnd.choice([0, 0, 0, 2])
        if rnd.random() < 0.1:
            jobs.append(Job(0, shifts=shifts, release=release))
        else:
            jobs.append(Job(rnd.randint(1, 3), tuple(needs), tuple(rooms), shifts, release))
    pairs = [tuple(sorted(rnd.sample(range(count), 2))) for _ in range(rnd.randint(0, count - 1))]
    away = []
    for _ in range(3):
        begin = rnd.randint(0, 4)
        away.append(((begin, begin + rnd.randint(1, 3)),) if rnd.random() < 0.5 else ())
    lent = ((), ())
    if rnd.random() < 0.5:
        spans = [(begin, begin + rnd.randint(1, 3)) for begin in rnd.sample(range(8), 2)]
        lent = (tuple(spans[:1]), tuple(spans)) if rnd.random() < 0.5 else (tuple(spans),)
    site = Site(tuple(jobs), tuple(pairs), tuple(away), (2, 3), ((-3, 3),), 11, lent)
    site = replace(site, rooms=(2, 3, 1), lying=drawn_lying(rnd, jobs))
    return replace(site, apart=((0, 1),) if rnd.random() < 0.5 else ())


def drawn_lying(rnd: Random, jobs: list[Job]) -> tuple[Lying, ...]:
    """Some jobs, of two things that lie in a room for one; none wait for what lies elsewhere."""
    some = [n for n, job in enumerate(jobs) if job.duration and rnd.random() < 0.6]
    cut = rnd.randint(0, len(some))
    return tuple(Lying(2, tuple(each)) for each in (some[:cut], some[cut:]) if each)


def keeps(site: Site, plan: Staffed) -> bool:
    """Whether a plan keeps everything, time by time."""
    jobs, starts = site.jobs, plan.starts
    ends = [s + j.duration for s, j in zip(starts, jobs, strict=True)]
    if max(ends) != plan.ends or plan.ends > site.horizon:
        return False
    if any(start < max(0, job.release) for start, job in zip(starts, jobs, strict=True)):
        return False
    if any(ends[a] > starts[b] for a, b in site.pairs):
        return False
    for job, teams in zip(jobs, plan.who, strict=True):
        for need, team in zip(job.needs, teams, strict=True):
            if len(set(team)) != need.count or not set(team) <= need.able:
                return False
    people = [{person for team in teams for person in team} for teams in plan.who]
    if any(people[one] & people[other] for one, other in site.apart):
        return False
    for start, end, teams in zip(starts, ends, plan.who, strict=True):
        # An absence that takes no time breaks off what would go on across it.
        spans = [span for team in teams for person in team for span in site.away[person]]
        if start < end and any(start < e and b < end for b, e in spans):
            return False
    for time in range(plan.ends + 1):
        busy: list[int] = []
        space = [0] * len(site.rooms)
        for lies in site.lying:
            since = min(starts[each] for each in lies.jobs)
            space[lies.room] += since <= time < max(ends[each] for each in lies.jobs)
        for room, spans in enumerate(site.lent):
            space[room] += sum(begin <= time < end for begin, end in spans)
        for job, start, end, teams in zip(jobs, starts, ends, plan.who, strict=True):
            if start <= time < end:
                busy += [person for team in teams for person in team]
                for room, taken in job.rooms:
                    space[room] += taken
        if len(set(busy)) != len(busy) or any(
            s > m for s, m in zip(space, site.rooms, strict=True)
        ):
            return False
        for number, (least, most) in enumerate(site.limits):
            moved = sum(j.shifts[number] for j, s in zip(jobs, starts, strict=True) if s <= time)
            if not least <= moved <= most:
                return False
    return True


def teams_of(job: Job) -> list[tuple[tuple[int, ...], ...]]:
    """All ways to give a job its people."""
    ways = product(*(combinations(sorted(need.able), need.count) for need in job.needs))
    return [way for way in ways if len({p for t in way for p in t}) == sum(map(len, way))]


def least(site: Site) -> int | None:
    """The least time, by trying all starts and all teams; None if nothing is in time."""
    spans = [range(site.horizon - job.duration + 1) for job in site.jobs]
    for starts in sorted(product(*spans), key=site.ends):
        if any(starts[a] + site.jobs[a].duration > starts[b] for a, b in site.pairs):
            continue
        for who in product(*map(teams_of, site.jobs)):
            if keeps(site, Staffed(starts, who, site.ends(starts))):
                return site.ends(starts)
    return None


@pytest.mark.parametrize("seed", range(3))
def test_small_sites_are_done_soonest_and_proved(seed):
    """Of two or three jobs the least time is found and proved, or that there is none."""
    rnd = Random(seed)
    met = set()
    for _ in range(4):
        site = drawn(rnd, rnd.randint(2, 3))
        truth = least(site)
        met.add(truth is None)
        assert truth is None or least_time(site) <= truth
        best = SiteSearch(site, seed).run(seconds=5.0)
        if truth is None:
            assert best.plan is None
            assert best.bound > site.horizon
        else:
            assert best.plan is not None
            assert keeps(site, best.plan)
            assert best.plan.ends == truth == best.bound
    assert False in met


@pytest.mark.parametrize("seed", range(2))
def test_both_models_bound_and_the_one_by_person_is_exact(seed):
    """Crews as a whole promise no more than is true; person by person it is the truth."""
    site = drawn(Random(40 + seed), 3)
    truth = least(site) or site.horizon + 1
    whole, exact = (
        Model(site, 0, site.horizon, by_person=each).run(
            Allowance(1.0), 1, Stoppable(lambda: False), print
        )
        for each in (False, True)
    )
    assert whole.bound <= exact.bound == truth


def test_schedules_made_forward_keep_everything():
    """Of eight jobs, with whatever luck; and people are found for the starts alone."""
    made = 0
    for seed in range(40):
        rnd = Random(seed)
        small = drawn(rnd, 8)
        site = replace(small, horizon=60)
        forward = Forward(site, seed)
        for luck in (0.0, 0.3, 0.9):
            plan = forward.make(luck)
            if plan is None:
                continue
            made += 1
            assert keeps(site, plan)
            assert plan.ends >= least_time(site)
            for again in (
                forward.follow(plan.starts, 1.0),
                staff(site, plan.starts),
                staff_exactly(site, plan.starts, Allowance(1.0), Stoppable(lambda: False)),
            ):
                assert again is None or keeps(site, again)
    assert made >= 9


def leaving() -> Site:
    """Somebody leaves before a job would end that others could do too."""
    either, one = Need(frozenset({0, 1}), 1), Need(frozenset({0}), 1)
    jobs = (Job(4, (either,)), Job(2, (one,)), Job(2, (one,)), Job(1, (Need(frozenset({1}), 1),)))
    return Site(jobs, (), ((), ((2, 3),)), (), (), 8)


def test_whoever_leaves_too_soon_is_not_asked():
    """Whoever stays is wanted elsewhere as well: still the least time is found and proved."""
    site = leaving()
    best = SiteSearch(site).run(seconds=5.0)
    assert best.plan is not None
    assert keeps(site, best.plan)
    assert best.optimal
    assert best.plan.ends == least(site)


def test_nobody_does_both_of_two_jobs_kept_apart():
    """One after another by whoever is asked first, kept apart by the other: in every search."""
    either = Need(frozenset({0, 1}), 1)
    site = Site((Job(2, (either,)), Job(2, (either,))), ((0, 1),), ((), ()), (), (), 12)
    apart = replace(site, apart=((0, 1),))
    assert SiteSearch(site).run(seconds=5.0).plan.who == (((0,),), ((0,),))
    forward = Forward(apart, 1).make(0.0)
    exact = Model(apart, 0, 12, by_person=True)
    starts = exact.run(Allowance(1.0), 1, Stoppable(lambda: False), print).starts
    by_person = Staffed(starts, exact.people(), apart.ends(starts))
    found = staff_exactly(apart, starts, Allowance(1.0), Stoppable(lambda: False))
    for plan in (forward, by_person, found, staff(apart, starts), SiteSearch(apart).run(1.0).plan):
        assert plan is not None
        assert keeps(apart, plan)
        assert plan.who[0] != plan.who[1]


def test_what_nobody_could_do_is_refused():
    """No time, too many people, too much room, a circle: each is an error that says so."""
    two = (Need(frozenset({0}), 2),)
    for job, said in [
        (Job(0, (Need(frozenset({0}), 1),)), "takes no time"),
        (Job(1, two), "more people than are able"),
        (Job(1, (), ((0, 3),)), "more of room 0"),
        (Job(1, shifts=(1,)), "how it moves each balance"),
    ]:
        with pytest.raises(ValueError, match=said):
            Site((job,), (), ((),), (2,), (), 9)
    with pytest.raises(ValueError, match="more of room 0 is lent than there is"):
        Site((), (), (), (1,), (), 9, (((0, 3), (2, 4)),))
    with pytest.raises(ValueError, match="a job lies in two places"):
        Site((Job(1),), (), (), (1,), (), 9, (), (Lying(0, (0,)), Lying(0, (0,))))
    with pytest.raises(ValueError, match="left lying in room 0"):
        Site((Job(1),), (), (), (1,), (), 9, (((0, 3),),), (Lying(0, (0,)),))
    with pytest.raises(Circular):
        SiteSearch(Site((Job(1), Job(1)), ((0, 1), (1, 0)), (), (), (), 9))


def test_what_is_lent_meanwhile_is_waited_for():
    """Of two hoists one or both are away from 2 to 5; the lifts take 3 each."""
    lift = Job(3, rooms=((0, 1),))
    site = Site((lift, lift), (), (), (2,), (), 12, (((2, 5),),))
    best = SiteSearch(site).run(work=1.0)
    assert (best.plan.ends, best.optimal) == (6, True)
    both = replace(site, lent=(((2, 5), (2, 5)),))
    assert both.openings == (((5, 9),),) * 2
    assert SiteSearch(both).run(work=1.0).plan.ends == 8
    one = replace(site, jobs=(lift,), lent=(((2, 5),),))
    assert SiteSearch(one).run(work=1.0).plan.ends == 3


def test_what_lies_somewhere_keeps_its_room_while_nobody_works_at_it():
    """Two things of two jobs each and one bench; whoever can do the second jobs comes late."""
    early, late = (Need(frozenset({each}), 1) for each in (0, 1))
    jobs = (Job(2, (early,)), Job(2, (late,)), Job(2, (early,)), Job(2, (late,)))
    away = ((), ((0, 6),))
    loose = Site(jobs, ((0, 1), (2, 3)), away, (1,), (), 30)
    lying = replace(loose, lying=(Lying(0, (0, 1)), Lying(0, (2, 3))))
    assert SiteSearch(loose).run(work=1.0).plan.ends == 10
    best = SiteSearch(lying).run(work=1.0)
    assert (best.plan.ends, best.optimal) == (12, True)
    assert keeps(lying, best.plan)
    assert not keeps(lying, SiteSearch(loose).run(work=1.0).plan)
    assert SiteSearch(replace(lying, rooms=(2,))).run(work=1.0).plan.ends == 10


def test_nothing_to_do_ends_at_once_and_a_search_may_be_stopped():
    """A site without jobs takes no time; a wish to stop ends the search."""
    assert SiteSearch(Site((), (), (), (), (), 9)).run(seconds=1.0).optimal
    with pytest.raises(Stopped):
        SiteSearch(leaving()).run(seconds=5.0, progress=Stoppable(lambda: True))


def test_the_same_seed_and_work_give_the_same_schedule():
    """Chance is drawn from the seed alone; what was spent of a part is spent of the whole."""
    rnd = Random(3)
    site = replace(drawn(rnd, 9), horizon=60)
    once, again = (SiteSearch(site, 3).run(work=0.05) for _ in range(2))
    assert once == again
    assert once.plan is not None
    allowed = Allowance(1.0)
    part = allowed.share(0.5)
    part.spend(0.5)
    assert part.is_over
    assert (allowed.work, allowed.seconds, allowed.is_over) == (0.5, None, False)
