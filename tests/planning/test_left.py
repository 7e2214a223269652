"""States of a try that come to the same, and things done now or never, against every order."""

from itertools import pairwise

import pytest
from hypothesis import event, given
from hypothesis import strategies as st

from putback.planning.impossible.attempt import Unknown, attempt, begun_freely
from putback.planning.impossible.facts import facts_of
from putback.planning.impossible.laid import Laid
from putback.planning.posing.pose import pose, targets_of
from putback.vehicle.assembly import Assembly
from putback.vehicle.goal import Goal
from putback.vehicle.standing import TemporarySupport
from tests.makers import standing, vehicle
from tests.planning.brute import TooMany
from tests.planning.brute_facts import in_reach
from tests.planning.hand_made import state_of

NAMES = ("a", "b", "c", "d")
LINKS = (
    "{0} blocks {1}",
    "{0} before {1} - frame: so",
    "{0} never after {1}",
    "{0} never after {1} - frame",
    "{0} - frame never after {1}",
    "{0} or {2} blocks {1} - frame",
)


@st.composite
def choices(draw):
    """Parts that come off alone or in several wholes, in two standings that not all outlast."""
    names = NAMES[: draw(st.integers(3, 4))]
    one = st.sampled_from(names)
    stood = draw(st.booleans())
    where = st.sampled_from(("", "", "; in wheels", "; in stands") if stood else ("",))
    said = [f"{name} - frame: 1 clip{draw(where)}" for name in names]
    said += [f"{a} - {b}: 1 clip{draw(where)}" for a, b in pairwise(names) if draw(st.booleans())]
    for _ in range(draw(st.integers(3, 6))):
        first, then, other = draw(st.permutations(names))[:3]
        said.append(draw(st.sampled_from(LINKS)).format(first, then, other))
    for n in range(draw(st.integers(1, 2))):
        parts = draw(st.lists(one, min_size=2, max_size=3, unique=True))
        said.append(Assembly(f"w{n}", f"w{n}", tuple(parts)))
    if stood:
        on, jacked = draw(one), draw(one)
        said += [
            standing("wheels", draw(one), stands=5.0),
            standing("stands", "frame", wheels=5.0, needs_off=draw(st.sampled_from(((), (on,))))),
        ]
        if draw(st.booleans()):
            first, last = f"joint:{on}-frame", f"joint:{jacked}-frame"
            said.append(TemporarySupport("x", "jack", jacked, first, last))
    of = vehicle(*said, datum="frame")
    asked = draw(st.lists(one, min_size=1, max_size=4, unique=True))
    goal = Goal("g", "off", "frame", off=tuple(asked), on=("frame",))
    return of, state_of(of, standing="wheels" if stood else None), goal


def posed(of, state, goal):
    """The problem, what is asked for, and all facts."""
    problem = pose(of, state, {*goal.on, goal.datum})
    targets = targets_of(problem, state, goal)
    return problem, targets, facts_of(problem, targets)


@pytest.mark.timeout(300)
@given(choices(), st.randoms(use_true_random=False))
def test_there_is_a_plan_where_every_order_tried_finds_one(choice, draw):
    """Whatever is given up, and whatever was begun before that was known."""
    problem, targets, facts = posed(*choice)
    laid = Laid(problem, targets, facts)
    begun = begun_freely(laid)
    for share in (0.1, 0.05, 0.0):
        given_up = {fact for fact in facts if draw.random() < share}
        try:
            reached = in_reach(*choice, set(facts) - given_up)
            tried = attempt(laid, given_up, patience=500)
            assert (tried.bouts is not None) == reached
            again = attempt(laid, given_up, patience=500, begun=begun)
            assert (again.bouts is not None) == reached
            event(f"{tried.looked_at} states, {'reached' if reached else 'out of reach'}")
        except TooMany:
            event("too many positions to try")
        except Unknown:
            event("nobody knows")


def test_choices_that_come_to_the_same_are_not_tried_one_with_the_other():
    """Each of ten wholes waits; one part of it could come off alone, and no order helps x."""
    pairs = range(10)
    of = vehicle(
        *(f"{part} - frame: 1 clip" for part in "xcdef"),
        "c or d blocks x - frame",
        "e before c: so",
        "c never after e",
        "f before d: so",
        "d never after f",
        *(f"a{n} - frame: 1 clip" for n in pairs),
        *(f"b{n} - frame: 1 clip" for n in pairs),
        *(f"a{n} - b{n}: 1 clip" for n in pairs),
        *(f"c or d blocks b{n} - frame" for n in pairs),
        *(Assembly(f"w{n}", f"w{n}", (f"a{n}", f"b{n}")) for n in pairs),
        datum="frame",
    )
    goal = Goal("g", "off", "frame", off=("x", *(f"{p}{n}" for p in "ab" for n in pairs)))
    problem, targets, facts = posed(of, state_of(of), goal)
    tried = attempt(Laid(problem, targets, facts), (), patience=50)
    assert tried.bouts is None  # one by one, and not 1,024 times
