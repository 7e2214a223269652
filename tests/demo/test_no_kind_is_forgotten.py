"""No kind of fact is forgotten: each that a vehicle can be described by, and each sort of reason.

Whatever field is added to a record of a vehicle stands in one of two tables here: it changes an
answer of the demo, or it says why no plan asks for it. `make soak` proves every line: a field is
taken out of all records, and the questions are asked again.
"""

from collections.abc import Iterator
from dataclasses import MISSING, fields, is_dataclass, replace
from functools import reduce
from itertools import zip_longest
from typing import Any

import pytest

from putback.errors import ImpossibleGoal, PutbackError
from putback.logbook.state import State
from putback.planning.ahead import Horizon, look_ahead
from putback.planning.balance_over import balance_over
from putback.planning.check import check_strip
from putback.planning.check.fault import StripRule
from putback.planning.plan import Action
from putback.planning.posing.fact import Fact, Sort, Wording
from putback.planning.rebuild import plan_rebuild
from putback.planning.strip import plan_strip
from putback.planning.ties import ties
from putback.vehicle.codec import _NESTED, TABLES
from putback.vehicle.demo import demo_vehicle
from putback.vehicle.goal import Goal
from putback.vehicle.ids import split_ref
from putback.vehicle.vehicle import Vehicle
from tests.blamed import turned_round
from tests.planning.hand_made import state_of
from tests.planning.logging import did

pytestmark = pytest.mark.slow

DEMO = demo_vehicle()
DATUM = next(iter(DEMO.goals.values())).datum
ON_WHEELS, ON_STANDS = "WHEELS", "STANDS"
LAST = list(DEMO.goals.values())[-1]


# -- the kinds that the other tests of the demo do not try ----------------------------------------


def test_a_goal_that_another_comes_after_is_reached_on_the_way():
    """One job of the earlier goal is left: only for that goal it is done."""
    goal = next(each for each in DEMO.goals.values() if each.after and DEMO.goals[each.after].jobs)
    waited_for = {fact.first for fact in DEMO.befores.values()}
    jobs = DEMO.goals[goal.after].jobs
    job = next(each for each in jobs if f"job:{each}" not in waited_for)
    off = [each for each in DEMO.parts if each not in DEMO.goals[goal.after].on]
    done = [each for each in DEMO.jobs if each != job]
    state = state_of(DEMO, off=off, done=done, standing=ON_WHEELS)

    def does(goal: Goal) -> bool:
        return f"job:{job}" in {step.what for step in plan_strip(DEMO, state, goal).steps}

    assert does(goal)
    assert not does(replace(goal, after=None))


def test_where_no_change_of_standing_leads_nothing_is_planned():
    """The joint is reached on the stands alone, and nobody says how to get onto them."""
    alone = DEMO.with_records(befores={}, obstructions={}, jobs={}, temporary_supports={})
    part = next(
        joint.parts[0]
        for joint in DEMO.joints.values()
        if joint.standings == (ON_STANDS,) and len(DEMO.joints_of[joint.parts[0]]) == 1
    )
    goal = Goal("mini", "one off", DATUM, off=(part,))
    state = state_of(alone, standing=ON_WHEELS)
    assert ON_STANDS in {step.standing for step in plan_strip(alone, state, goal).steps}
    stays = {n: replace(each, change_minutes={}) for n, each in DEMO.standings.items()}
    vehicle = alone.with_records(standings=stays)
    with pytest.raises(ImpossibleGoal) as refused:
        plan_strip(vehicle, replace(state, vehicle=vehicle), goal)
    words = Wording(vehicle).is_so(Fact(Sort.NO_CHANGE, ON_STANDS))
    assert words in refused.value.reasons


def test_what_cannot_be_done_after_another_is_done_before_it():
    """The demo's story has no such fact: one that is only harder, taken for impossible."""
    harder = next(
        each
        for each in DEMO.harder_afters.values()
        if each.job.startswith("joint:") and each.after.startswith("joint:")
    )
    never = replace(harder, factor=None)
    both = [
        part for ref in (harder.job, harder.after) for part in DEMO.joints[split_ref(ref)[1]].parts
    ]
    goal = Goal(
        "mini",
        "both off",
        DATUM,
        off=tuple(p for p in dict.fromkeys(both) if p not in LAST.on and p != DATUM),
    )
    vehicle = DEMO.with_records(harder_afters={harder.id: never})
    state = state_of(vehicle, standing=ON_WHEELS)
    plan = plan_strip(vehicle, state, goal)
    order = [step.what for step in plan.steps if step.action is Action.UNDO]
    assert order.index(harder.job) < order.index(harder.after)

    def rules(vehicle: Vehicle) -> set[StripRule]:
        found = check_strip(vehicle, replace(state, vehicle=vehicle), goal, turned_round(plan))
        return {fault.rule for fault in found}

    assert StripRule.HARDER in rules(vehicle) - rules(DEMO.with_records(harder_afters={}))


# -- every field ----------------------------------------------------------------------------------


def optional_fields() -> Iterator[str]:
    """What may be said of a vehicle's records, as ``Joint.crack_in``.

    Fields that must be given are what a record is: an obstruction without them is none.
    """
    for record in (*(each for table, each in TABLES.items() if table != "about"), *_NESTED):
        for each in fields(record):
            if each.default is not MISSING or each.default_factory is not MISSING:
                yield f"{record.__name__}.{each.name}"


OF_NO_PLAN = {
    "a name, a note or a word that people know it by": [
        "Part.name_us",
        "Part.side",
        "Part.numbers",
        "Part.as_found",
        "Part.correct",
        "Part.note",
        "Run.note",
        "Standing.note",
        "TemporarySupport.note",
        "Job.note",
        "Assembly.note",
        "Goal.note",
        "Piece.note",
        "Support.why",
    ],
    "the drawing": ["Part.outline_side", "Part.outline_plan"],
    "where it lies and how it is accounted for": ["Part.store_as", "Joint.care", "Piece.stays"],
    "the card of the part, the joint or the job": [
        "Joint.access",
        "Joint.through",
        "Run.clips",
        "Run.length_m",
        "Run.bends",
        "Run.remake",
        "Run.keep_as_pattern",
        "Passage.bore_m",
        "RunEnd.at",
        "RunEnd.branch",
        "RunEnd.colours",
        "RunEnd.terminal",
        "Shim.material",
        "Shim.shape",
        "ShimPack.taper",
        "ShimPack.selective",
        "ShimPack.measured_m",
        "Stage.angle_deg",
        "Support.floor",
        "Job.photos",
    ],
    "a rule or a warning that no answer here comes to: other tests hold it against a plan": [
        "Standing.wrong",
        "Job.same_sitting_as",
        "Part.system",
        "Fluid.hazard",
        "TemporarySupport.at_m",
        "TemporarySupport.load_kg",
    ],
}
"""Fields without which every answer is the same, and what they are for."""

COUNTS = [
    "Assembly.cautions",
    "Assembly.crew",
    "Assembly.hoist",
    "Assembly.minutes",
    "Before.phase",
    "Consumable.how",
    "Fixing.head",
    "Fluid.cg_m",
    "Fluid.drained_by",
    "Fluid.leaks_if_off",
    "Fluid.mass_kg",
    "Fluid.never_mix",
    "Fluid.volume_m3",
    "Goal.after",
    "Goal.jobs",
    "Goal.off",
    "Goal.off_rest",
    "Goal.on",
    "HarderAfter.why",
    "Job.cautions",
    "Job.crew",
    "Job.fluid",
    "Job.joints",
    "Job.minutes",
    "Job.openings",
    "Job.parts",
    "Job.phase",
    "Job.standings",
    "Job.target",
    "Job.tool",
    "Job.zone",
    "Joint.by_position",
    "Joint.consumables",
    "Joint.crack_in",
    "Joint.crew",
    "Joint.critical",
    "Joint.final_when",
    "Joint.fixings",
    "Joint.minutes",
    "Joint.note",
    "Joint.shims",
    "Joint.standings",
    "Joint.tightening",
    "Joint.tool",
    "Joint.when_undone",
    "Joint.zone",
    "MarkNeeded.record",
    "Obstruction.why",
    "Opening.closed_with",
    "Opening.ends",
    "Opening.fluid",
    "Opening.joints",
    "Opening.needs_closing",
    "Opening.thread",
    "Part.cautions",
    "Part.cg_m",
    "Part.crew",
    "Part.hoist",
    "Part.kind",
    "Part.marks",
    "Part.mass_kg",
    "Part.measures",
    "Part.minutes",
    "Part.outside_work",
    "Part.photos",
    "Part.quantity",
    "Part.seize_risk",
    "Part.standings",
    "Passage.part",
    "Piece.per_fixing",
    "Piece.single_use",
    "Run.before_drawing",
    "Run.comes_out",
    "Run.ends",
    "Run.fit_order",
    "Run.passages",
    "Run.route",
    "Run.undo_order",
    "Run.why",
    "RunEnd.passes",
    "RunEnd.turns",
    "ShimPack.order",
    "Stage.torque_nm",
    "Standing.change_minutes",
    "Standing.needs_off",
    "Standing.supports",
    "Support.beside",
    "Support.hides",
    "Support.rating_kg",
    "TemporarySupport.rating_kg",
    "Tightening.condition",
    "Tightening.origin",
    "Tightening.retorque_after",
    "Tightening.sequence",
    "Tightening.stages",
    "Tightening.torque_nm",
    "WhenUndone.detail",
    "WhenUndone.does",
    "WhenUndone.prop_first",
]
"""Fields without which an answer is another."""


def test_every_field_changes_an_answer_or_says_why_not():
    """A new one fails here until somebody says which; `make soak` tries it."""
    told = [*COUNTS, *(name for names in OF_NO_PLAN.values() for name in names)]
    assert sorted(told) == sorted(set(optional_fields()))


def without(value: Any, name: str) -> Any:
    """What is left of a value if a field is taken out of every record in it."""
    if isinstance(value, tuple):
        return type(value)(without(each, name) for each in value)
    if not is_dataclass(value) or isinstance(value, type):
        return value
    left = {}
    for each in (each for each in fields(value) if each.init):
        if f"{type(value).__name__}.{each.name}" == name:
            made = each.default_factory
            left[each.name] = each.default if made is MISSING else made()
        else:
            left[each.name] = without(getattr(value, each.name), name)
    return replace(value, **left)


def answers(vehicle: Vehicle, stripped: State) -> Iterator[str]:
    """What is answered of the demo: as found, and when all of it is off; up to what fails."""
    all_off, as_found = replace(stripped, vehicle=vehicle), state_of(vehicle)
    horizon = Horizon(everything=True)
    try:
        again = plan_rebuild(vehicle, all_off)
        yield repr(again)
        yield repr(ties(vehicle, as_found, "part:BS01"))
        strip = plan_strip(vehicle, as_found, vehicle.goals[LAST.id])
        yield repr(strip)
        yield repr(look_ahead(vehicle, as_found, strip, horizon).lines)
        yield repr(balance_over(vehicle, as_found, strip))
        yield repr(look_ahead(vehicle, all_off, again, horizon).lines)
    except PutbackError as error:
        yield str(error)


@pytest.fixture(scope="module")
def stripped() -> State:
    """All is off that the last goal wants off."""
    state = state_of(DEMO)
    return reduce(did, plan_strip(DEMO, state, LAST).steps, state)


@pytest.mark.soak
@pytest.mark.parametrize("name", sorted(optional_fields()))
def test_a_field_counts_just_where_that_is_said(name, stripped):
    """Asked again without it, something is answered otherwise; or nothing is."""
    left = {
        table: {n: without(each, name) for n, each in getattr(DEMO, table).items()}
        for table in TABLES
        if table != "about"
    }
    pairs = zip_longest(answers(DEMO, stripped), answers(DEMO.with_records(**left), stripped))
    assert any(one != other for one, other in pairs) == (name in COUNTS)
