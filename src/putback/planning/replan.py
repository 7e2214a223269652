"""Plan again after an entry, and leave the order as it was as long as it is still right.

What is done is dropped; what was struck out is next again; what is needed now and was not before
is slotted in where it costs least; the rest keeps its order. It is planned anew only where that
saves clearly (`Steadiness`), and even then not within the sitting in hand. Whatever changed is
told, with the entry or fact behind it.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import takewhile

from putback.logbook.common import Said
from putback.logbook.entries.base import Entry
from putback.logbook.entries.working import JobDone, JointUndone, PartOff, StandingChanged
from putback.logbook.state import State
from putback.planning.again.changes import Change, changes_between, planned_anew
from putback.planning.again.prospect import Prospect, could_save
from putback.planning.again.since import Since
from putback.planning.bounds.bound import Bound, lower_bound
from putback.planning.known import things_of
from putback.planning.ordering.keep import Wish, chosen_like, fitted, left_of, slotted
from putback.planning.ordering.price import CannotBeDone, Priced, price, total_minutes
from putback.planning.ordering.put_off import Staged, as_late_as_holds
from putback.planning.ordering.task import Task, set_task, written
from putback.planning.plan import USUAL, Action, Plan, PlanSettings, Step
from putback.planning.search.arrange import bouts_of, made_good
from putback.planning.search.choose import Contradiction
from putback.planning.search.field import Move, Rules
from putback.planning.strip import plan_strip
from putback.progress import NoProgress, Progress
from putback.vehicle.goal import Goal
from putback.vehicle.ids import Ref, ZoneId, assembly_ref, job_ref, joint_ref, part_ref
from putback.vehicle.vehicle import Vehicle

_ROUNDING = 1e-6


@dataclass(frozen=True, slots=True)
class Steadiness:
    """How much a fresh plan must save of what is left before the order is changed for it.

    Both together: ``share`` of the minutes left [-], and ``minutes`` [min]; conventions of this
    project. ``pinned`` holds on to the order whatever a fresh plan would save.
    """

    share: float = 0.05
    minutes: float = 10.0
    pinned: bool = False

    def least_saving(self, total_minutes: float) -> float:
        """What a fresh plan must save to be followed [minutes]."""
        return max(self.share * total_minutes, self.minutes)


@dataclass(frozen=True, slots=True)
class Replanned:
    """A plan that follows on from the last one, and what is different in it."""

    plan: Plan
    changes: tuple[Change, ...] = ()
    kept: bool = True
    """Whether the order of the last plan was kept to."""
    in_hand: int = 0
    """So many steps at the beginning are the sitting in hand, whose order stays as it was."""
    prospect: Prospect | None = None
    """What a fresh plan could save on this one, so that none need be made after every entry."""


@dataclass(frozen=True, slots=True)
class Order:
    """Moves in an order that works, priced."""

    rules: Rules
    priced: tuple[Priced, ...]

    @property
    def total_minutes(self) -> float:
        """Work and set-up [minutes]."""
        return total_minutes(self.priced)

    @property
    def wishes(self) -> list[Wish]:
        """The same order, to be kept to."""
        return [(each.move, each.standing) for each in self.priced]


_STEADY = Steadiness()


def replan(
    vehicle: Vehicle,
    state: State,
    goal: Goal,
    last: Plan,
    settings: PlanSettings = USUAL,
    progress: Progress = NoProgress(),
    *,
    since: Sequence[Entry] = (),
    struck: Sequence[Entry] = (),
    steadiness: Steadiness = _STEADY,
    prospect: Prospect | None = None,
) -> Replanned:
    """Plan the strip to a goal from the state as it is now, close to the last plan.

    Parameters
    ----------
    vehicle, state, goal, settings, progress
        As for `plan_strip`.
    last : Plan
        The plan to the same goal that was followed until now.
    since : sequence of Entry
        What was logged since the last plan, to name it where something changed.
    struck : sequence of Entry
        What strikes among these name, if it was logged before.
    steadiness : Steadiness
        From what saving on the order is changed.
    prospect : Prospect, optional
        What a fresh plan could save on the last plan, as it was told with that. As long as that
        and all of ``since`` do not come to enough to change the order, no fresh plan is made.

    Raises
    ------
    ImpossibleGoal, NoOrderFound, Stopped
        As `plan_strip` does.
    """
    task = set_task(vehicle, state, goal, settings)
    logged = Since(since, struck, state)
    again = _to_do_again(logged, state, last)
    left = left_of(task.problem, [*again, *last.steps])
    kept = keep_order(task, left, settings, progress)

    def coming(minutes: float) -> Prospect:
        return Prospect.of(minutes, task.problem.put_off, settings)

    if kept is None:
        plan = plan_strip(vehicle, state, goal, settings, progress)
        told = changes_between(last, plan, state, logged)
        return Replanned(plan, told, kept=False, prospect=coming(0.0))
    bound = lower_bound(task.problem, task.targets, settings, progress)
    in_hand = _sitting(kept, state)
    longer = kept.total_minutes - last.total_minutes
    saves = min(
        could_save(prospect, task.problem, last, longer, since, settings),
        kept.total_minutes - bound.minutes,
    )
    least = steadiness.least_saving(kept.total_minutes)
    is_as_before = _is_as_before(kept, left, last)
    if prospect is not None and _is_wanted_again(prospect, task, kept):
        least, is_as_before = _ROUNDING, False
    if saves > least and not steadiness.pinned and not is_as_before:
        fresh = plan_strip(vehicle, state, goal, settings, progress)
        saves = kept.total_minutes - fresh.total_minutes
        better = _behind(in_hand, task, fresh, bound, settings, progress)
        saved = kept.total_minutes - better.total_minutes if better is not None else 0.0
        if better is not None and saved > least:
            anew = planned_anew(saved, kept.total_minutes, logged)
            told = changes_between(last, better, state, logged, anew=anew)
            left_over = coming(better.total_minutes - fresh.total_minutes)
            return Replanned(better, told, kept=False, in_hand=len(in_hand), prospect=left_over)
    plan = written(task, kept.rules, kept.priced, bound)
    told = changes_between(last, plan, state, logged)
    return Replanned(plan, told, in_hand=len(in_hand), prospect=coming(saves))


def _is_wanted_again(before: Prospect, task: Task, kept: Order) -> bool:
    """Whether something that is still to be done was put off, and is so no more.

    It stands last for a reason that is gone: whoever tapped *not now* and took it back finds it
    there still, unless that is mended for any saving.
    """
    back = set(before.put_off) - task.problem.put_off
    nodes, vehicle = kept.rules.nodes, task.problem.vehicle
    left = (nodes[max(move, ~move)].what for move, _ in kept.wishes)
    return any(not back.isdisjoint(things_of(vehicle, what)) for what in left) if back else False


def _to_do_again(logged: Since, state: State, last: Plan) -> list[Step]:
    """The work that was struck out: it went before all that is left, stood as it was done."""
    planned = {step.what for step in last.steps}
    steps: dict[Ref, Step] = {}
    here = state.standing.standing
    for entry in logged.struck_out():
        match entry.body:
            case StandingChanged(standing=standing):
                here = standing
                continue
            case JointUndone(joint=joint):
                step = Step(Action.UNDO, joint_ref(joint), here)
            case PartOff(part=part, whole=whole):
                what = part_ref(part) if whole is None else assembly_ref(whole)
                step = Step(Action.TAKE_OFF, what, here)
            case JobDone(job=job):
                step = Step(Action.DO, job_ref(job), here)
            case _:
                continue
        steps[step.what] = step
    return [step for step in steps.values() if step.what not in planned]


def keep_order(
    task: Task, left: Sequence[Wish], settings: PlanSettings, progress: Progress
) -> Order | None:
    """Keep to what is left of an order, with what it lacks now, without what it needs no more."""
    try:
        chosen = chosen_like(task.problem, task.targets, left, progress=progress)
    except Contradiction:
        return None
    return _in_order(task, chosen.nodes, left, settings)


def _in_order(
    task: Task, nodes: Sequence[int], wishes: Sequence[Wish], settings: PlanSettings
) -> Order | None:
    """Put nodes in the order wished for; ``None`` if that cannot be done."""
    problem = task.problem
    wished = [move for move, _ in wishes]

    def tried(staged: Staged) -> Order | None:
        for each in (_fitted, _eased):
            rules = Rules(problem, staged.stages, late=staged.late, settings=settings)
            order = each(rules, wishes, settings)
            if order is not None:
                moves = _moves_of(order)
                works = task.keeps_stages(moves) or not task.keeps_stages(wished)
                return order if works else None
        return None

    found = as_late_as_holds(problem, [frozenset(nodes)], tried, _moves_of)
    return None if found is None else found[0]


def _moves_of(order: Order) -> list[Move]:
    return [move for move, _ in order.wishes]


def _fitted(rules: Rules, wishes: Sequence[Wish], settings: PlanSettings) -> Order | None:
    """Keep to an order, and bring forward what a step needs."""
    placed = fitted(rules, wishes)
    if placed is None:
        return None
    named = {move for move, _ in wishes}
    fresh = {move for move, _ in placed if move >= 0 and move not in named}
    priced = slotted(rules, placed, fresh, settings)
    return None if priced is None else Order(rules, priced)


def _eased(rules: Rules, wishes: Sequence[Wish], settings: PlanSettings) -> Order | None:
    """Keep to an order as it stands, propped and supported where it would hang or tip.

    Where it cannot stand so, what it lets pass is let pass still, and the rest kept to.
    """
    if {move for move, _ in wishes if move >= 0} != set(rules.steps):
        return None
    bouts = made_good(rules, bouts_of(wishes))
    try:
        return Order(rules, price(rules, bouts, settings))
    except CannotBeDone:
        return _fitted(rules, wishes, settings)


def _is_as_before(kept: Order, left: Sequence[Wish], last: Plan) -> bool:
    """Whether the last plan was followed step by step, and the rest takes what it took."""
    if kept.wishes != list(left):
        return False
    nodes, end = kept.rules.nodes, last.steps[len(last.steps) - len(left) :]
    things = [nodes[max(move, ~move)].what for move, _ in left]
    if things != [step.what for step in end]:
        return False
    minutes = sum(step.minutes for step in end)
    if abs(minutes - sum(each.minutes for each in kept.priced)) > _ROUNDING:
        return False
    setup = sum(step.setup_minutes for step in end)
    return sum(each.setup_minutes for each in kept.priced) < setup + _ROUNDING


def _behind(
    in_hand: Sequence[Wish],
    task: Task,
    fresh: Plan,
    bound: Bound,
    settings: PlanSettings,
    progress: Progress,
) -> Plan | None:
    """Follow a fresh plan after the sitting in hand; ``None`` if it goes another way."""
    frozen = list(in_hand)
    wishes = left_of(task.problem, fresh.steps)
    if wishes[: len(frozen)] == frozen:
        return fresh
    moves = {move for move, _ in wishes}
    if not moves.issuperset(move for move, _ in frozen if move >= 0):
        return None  # it can wait for the end of the sitting
    now = {move for move, _ in frozen}
    behind = [wish for wish in wishes if wish[0] not in now]
    order = keep_order(task, [*frozen, *behind], settings, progress)
    return None if order is None else written(task, order.rules, order.priced, bound)


def _sitting(kept: Order, state: State) -> list[Wish]:
    """What is next in the sitting in hand: as the vehicle stands now, in the zone worked in."""
    zone = _zone_in_hand(state)
    if zone is None:
        return []
    nodes, standing = kept.rules.nodes, state.standing.standing

    def belongs(wish: Wish) -> bool:
        same = nodes[max(wish[0], ~wish[0])].zone in (None, zone)
        return same and standing in (None, wish[1])

    return list(takewhile(belongs, kept.wishes))


def _zone_in_hand(state: State) -> ZoneId | None:
    """The zone in which the latest piece of work was done."""
    latest = max(_worked(state), key=lambda each: each[0].key, default=None)
    return latest[1] if latest else None


def _worked(state: State) -> Iterator[tuple[Said, ZoneId | None]]:
    """Every piece of work that is known, and in which zone it was done."""
    vehicle = state.vehicle
    for joint, seen in state.joints.items():
        if joint in vehicle.joints:
            for said in (seen.cracked, seen.counted, seen.undone):
                if said is not None:
                    yield said, vehicle.zone_of(vehicle.joints[joint])
    for part, each in state.parts.items():
        if part in vehicle.parts and each.off is not None:
            yield each.off, vehicle.parts[part].zone
    for job, finished in state.jobs.items():
        if job in vehicle.jobs and finished.done is not None:
            yield finished.done, vehicle.jobs[job].zone
