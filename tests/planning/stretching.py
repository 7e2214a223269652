"""Short ways to ask for a stretch, and to hold it against the rules."""

from dataclasses import replace

from putback.planning.check import StripRule, check_strip
from putback.planning.plan import Plan, PlanSettings
from putback.planning.stretch import best_stretch
from putback.planning.strip import plan_strip
from putback.vehicle.job import Job, JobKind
from putback.vehicle.minutes import TIMED, Minutes
from putback.vehicle.part import Part
from tests.makers import vehicle
from tests.planning.hand_made import likely, state_of

USUAL = PlanSettings()


FREE = PlanSettings(zone_minutes=0, tool_minutes=0, helper_minutes=0)


SMALL = 7
"""Steps of a plan of which every choice is tried."""


NOT_ASKED = {StripRule.COST, StripRule.GOAL}


def planned(v, state):
    """A strip to the first goal."""
    return plan_strip(v, state, next(iter(v.goals.values())))


def stretch(v, minutes: float, *, people: int | None = None, state=None, **said):
    """The best stretch of the strip, and the plan it is of."""
    now = state or state_of(v, **said)
    plan = planned(v, now)
    return best_stretch(v, now, plan, minutes, people=people), plan


def sure(v):
    """The same vehicle, its likely minutes without any doubt."""
    tables = {
        name: {
            each.id: replace(each, minutes=likely(each.minutes.likely))
            for each in getattr(v, name).values()
        }
        for name in TIMED.values()
    }
    return v.with_records(**tables)


def done(found) -> list[str]:
    """What is done in it."""
    return [step.what for step in found.stretch.steps] if found.stretch else []


def lines_of(steps) -> list[str]:
    """Steps as `written` reads them."""
    return [f"{step.action} {step.what} @ {step.standing or '-'}" for step in steps]


def as_plan(plan: Plan, steps) -> Plan:
    """A plan of these steps, whatever they cost."""
    work, setup = (sum(getattr(s, n) for s in steps) for n in ("minutes", "setup_minutes"))
    return Plan(plan.goal, tuple(steps), work, setup, start=plan.start)


def left(plan: Plan, steps) -> list:
    """What is left of a plan."""
    gone = {(step.action, step.what) for step in steps}
    return [step for step in plan.steps if (step.action, step.what) not in gone]


LATER = {StripRule.IN_THE_AIR, StripRule.STANDS}
"""What the rest of a plan, planned again in any case, puts right with a prop or another order."""


def faults(v, state, goal, plan: Plan, steps, *, whole: bool) -> list[str]:
    """What the foreman says to these steps alone, or to them and then the rest of the plan."""
    order = [*steps, *left(plan, steps)] if whole else list(steps)
    spared = {StripRule.COST} if whole else NOT_ASKED
    told = check_strip(v, state, goal, as_plan(plan, order))
    return [
        str(each)
        for each in told
        if each.rule not in spared
        and not (each.rule in LATER and each.step is not None and each.step >= len(steps))
    ]


LIDS = vehicle(
    Job("a", "a", JobKind.PREPARE, minutes=Minutes(5, 10, 20)),
    Job("b", "b", JobKind.PREPARE, minutes=Minutes(10, 20, 40)),
    Job("c", "c", JobKind.PREPARE, minutes=Minutes(20, 40, 80)),
    Part("frame", "frame", "here"),
    datum="frame",
)


LIDS = LIDS.with_records(
    goals={each.id: replace(each, jobs=("a", "b", "c")) for each in LIDS.goals.values()}
)
