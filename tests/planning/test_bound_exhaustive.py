"""The bound against trying everything: many jobs that wait for one another, in many places."""

from hypothesis import event, given
from hypothesis import strategies as st

from putback.planning.bounds.bound import lower_bound
from putback.planning.plan import PlanSettings
from putback.planning.posing.pose import pose, targets_of
from putback.vehicle.facts import Before, HarderAfter, Obstruction
from putback.vehicle.goal import Goal
from putback.vehicle.job import Job, JobKind
from putback.vehicle.joint import Joint
from putback.vehicle.minutes import Minutes
from putback.vehicle.part import Part
from putback.vehicle.standing import Standing, Support
from putback.vehicle.vehicle import About, Vehicle
from tests.planning.brute import Brute, TooMany
from tests.planning.hand_made import state_of
from tests.strategies.planning import Case, cases, table

ROUNDING = 1e-6
ZONES = (None, "front", "rear", "under")
TOOLS = ("", "bar", "key", "pin")
STANDS = ("A", "B", "C")
SETTINGS = (
    PlanSettings(zone_minutes=5.0, tool_minutes=2.0, helper_minutes=10.0),
    PlanSettings(zone_minutes=1.0, tool_minutes=3.0, helper_minutes=0.5),
    PlanSettings(zone_minutes=0.0, tool_minutes=0.0, helper_minutes=0.0),
)


@st.composite
def works(draw) -> Case:
    """Draw jobs and joints in some order, each after some of those drawn before it."""
    stands = STANDS[: draw(st.sampled_from((0, 2, 3)))]

    def some(things, odds):
        if not things or draw(st.integers(1, odds)) > 1:
            return ()
        return tuple(draw(st.lists(st.sampled_from(things), min_size=1, max_size=2, unique=True)))

    refs, jobs, joints, parts = [], [], [], [Part("frame", "frame", None)]
    facts = []
    for n in range(draw(st.integers(4, 8))):
        place = {
            "minutes": Minutes(0, 1, 1),
            "zone": draw(st.sampled_from(ZONES)),
            "tool": draw(st.sampled_from(TOOLS)),
            "crew": draw(st.sampled_from((1, 1, 2))),
            "standings": some(stands, 2),
        }
        if draw(st.integers(0, 2)):
            jobs.append(Job(f"t{n}", f"t{n}", JobKind.DRAIN, **place))
            refs.append(f"job:t{n}")
        else:
            crack_in = (some(stands, 2) or (None,))[0]
            parts.append(Part(f"p{n}", f"p{n}", draw(st.sampled_from(ZONES)), crew=1))
            joints.append(Joint(f"j{n}", f"j{n}", ("frame", f"p{n}"), crack_in=crack_in, **place))
            refs.append(f"joint:j{n}")
        for first in some(refs[:-1], 1):
            facts.append(Before(f"b{len(facts)}", first, refs[-1], "so"))
    off = [part.id for part in parts[1:]]
    ways = [ref for ref in refs if ref.startswith("joint:")]
    blocked = [Obstruction("o", tuple(off), draw(st.sampled_from(ways)))] if len(off) > 2 else []
    harder = [
        HarderAfter(
            f"h{n}",
            draw(st.sampled_from(refs)),
            draw(st.sampled_from(refs)),
            draw(st.sampled_from((0.5, 2.0, None))),
        )
        for n in range(draw(st.integers(0, 2)))
    ]
    minutes = st.sampled_from((0.0, 4.0, 7.0, 30.0))
    bears = draw(st.sampled_from(parts)).id
    vehicle = Vehicle(
        About("tiny", "tiny"),
        parts=table(parts),
        joints=table(joints),
        jobs=table(jobs),
        obstructions=table(o for o in blocked if o.of not in {f"joint:j{p[1:]}" for p in off[:1]}),
        befores=table(facts),
        harder_afters=table(h for h in harder if h.job != h.after),
        standings=table(
            Standing(
                name,
                name,
                supports=(Support("s", "stand", bears, (0, 0)),) if name == "C" else (),
                change_minutes={other: draw(minutes) for other in stands if other != name},
                needs_off=some(off, 4) if name == "B" else (),
            )
            for name in stands
        ),
    )
    state = state_of(vehicle, standing=draw(st.sampled_from((None, *stands))))
    goal = Goal("g", "all", "frame", off=tuple(off), jobs=tuple(job.id for job in jobs))
    return Case(vehicle, state, goal)


def bound_and_best(case: Case, settings: PlanSettings):
    """The bound, and what the best order of all takes; ``None`` where there is none, or more."""
    kept = {*case.goal.on, case.goal.datum}
    brute = Brute(case.vehicle, case.state, settings, kept)
    brute.most_positions = 20_000
    try:
        best = brute.least(brute.reached(case.goal))
    except TooMany:
        event("too many positions to try")
        return None
    if best is None:
        event("impossible")
        return None
    problem = pose(case.vehicle, case.state, kept)
    bound = lower_bound(problem, targets_of(problem, case.state, case.goal), settings)
    close = bound.minutes > best - ROUNDING
    event("what the best order costs" if close else "less than the best order costs")
    return bound, best


@given(works(), st.sampled_from(SETTINGS))
def test_no_order_of_jobs_that_wait_for_one_another_costs_less_than_the_bound(case, settings):
    """Zones, tools, helpers, standings, cracks and alternatives, many of each come back to."""
    found = bound_and_best(case, settings)
    if found is not None:
        bound, best = found
        assert bound.unavoidable_minutes <= bound.minutes <= best + ROUNDING


@given(cases(), st.sampled_from(SETTINGS))
def test_no_order_of_a_tiny_vehicle_costs_less_than_the_bound(case, settings):
    """Every sort of fact, wholes among them, and states in which something is done already."""
    found = bound_and_best(case, settings)
    if found is not None:
        bound, best = found
        assert bound.unavoidable_minutes <= bound.minutes <= best + ROUNDING
