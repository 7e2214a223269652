"""Short ways to hold a strip, good or spoilt, against the checker."""

from dataclasses import replace

from putback.planning.check import Fault, StripRule, check_strip
from putback.planning.plan import Plan
from tests.planning.hand_made import BARE, buggy, state_of, written


def told(lines, vehicle=None, state=None, goal=BARE, **changes) -> tuple[Fault, ...]:
    """What the checker says to a plan of these lines."""
    vehicle = vehicle or buggy()
    state = state or state_of(vehicle, standing="wheels")
    plan = replace(written(vehicle, lines, goal=goal.id, state=state), **changes)
    return check_strip(vehicle, state, goal, with_supports(plan))


def with_supports(plan: Plan) -> Plan:
    """The same plan, with a support to add wherever the standing changes."""
    steps, at = [], plan.start
    for step in plan.steps:
        changed = step.standing != at
        steps.append(replace(step, add_support="a stand under it") if changed else step)
        at = step.standing
    return replace(plan, steps=tuple(steps))


def only(faults: tuple[Fault, ...], rule: StripRule) -> str:
    """What is told, which must all be of one rule."""
    assert {fault.rule for fault in faults} == {rule}, "\n".join(map(str, faults))
    return "; ".join(fault.words for fault in faults)
