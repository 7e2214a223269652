"""Which step is next in one place: the tool in the hand, and helpers who are there."""

from dataclasses import replace

import pytest

from putback.planning.check import check_rebuild
from putback.planning.held.lifting import Lifting
from putback.planning.plan import PlanSettings
from putback.planning.rebuild.cheapest import find_order
from putback.planning.rebuild.hands import Hands, Keep
from putback.planning.rebuild.order import Scheduling, Thumb
from putback.planning.rebuild.pays import PAYS
from putback.planning.rebuild.planner import pose
from putback.progress import NoProgress
from tests.makers import vehicle
from tests.planning.rebuilding import apart, plan_of

SPANNER, BAR = frozenset({"spanner"}), frozenset({"bar"})
STEPS = {0: (True, SPANNER), 1: (False, BAR), 2: (False, SPANNER), 3: (True, BAR)}
"""Each step, in its place: whether it wants helpers, and with what tool."""


def hands(keep: Keep) -> Hands:
    """Hands over these steps."""
    helped, tools = zip(*STEPS.values(), strict=True)
    return Hands(keep, helped, tools, {step: step for step in STEPS})


@pytest.mark.parametrize(
    ("keep", "order"),
    [
        (Keep.TOOL, [0, 3, 1, 2]),
        (Keep.TOOL_ALONE, [2, 0, 3, 1]),
        (Keep.ALONE, [2, 1, 3, 0]),
    ],
)
def test_what_is_kept_in_hand_says_what_is_next(keep, order):
    """A spanner in the hand, and nobody there: helpers who came are kept till all is done."""
    chosen, tool, helped, left = [], "spanner", False, set(STEPS)
    while left:
        step = hands(keep).next(left, tool, helped, lambda _: True)
        helped, (tool,) = STEPS[step][0], STEPS[step][1]
        chosen.append(step)
        left.discard(step)
    assert chosen == order


@pytest.mark.parametrize("keep", Keep)
def test_what_does_not_go_on_is_passed_over(keep):
    """Only the last goes on; of none that does nothing is chosen."""
    assert hands(keep).next(STEPS, "spanner", False, lambda step: step == 3) == 3
    assert hands(keep).next(STEPS, "spanner", True, lambda _: False) is None
    assert hands(keep).next((), "", False, lambda _: True) is None


def two_by_two():
    """Doors that want a helper, and lamps that do not, by turns in the strip turned round."""
    names = [f"{kind}{n}" for n in range(3) for kind in ("door", "lamp")]
    v = vehicle(*(f"{name} - frame: 1 clip" for name in names), datum="frame")
    heavy = {
        table: {
            each.id: replace(each, crew=2 if "door" in each.id else 1)
            for each in getattr(v, table).values()
        }
        for table in ("joints", "parts")
    }
    v = v.with_records(**heavy)
    return v, apart(v, *(each for name in names for each in (f"{name}-frame", name)))


def test_helpers_are_called_once_for_what_can_be_done_together():
    """Three doors go on one after another, and then the lamps, or the lamps first."""
    v, state = two_by_two()
    plan = plan_of(v, state)
    assert check_rebuild(v, state, plan) == ()
    helped = [step.crew > 1 for step in plan.steps]
    calls = sum(now and not before for before, now in zip([False, *helped], helped, strict=False))
    assert calls == 1


def test_the_cheapest_of_all_rules_is_taken():
    """No rule of thumb by itself gives a cheaper order than what is found."""
    v, state = two_by_two()
    network = pose(v, state, PlanSettings(), NoProgress()).network
    best = find_order(network, NoProgress()).setup_minutes
    lifting = Lifting(v)
    alone = [
        Scheduling(network, Thumb(pays, Keep.TOOL), lifting).order().setup_minutes for pays in PAYS
    ]
    assert best <= min(alone)
