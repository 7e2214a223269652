"""What standings and work take together at least: neither walk nor way is had for nothing."""

from hypothesis import event, given
from hypothesis import strategies as st

from putback.planning.bounds import bound as bounding
from putback.planning.bounds import standing_walk
from putback.planning.bounds.bound import lower_bound
from putback.planning.bounds.landmarks import landmarks
from putback.planning.bounds.standing_walk import Walks, least_walks
from putback.planning.bounds.walk_work import with_work
from putback.planning.plan import PlanSettings
from putback.planning.posing.pose import pose, targets_of
from putback.vehicle.facts import Before, Obstruction
from putback.vehicle.goal import Goal
from putback.vehicle.joint import Joint
from putback.vehicle.minutes import Minutes
from putback.vehicle.part import Part
from putback.vehicle.standing import Standing
from putback.vehicle.vehicle import About, Vehicle
from tests.makers import standing, vehicle
from tests.planning.hand_made import state_of
from tests.planning.test_bound_exhaustive import ROUNDING, bound_and_best
from tests.strategies.planning import Case, table

WALKS_ONLY = PlanSettings(zone_minutes=0.0, tool_minutes=0.0, helper_minutes=0.0)
STANDS = ("ground", "up", "ramps")


def quick_or_near(slow: float) -> Vehicle:
    """The pump is freed by the lid, quick but up, or by the door, slow but on the ground."""
    return vehicle(
        "lid - frame: 1 clip; 4 min; in up",
        f"door - frame: 1 clip; {slow} min; in ground",
        "pump - frame: 1 clip; 10 min; in ground",
        "lid or door blocks pump - frame",
        standing("ground", up=20.0),
        standing("up", ground=20.0),
        datum="frame",
    )


def at_least(v: Vehicle, **goal) -> float:
    """The bound, walks alone counted."""
    wanted = Goal("g", "pump off", "frame", off=("pump",), **goal)
    now = state_of(v, standing="ground")
    problem = pose(v, now, {"frame"})
    return lower_bound(problem, targets_of(problem, now, wanted), WALKS_ONLY).minutes


def test_the_dearer_work_counts_where_it_saves_more_of_a_walk():
    """Thirty minutes for the door are less than four for the lid and forty up and down."""
    assert at_least(quick_or_near(slow=30)) == 40.0


def test_the_walk_counts_where_it_saves_more_work():
    """Sixty minutes for the door are more than that."""
    assert at_least(quick_or_near(slow=60)) == 54.0


def test_what_is_asked_of_work_alone_or_walks_alone_would_be_less(monkeypatch):
    """The lid's four minutes, and no walk: each is the least, and no plan has both."""
    monkeypatch.setattr(bounding, "with_work", lambda walks, least, *_: least)
    assert at_least(quick_or_near(slow=30)) == 14.0


def test_a_standing_that_is_entered_after_what_it_needs_off_is_come_to_only_then():
    """The lid is undone up, where one cannot stand before the door is off."""
    v = quick_or_near(slow=60)
    up = Standing("up", "up", change_minutes={"ground": 20.0}, needs_off=("door",))
    assert at_least(v.with_records(standings={**v.standings, "up": up})) == 70.0


def test_of_walks_longer_than_were_counted_one_by_one_nothing_more_is_said(monkeypatch):
    """Their entry speaks of more changes than any walk that was looked into."""
    monkeypatch.setattr(standing_walk, "_MOST_TRIED", 1)
    v = quick_or_near(slow=60)
    now = state_of(v, standing="ground")
    problem = pose(v, now, {"frame"})
    targets = targets_of(problem, now, Goal("g", "pump off", "frame", off=("pump",)))
    change = {(a, b): 20.0 * (a != b) for a in v.standings for b in v.standings}
    walks = Walks(landmarks(problem, targets), targets, change)
    least = least_walks(walks)
    assert least == [0.0, 20.0]
    assert with_work(walks, least, 14.0) == [56.0, 20.0]


@st.composite
def choices(draw) -> Case:
    """Draw parts of which one of two frees the next, each in its own standing, quick or slow."""
    count = draw(st.integers(3, 6))
    names = [f"p{n}" for n in range(count)]
    quick_or_slow = st.sampled_from((1.0, 8.0, 25.0, 60.0))
    where = st.sampled_from((("ground",), ("up",), ("ramps",), ("up", "ramps"), ()))
    joints, obstructions, befores = [], [], []
    for n, name in enumerate(names):
        time = draw(quick_or_slow)
        minutes = Minutes(time, time, time)
        joints.append(
            Joint(f"j{n}", f"j{n}", ("frame", name), standings=draw(where), minutes=minutes)
        )
        if n > 1:
            ways = draw(st.lists(st.sampled_from(names[:n]), min_size=1, max_size=2, unique=True))
            obstructions.append(Obstruction(f"o{n}", tuple(ways), f"joint:j{n}"))
        if n and not draw(st.integers(0, 3)):
            first = draw(st.integers(0, n - 1))
            befores.append(Before(f"b{n}", f"joint:j{first}", f"joint:j{n}", "so"))
    change = st.sampled_from((5.0, 12.0, 30.0))
    needs_off = draw(st.sampled_from(((), (), (names[0],))))
    goes = draw(st.sampled_from((None, *STANDS)))
    stands = [
        Standing(
            each,
            each,
            change_minutes={other: draw(change) for other in STANDS if other != each},
            needs_off=needs_off if each == "ramps" else (),
        )
        for each in STANDS
    ]
    v = Vehicle(
        About("tiny", "tiny"),
        parts=table([Part("frame", "frame", None), *(Part(n, n, None) for n in names)]),
        joints=table(joints),
        obstructions=table(obstructions),
        befores=table(befores),
        standings=table(stands),
    )
    off = tuple(draw(st.sets(st.sampled_from(names[1:]), min_size=1, max_size=2)))
    return Case(v, state_of(v, standing=goes), Goal("g", "off", "frame", off=off))


@given(choices())
def test_no_plan_takes_less_than_the_bound_whichever_way_it_goes(case):
    """Held against trying everything; mostly the bound is what the best plan takes."""
    found = bound_and_best(case, WALKS_ONLY)
    if found is not None:
        bound, best = found
        assert bound.minutes <= best + ROUNDING
        event("is the best" if bound.minutes >= best - ROUNDING else "is less")


@given(choices())
def test_it_is_never_less_than_work_and_walks_by_themselves(case):
    """What a walk asks for only adds."""
    problem = pose(case.vehicle, case.state, {"frame"})
    targets = targets_of(problem, case.state, case.goal)
    if bound_and_best(case, WALKS_ONLY) is None:
        return
    together = lower_bound(problem, targets, WALKS_ONLY).minutes
    kept, bounding.with_work = bounding.with_work, lambda walks, least, *_: least
    try:
        apart = lower_bound(problem, targets, WALKS_ONLY).minutes
    finally:
        bounding.with_work = kept
    event("more" if together > apart + ROUNDING else "the same")
    assert together >= apart - ROUNDING
