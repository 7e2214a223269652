"""What the bound knows of wholes that no plan would take piece by piece."""

from math import inf

from hypothesis import event, given
from hypothesis import strategies as st

from putback.planning.bounds import bound as bounding
from putback.planning.bounds.bound import lower_bound
from putback.planning.bounds.wholes import Wholes, worth_it
from putback.planning.plan import PlanSettings
from putback.planning.posing.pose import pose, targets_of
from putback.planning.strip import plan_strip
from putback.vehicle.assembly import Assembly
from putback.vehicle.facts import Before, Obstruction
from putback.vehicle.goal import Goal
from putback.vehicle.joint import Joint
from putback.vehicle.minutes import Minutes
from putback.vehicle.part import Part
from putback.vehicle.standing import Standing
from putback.vehicle.vehicle import About, Vehicle
from tests.makers import standing, vehicle
from tests.planning.hand_made import likely, state_of
from tests.planning.test_bound_exhaustive import ROUNDING, SETTINGS, bound_and_best
from tests.strategies.planning import Case, table

USUAL = PlanSettings()


def axle(apart: float, **of_whole) -> Vehicle:
    """Hub and drum, to be taken off together at the rear, or apart in front in so many minutes."""
    whole = Assembly("axle", "axle", ("drum", "hub"), minutes=likely(10.0), **of_whole)
    return vehicle(
        "hub - frame: 1 clip; 20 min; zone front",
        f"hub - drum: 1 clip; {apart} min; zone front",
        Part("hub", "hub", "front"),
        Part("drum", "drum", "rear"),
        whole,
        datum="frame",
    )


def at_least(v: Vehicle, **state) -> float:
    """The bound of all off."""
    return lower_bound(*asked(v, **state), USUAL).minutes


def asked(v: Vehicle, **state):
    """The problem and its targets."""
    goal, now = v.goals["bare"], state_of(v, **state)
    problem = pose(v, now, {"frame"})
    return problem, targets_of(problem, now, goal)


def test_where_a_whole_goes_counts_if_apart_it_is_an_hour_more():
    """Thirty minutes of work, five to the rear, and helpers for two."""
    assert at_least(axle(apart=70.0)) == 30.0 + 5.0
    assert at_least(axle(apart=70.0, crew=2)) == 30.0 + 5.0 + 10.0


def test_no_more_counts_than_it_is_more_work_apart():
    """Twelve minutes on the clip save ten for the axle and fifteen to get at it."""
    assert at_least(axle(apart=12.0, crew=2)) == 30.0 + 2.0


def test_what_goes_as_a_whole_does_not_go_in_pieces_besides():
    """The rod waits for the drum, so for the axle at the rear: there and back, and helpers."""
    v = vehicle(
        "hub - frame: 1 clip; 20 min; zone front",
        "hub - drum: 1 clip; 70 min; zone front",
        "hub - cap: 1 clip; 70 min; zone front",
        "rod - frame: 1 clip; 10 min; zone front",
        "drum blocks rod - frame",
        *(Part(name, name, "front") for name in ("hub", "drum", "rod")),
        Part("cap", "cap", "rear"),
        Assembly("axle", "axle", ("cap", "hub", "drum"), minutes=likely(10.0), crew=2),
        datum="frame",
    )
    assert at_least(v) == 40.0 + 2 * 5.0 + 10.0


def test_a_whole_that_saves_nothing_is_not_worth_it():
    """Ten minutes apart, ten together: it may go either way."""
    assert worth_it(*asked(axle(apart=10.0)), 30.0).nodes == frozenset()


def test_of_several_those_that_save_little_are_left_out():
    """The axle saves an hour, the door nothing: only of the axle is more known."""
    v = axle(apart=70.0)
    door = vehicle(
        "door - frame: 1 clip; 5 min",
        "glass - door: 1 clip; 3 min",
        Assembly("side", "side", ("door", "glass"), minutes=likely(3.0)),
    )
    both = v.with_records(
        parts={**v.parts, **door.parts},
        joints={**v.joints, **door.joints},
        zones={**v.zones, **door.zones},
        assemblies={**v.assemblies, **door.assemblies},
    )
    problem, targets = asked(both)
    found = worth_it(problem, targets, 38.0)
    assert [problem.nodes[index].what for index in found.nodes] == ["assembly:axle"]
    assert found.further == 60.0


def test_a_whole_without_which_nothing_will_do_is_worth_whatever_it_takes():
    """The clip between hub and drum is out of reach before the hub is off: it takes the drum."""
    v = axle(apart=70.0)
    reach = Obstruction("o", ("hub",), "joint:hub-drum")
    found = worth_it(*asked(v.with_records(obstructions=table([reach]))), 30.0)
    assert (len(found.nodes), found.further) == (1, inf)


def test_more_work_is_not_counted_once_for_the_walk_and_once_for_the_whole():
    """Apart it is a minute more where it stands; together it wants a joint cracked up."""
    v = vehicle(
        "hub - frame: 1 clip; 0 min",
        "drum - frame: 1 clip; 0 min; crack in up",
        "hub - drum: 1 clip; 1 min",
        Assembly("axle", "axle", ("hub", "drum"), minutes=likely(0.0)),
        standing("ground", up=4.0),
        standing("up", ground=4.0),
        datum="frame",
    )
    goal = Goal("g", "hub off", "frame", off=("hub",))
    now = state_of(v, standing="ground")
    problem = pose(v, now, {"frame"})
    bound = lower_bound(problem, targets_of(problem, now, goal), USUAL)
    assert bound.minutes == plan_strip(v, now, goal).total_minutes == 1.0


@st.composite
def trains(draw) -> Case:
    """Draw parts in twos and threes, apart in long or short; each where it may be done."""
    zones, tools = st.sampled_from(("front", "rear", "under")), st.sampled_from(("", "bar", "key"))
    stands = ("ground", "up")[: draw(st.sampled_from((0, 2)))]
    parts, joints, wholes, refs = [Part("frame", "frame", None)], [], [], []

    def where():
        return (draw(st.sampled_from(stands)),) if stands and draw(st.booleans()) else ()

    def hold(one, other, minutes):
        identity = f"{one}-{other}"
        takes = Minutes(minutes, minutes, minutes)
        place = {"zone": draw(zones), "tool": draw(tools), "standings": where()}
        joints.append(Joint(identity, identity, (one, other), minutes=takes, **place))
        refs.append(f"joint:{identity}")

    for n in range(draw(st.integers(1, 3))):
        names = [f"{n}{letter}" for letter in "abc"[: draw(st.sampled_from((2, 2, 3)))]]
        crew = st.sampled_from((1, 1, 2))
        parts += [
            Part(name, name, draw(zones), crew=draw(crew), standings=where()) for name in names
        ]
        hold(names[0], "frame", draw(st.sampled_from((1.0, 4.0))))
        for name in names[1:]:
            hold(name, names[0], draw(st.sampled_from((0.0, 3.0, 9.0, 60.0))))
        takes = draw(st.sampled_from((0.0, 2.0, 8.0)))
        wholes.append(
            Assembly(
                f"w{n}",
                f"w{n}",
                tuple(draw(st.permutations(names))),
                Minutes(takes, takes, takes),
                draw(crew),
            )
        )
        refs.append(f"part:{names[-1]}")
    befores = []
    for n in range(draw(st.integers(0, 3))):
        first, then = draw(st.sampled_from(refs)), draw(st.sampled_from(refs))
        if first != then:
            befores.append(Before(f"b{n}", first, then, "so"))
    v = Vehicle(
        About("tiny", "tiny"),
        parts=table(parts),
        joints=table(joints),
        assemblies=table(wholes),
        befores=table(befores),
        standings=table(
            Standing(
                each,
                each,
                change_minutes={
                    o: draw(st.sampled_from((4.0, 15.0))) for o in stands if o != each
                },
            )
            for each in stands
        ),
    )
    off = tuple(draw(st.sets(st.sampled_from([part.id for part in parts[1:]]), min_size=1)))
    start = draw(st.sampled_from(stands)) if stands else None
    return Case(v, state_of(v, standing=start), Goal("g", "all", "frame", off=off))


@given(trains(), st.sampled_from(SETTINGS))
def test_no_order_in_which_something_goes_as_a_whole_costs_less_than_the_bound(case, settings):
    """Held against trying everything, whatever it saves to take things off whole."""
    found = bound_and_best(case, settings)
    if found is None:
        return
    bound, best = found
    assert bound.minutes <= best + ROUNDING
    kept, bounding.worth_it = bounding.worth_it, lambda *_: Wholes(frozenset(), 0.0)
    try:
        problem = pose(case.vehicle, case.state, {"frame"})
        without = lower_bound(problem, targets_of(problem, case.state, case.goal), settings)
    finally:
        bounding.worth_it = kept
    event("wholes tell more" if bound.minutes > without.minutes + ROUNDING else "no more")
    assert bound.minutes >= without.minutes - ROUNDING
