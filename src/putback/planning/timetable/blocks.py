"""The steps of a plan as blocks of work, and what each of them waits for.

A block is one step, or all steps of a visit, which nobody leaves half done: from where something
goes on until it is fast, or in a strip from where a jack bears it until it is away, with what must
come between; and what is let go there, with its taking off. Between two standings stands a block
of its own, after all that is done in the one and before all that is done in the other: so all jobs
in progress at once suit the standing. What precedes what is said by `precede_strip` and
`precede_rebuild`, which keep what weighs in the order of the plan, so that the balance checked
there holds.
"""

from collections.abc import Collection, Sequence
from dataclasses import dataclass, field
from datetime import date
from math import ceil

from putback.logbook.state import State
from putback.planning.plan import Plan, Step
from putback.planning.planned_days import Arrival, Block, Learned, Person
from putback.planning.precede import Precedence, precede_strip
from putback.planning.precede_rebuild import precede_rebuild
from putback.planning.sittings import has_no_minutes
from putback.planning.timetable.arrivals import LeadTimes, find_arrivals
from putback.planning.timetable.at_bench import BENCH, lie_on_benches, steps_at_bench, worked_on
from putback.planning.timetable.crews import able_for, crew_for
from putback.planning.timetable.in_hand import off_in_one_go
from putback.planning.timetable.learned import kind_of, learn
from putback.planning.timetable.on_jacks import bearings_of, in_one_go, visit_by_visit
from putback.planning.timetable.second_looks import is_second_look, looked_at, work_of_kind
from putback.solvers.weekly import Weekly, longest_together
from putback.vehicle.goal import Goal
from putback.vehicle.ids import (
    AssemblyId,
    JobId,
    JointId,
    PartId,
    Ref,
    StandingId,
    SupportId,
    split_ref,
)
from putback.vehicle.job import JobKind
from putback.vehicle.minutes import NO_TIME, Minutes
from putback.vehicle.vehicle import Vehicle

HOIST, IN_THE_AIR = "hoist", "in the air"
LEFT_FROM = 120
"""What takes longer may be left and taken up again, unless something is up [minutes]; a convention
of this project."""
UP = frozenset({IN_THE_AIR, HOIST})
"""While these are taken something hangs: it is not left where the hours are long enough."""


@dataclass(frozen=True, slots=True)
class Share:
    """Part of a block's minutes that rests on one estimate: its points as shares of likely [-]."""

    of: Ref
    minutes: float
    best: float
    worst: float


@dataclass(frozen=True, slots=True)
class Work:
    """Blocks of a plan, in an order that works, and what their minutes rest on."""

    blocks: tuple[Block, ...]
    shares: tuple[tuple[Share, ...], ...]
    arrivals: tuple[Arrival, ...]
    learned: tuple[Learned, ...]
    no_minutes: int


@dataclass
class _Draft:
    """A block to be."""

    steps: list[int]
    stands: StandingId | None
    minutes: float = 0.0
    before: set[int] = field(default_factory=set)


def blocks_of(
    vehicle: Vehicle,
    state: State,
    plan: Plan,
    goal: Goal | None,
    lead: LeadTimes,
    people: Sequence[Person] = (),
    held: Collection[SupportId] = (),
) -> Work:
    """Cut a plan into blocks; of a rebuild the goal is ``None``.

    What a jack bears in a strip is one block where all of it is done within a session; of jacks
    that are ``held``, wherever the hours of these people are long enough for it.
    """
    steps = plan.steps
    learned = learn(vehicle, state)
    factor = {each.kind: each.used for each in learned}
    share_of = [
        _share(vehicle, step, factor.get(kind_of(vehicle, step.what), 1.0)) for step in steps
    ]
    order = tuple(range(len(steps)))
    in_hand = frozenset[int]()
    if goal is None:
        precedence = precede_rebuild(vehicle, state, steps)
        setups, changes = _setups(vehicle, plan, precedence)
    else:
        precedence = precede_strip(vehicle, state, goal, steps)
        setups, changes = _setups(vehicle, plan, precedence)
        minutes = [share.minutes + setup for share, setup in zip(share_of, setups, strict=True)]
        precedence, in_hand = _in_one_go(vehicle, state, steps, precedence, minutes, people, held)
        order = visit_by_visit(precedence)
    arrivals, waits = find_arrivals(vehicle, state, steps, lead)
    at_bench = steps_at_bench(vehicle, state, steps)
    drafts = _drafts(plan, precedence, order, setups, changes)
    block_of = {n: number for number, draft in enumerate(drafts) for n in draft.steps}
    blocks: list[Block] = []
    shares: list[tuple[Share, ...]] = []
    on_bench: list[frozenset[PartId]] = []
    for draft in drafts:
        these = [steps[n] for n in draft.steps]
        of = tuple(share_of[n] for n in draft.steps)
        getting_there = draft.minutes
        wants = max((step.people for step in these), default=1)
        looks = [n for n in draft.steps if is_second_look(vehicle, steps[n])]
        seen = {block_of[step] for n in looks for step in looked_at(vehicle, steps, n)}
        seen.discard(len(blocks))
        if looks and len(seen) != 1:  # each looks at what the other did
            wants = max(wants, 2)
        if these and all(_is_waiting(vehicle, step) for step in these):
            wants = 0
        first = next(iter(draft.steps), None)
        is_up = first is not None and precedence[first].visit not in {None, *in_hand}
        uses = _uses(vehicle, these, is_up=is_up)
        parts = (worked_on(vehicle, steps[n]) for n in draft.steps if at_bench[n])
        on_bench.append(frozenset[PartId]().union(*parts))
        if on_bench[-1]:
            uses |= {BENCH}
        until = [_put_off(state, step.what) for step in these]
        blocks.append(
            Block(
                tuple(draft.steps),
                draft.stands,
                getting_there + sum(each.minutes for each in of),
                wants,
                wants,
                tuple(sorted(draft.before)),
                tuple(sorted({each for n in draft.steps for each in waits[n]})),
                max(filter(None, until), default=None),
                frozenset(work_of_kind(vehicle, step) for step in these),
                uses,
                is_second_look=bool(looks),
                not_by=min(seen) if len(seen) == 1 else None,
            )
        )
        shares.append(of)
    unknown = sum(map(has_no_minutes, steps))
    lying = lie_on_benches(blocks, on_bench, UP)
    return Work(lying, tuple(shares), arrivals, learned, unknown)


def _in_one_go(
    vehicle: Vehicle,
    state: State,
    steps: Sequence[Step],
    precedence: Sequence[Precedence],
    minutes: Sequence[float],
    people: Sequence[Person],
    held: Collection[SupportId],
) -> tuple[tuple[Precedence, ...], frozenset[int]]:
    """Let what a jack bears be one visit, where a session or, of what is held, a day will do.

    What is in the hand as well, within a session; the first steps of those visits are given, too.
    """

    def fits(these: Collection[int], jack: SupportId) -> bool:
        kinds = frozenset(kind_of(vehicle, steps[n].what) for n in these)
        wants = max(steps[n].people for n in these)
        longest = _longest(kinds, wants, people) if jack in held else LEFT_FROM
        return ceil(sum(minutes[n] for n in these) - 1e-6) <= longest

    def is_short(pair: Collection[int]) -> bool:
        kinds = frozenset(kind_of(vehicle, steps[n].what) for n in pair)
        days = {_put_off(state, steps[n].what) for n in pair}
        one_can = not people or bool(able_for(kinds, people))
        return one_can and len(days) == 1 and sum(minutes[n] for n in pair) <= LEFT_FROM

    bearings = bearings_of(vehicle, steps)
    borne = in_one_go(bearings, precedence, fits)
    return off_in_one_go(vehicle, steps, borne, bearings, is_short)


def _longest(kinds: frozenset[str], wants: int, people: Sequence[Person]) -> float:
    """How long work of these kinds may take in one go: a session at least [minutes]."""
    able = able_for(kinds, people)
    hours = [Weekly(each.hours) for each in people]
    return max(LEFT_FROM, longest_together(hours, able, crew_for(able, wants, people)))


def _setups(
    vehicle: Vehicle, plan: Plan, precedence: Sequence[Precedence]
) -> tuple[list[float], list[float | None]]:
    """What getting there takes at each step, and of each stint its change of standing [minutes].

    ``None`` where the first stint needs none.
    """
    setups = [step.setup_minutes for step in plan.steps]
    changes: list[float | None] = []
    standing = plan.start
    for n, (step, each) in enumerate(zip(plan.steps, precedence, strict=True)):
        if each.stint == len(changes):
            if step.standing != standing or changes:
                minutes = _change(vehicle, standing, step.standing, setups[n])
                setups[n] -= minutes
                changes.append(minutes)
            else:
                changes.append(None)
            standing = step.standing
    return setups, changes


def _drafts(
    plan: Plan,
    precedence: Sequence[Precedence],
    order: Sequence[int],
    setups: Sequence[float],
    changes: Sequence[float | None],
) -> list[_Draft]:
    """Steps gathered to blocks, a change of standing before each stint, and what comes first."""
    drafts: list[_Draft] = []
    block_of: dict[int, int] = {}
    standing, stint, visit = plan.start, -1, None
    stint_from = change = -1
    for n in order:
        step, each = plan.steps[n], precedence[n]
        if each.stint != stint:
            earlier = set(range(max(stint_from, 0), len(drafts))) if stint_from >= 0 else set()
            minutes = changes[each.stint]
            if minutes is not None:
                drafts.append(_Draft([], step.standing, minutes, earlier))
                change = len(drafts) - 1
            stint, stint_from, visit = each.stint, len(drafts), None
            standing = step.standing
        if each.visit is None or each.visit != visit:
            drafts.append(_Draft([], standing))
        visit = each.visit
        draft, at = drafts[-1], len(drafts) - 1
        draft.steps.append(n)
        draft.minutes += setups[n]
        block_of[n] = at
        if change >= 0:
            draft.before.add(change)
        for clause in each.needs:  # of several that would do, the plan's own first
            first = min(clause, default=n)
            if block_of.get(first, at) != at:
                draft.before.add(block_of[first])
    return drafts


def _change(
    vehicle: Vehicle, here: StandingId | None, to: StandingId | None, setup: float
) -> float:
    """What a change of standing takes of the minutes of getting there [minutes]."""
    if here is None or to is None or here not in vehicle.standings:
        return 0.0
    return min(vehicle.standings[here].change_minutes.get(to, setup), setup)


def _share(vehicle: Vehicle, step: Step, factor: float) -> Share:
    """The minutes of a step, and the estimate that they rest on."""
    kind, identity = split_ref(step.what)
    estimate = NO_TIME
    match kind:
        case "joint" if JointId(identity) in vehicle.joints:
            estimate = vehicle.joints[JointId(identity)].minutes
        case "part" if PartId(identity) in vehicle.parts:
            estimate = vehicle.parts[PartId(identity)].minutes
        case "assembly" if AssemblyId(identity) in vehicle.assemblies:
            estimate = vehicle.assemblies[AssemblyId(identity)].minutes
        case "job" if JobId(identity) in vehicle.jobs:
            estimate = vehicle.jobs[JobId(identity)].minutes
        case _:
            pass
    best, worst = _spread(estimate)
    return Share(step.what, step.minutes * factor, best, worst)


def _spread(estimate: Minutes) -> tuple[float, float]:
    """Best and worst as shares of likely [-]."""
    if estimate.likely <= 0:
        return 1.0, 1.0
    return estimate.best / estimate.likely, estimate.worst / estimate.likely


def _is_waiting(vehicle: Vehicle, step: Step) -> bool:
    """Whether nobody works: it cures."""
    kind, identity = split_ref(step.what)
    job = vehicle.jobs.get(JobId(identity)) if kind == "job" else None
    return job is not None and job.kind is JobKind.CURE


def _put_off(state: State, what: Ref) -> date | None:
    """Until when a thing is put off, if a day was named."""
    for subject, each in state.put_off.items():
        if str(subject) == str(what) and each.until:
            return date.fromisoformat(each.until)
    return None


def _uses(vehicle: Vehicle, steps: Sequence[Step], *, is_up: bool) -> frozenset[str]:
    """What of which there is little a block takes; ``is_up`` is what may hang on a jack."""
    uses = {IN_THE_AIR} if is_up else set()
    for step in steps:
        kind, identity = split_ref(step.what)
        part = vehicle.parts.get(PartId(identity))
        whole = vehicle.assemblies.get(AssemblyId(identity))
        lifted = (kind == "part" and part and part.hoist) or (
            kind == "assembly" and whole and whole.hoist
        )
        if lifted:
            uses.add(HOIST)
    return frozenset(uses)
