"""Why a step stands where it stands, what it is good for, and why one comes before another.

Chains of facts go through a plan (`why_not_before`, `what_for`) or through everything that can be
done (`why_before`, `why_not_next`): these hold in every plan.
"""

from collections.abc import Iterator
from dataclasses import dataclass

from putback.errors import BadInput, ImpossibleGoal
from putback.logbook.state import State
from putback.planning.always import Always, always_before, freed_now
from putback.planning.ordering.task import set_task
from putback.planning.plan import USUAL, Action, Because, Plan, PlanSettings, Reason, Step
from putback.planning.rebuild.always import always_before_in_rebuild
from putback.planning.rebuild.next_if import freed_now_in_rebuild
from putback.planning.what_of_cost import OtherOrder, other_order
from putback.progress import NoProgress, Progress
from putback.vehicle.goal import Goal
from putback.vehicle.ids import AssemblyId, Ref, part_ref, split_ref
from putback.vehicle.vehicle import Vehicle

_NEEDED_FOR_NOTHING = (Because.HARDER_AFTER, Because.PUT_OFF)
"""Reasons for an order that make the first no use to the second."""


@dataclass(frozen=True, slots=True)
class Link:
    """One step of a plan and the fact that leads from it to the link before."""

    step: Step
    reason: Reason


@dataclass(frozen=True, slots=True)
class Asked:
    """What is to be said of ``first`` coming before ``then``.

    ``always`` is the chain that puts it there in every plan, ``never`` the one that puts it after.
    ``together`` are facts, the fewest, that forbid the other order where no chain does. ``other``
    is what that order would cost where it is free, none where no such order was found.
    """

    first: Ref
    then: Ref
    first_in_plan: bool
    always: Always | None = None
    never: Always | None = None
    together: tuple[str, ...] = ()
    other: OtherOrder | None = None


def why_before(
    vehicle: Vehicle,
    state: State,
    plan: Plan,
    goal: Goal | None,
    first: Ref,
    then: Ref,
    progress: Progress = NoProgress(),
    settings: PlanSettings = USUAL,
) -> Asked:
    """Say by which facts one thing comes before another, or what of cost puts it there.

    Parameters
    ----------
    plan : Plan
        The plan at hand, in which both are.
    goal : Goal, optional
        The goal of the strip; without one the plan is a rebuild's.
    settings : PlanSettings
        What the plan at hand was made with, [minutes].

    Raises
    ------
    BadInput
        If one of them is not in the plan, or both are the same.
    """
    if first == then:
        raise BadInput("a thing does not come before itself", mend="name two")
    places = {**_within_wholes(vehicle, state, plan), **_places(plan)}
    for ref in (first, then):
        if ref not in places:
            raise BadInput(
                f"{state.name_of(ref)} is not in the plan",
                mend="ask about two things that are still to be done",
            )
    in_plan = places[first] < places[then]

    task = set_task(vehicle, state, goal, settings) if goal is not None else None

    def before(one: Ref, other: Ref) -> Always | None:
        if task is None:
            return always_before_in_rebuild(vehicle, state, one, other, progress)
        return always_before(task.problem, task.targets, one, other, progress)

    always = before(first, then)
    if always is not None:
        return Asked(first, then, in_plan, always)
    never = before(then, first)
    if never is not None or not in_plan:
        return Asked(first, then, in_plan, never=never)
    other = other_order(vehicle, state, goal, plan, first, then, settings, progress)
    if isinstance(other, ImpossibleGoal):
        return Asked(first, then, in_plan, together=other.reasons)
    return Asked(first, then, in_plan, other=other)


def why_not_next(
    vehicle: Vehicle,
    state: State,
    goal: Goal | None,
    what: Ref,
    progress: Progress = NoProgress(),
    settings: PlanSettings = USUAL,
) -> tuple[str, ...]:
    """Say what would have to be otherwise for a thing to be the next job, no fewer facts.

    Nothing where it can be, or where it takes more than that facts are otherwise. Without a goal
    it is asked of the rebuild.
    """
    if goal is None:
        return freed_now_in_rebuild(vehicle, state, what, progress)
    task = set_task(vehicle, state, goal, settings)
    return freed_now(task.problem, task.targets, what, progress)


def why_not_before(plan: Plan, what: Ref) -> tuple[Link, ...]:
    """Give the chain of facts that keeps a thing from coming earlier.

    The first link is the latest step that had to come before it, and the fact that says so. From
    there the shortest chain leads on to a step that waits for nothing.
    """
    place = _places(plan)
    at = place.get(what)
    earlier = list(_earlier(plan, place, at)) if at is not None else []
    if not earlier:
        return ()
    latest = max(earlier, key=lambda each: each[0])
    came: dict[int, Link | None] = {latest[0]: None}
    onward: dict[int, int] = {}
    for here in (queue := [latest[0]]):
        further = list(_earlier(plan, place, here))
        if not further:
            break
        for before, reason in further:
            if before not in came:
                came[before], onward[before] = Link(plan.steps[before], reason), here
                queue.append(before)
    links: list[Link] = []
    while (link := came[here]) is not None:
        links.append(link)
        here = onward[here]
    return (Link(plan.steps[latest[0]], latest[1]), *reversed(links))


def what_for(plan: Plan, what: Ref) -> tuple[Link, ...]:
    """Give the shortest chain of facts from a thing to what the goal asks for.

    Each link is a later step that waits for the one before, and the fact that says so; the last
    is asked for by the goal itself, or nothing waits for it.
    """
    start = _places(plan).get(what)
    if start is None:
        return ()
    came: dict[int, Link | None] = {start: None}
    back: dict[int, int] = {}
    for at in (queue := [start]):
        if _is_asked_for(plan.steps[at]):
            break
        for later, reason in _waiting_for(plan, at):
            if later not in came:
                came[later], back[later] = Link(plan.steps[later], reason), at
                queue.append(later)
    links: list[Link] = []
    while (link := came[at]) is not None:
        links.append(link)
        at = back[at]
    return tuple(reversed(links))


def _earlier(plan: Plan, place: dict[Ref, int], at: int) -> Iterator[tuple[int, Reason]]:
    """The steps that had to come before one, and the facts that say so."""
    for reason in plan.steps[at].reasons:
        if place.get(reason.first, at) < at:
            yield place[reason.first], reason


def _places(plan: Plan) -> dict[Ref, int]:
    """Where each thing is done for good: the last step that names it, or takes it off unnamed."""
    places = {
        reason.first: at
        for at, step in enumerate(plan.steps)
        for reason in step.reasons
        if reason.because is Because.GOAL
    }
    return places | {step.what: at for at, step in enumerate(plan.steps)}


def _within_wholes(vehicle: Vehicle, state: State, plan: Plan) -> dict[Ref, int]:
    """Where the parts come off or go on that the plan moves as a whole."""
    found: dict[Ref, int] = {}
    for at, step in enumerate(plan.steps):
        kind, identity = split_ref(step.what)
        whole = vehicle.assemblies.get(AssemblyId(identity)) if kind == "assembly" else None
        for part in whole.parts if whole else ():
            if (part in state.parts_off) == (step.action is Action.PUT_ON):
                found[part_ref(part)] = at
    return found


def _is_asked_for(step: Step) -> bool:
    return any(reason.because is Because.GOAL for reason in step.reasons)


def _waiting_for(plan: Plan, at: int) -> Iterator[tuple[int, Reason]]:
    for later in range(at + 1, len(plan.steps)):
        for reason in plan.steps[later].reasons:
            if reason.first == plan.steps[at].what and reason.because not in _NEEDED_FOR_NOTHING:
                yield later, reason
