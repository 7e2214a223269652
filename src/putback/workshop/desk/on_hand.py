"""The plan on hand: what was planned last, of which what is done since is taken away.

It never plans, so that a page can show it at once. Where it is behind the logbook, a fresh one is
asked for on the planner's desk, and until that is there the order stays as it was.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from putback.errors import LISTED
from putback.logbook.entries.base import LogbookId
from putback.logbook.state import State
from putback.planning.known import Known
from putback.planning.plan import Action, Plan, Step
from putback.planning.rebuild.reading import read_work
from putback.planning.rebuild.work import Node
from putback.vehicle.goal import Goal
from putback.vehicle.ids import AssemblyId, split_ref
from putback.workshop.desk.port import Desk, Slip, Stage
from putback.workshop.desk.put import REBUILD_PLAN, STRIP, put
from putback.workshop.logbooks.garage import in_its_garage
from putback.workshop.logbooks.workshop import Workshop
from putback.workshop.plans.how_far import Way, goal_in_hand, how_far
from putback.workshop.plans.plans import REBUILD, from_bytes


@dataclass(frozen=True, slots=True)
class OnHand:
    """The plan of the work in hand, as far as it is known at once."""

    way: Way
    goal: Goal | None
    """Where the strip goes; ``None`` in a rebuild, or if no goal is described."""
    plan: Plan | None = None
    """As it was made, what is done since included; ``None`` before the first."""
    steps: tuple[Step, ...] = ()
    """Of the plan, those that are still to be done."""
    is_fresh: bool = False
    """Whether it was made today, at the logbook's present position."""
    pinned: bool = False
    """Whether a person chose this order."""
    fault: str = ""
    """Why nothing can be planned, in words."""
    slip: Slip | None = None
    """The question for a fresh plan, where one is asked for."""

    @property
    def is_coming(self) -> bool:
        """Whether a fresh plan is being made."""
        return self.slip is not None and self.slip.is_open


def plan_on_hand(
    workshop: Workshop, logbook: LogbookId, desk: Desk | None = None, goal: Goal | None = None
) -> OnHand:
    """Give the plan of the work in hand without planning.

    Parameters
    ----------
    desk : Desk, optional
        Where a fresh plan is asked for, if that on hand is not.
    goal : Goal, optional
        Of the strip that is wanted; else the work in hand.
    """
    state = in_its_garage(workshop, logbook)
    way = how_far(state).way if goal is None else Way.STRIP
    if way is Way.REBUILD:
        return rebuild_on_hand(workshop, logbook, desk)
    wanted = goal or goal_in_hand(state)
    if wanted is None:
        return OnHand(way, None, fault="no goal is described yet")
    return _found(workshop, logbook, desk, state, OnHand(way, wanted))


def rebuild_on_hand(workshop: Workshop, logbook: LogbookId, desk: Desk | None = None) -> OnHand:
    """Give the plan of the rebuild, whichever way round the work goes now."""
    state = in_its_garage(workshop, logbook)
    return _found(workshop, logbook, desk, state, OnHand(Way.REBUILD, None))


def _found(
    workshop: Workshop, logbook: LogbookId, desk: Desk | None, state: State, wanted: OnHand
) -> OnHand:
    kept = workshop.store.kept_plan(logbook, wanted.goal.id if wanted.goal else REBUILD)
    position = workshop.store.position(logbook)
    followed = from_bytes(kept.blob) if kept is not None and kept.position <= position else None
    found = wanted
    if kept is not None and followed is not None:
        is_fresh = kept.position == position and followed.day == workshop.clock.now().date()
        plan = followed.plan
        left = plan.steps
        if not is_fresh:
            left = workshop.remembered.give(
                workshop.store,
                logbook,
                f"left to {plan.goal or REBUILD}",
                lambda: still_to_do(state, plan.steps, wanted.way),
                plan,
            )
        found = replace(
            wanted,
            plan=plan,
            steps=left,
            is_fresh=is_fresh,
            pinned=followed.pinned,
        )
    return found if found.is_fresh or desk is None else _asked(desk, workshop, logbook, found)


def still_to_do(state: State, steps: Sequence[Step], way: Way) -> tuple[Step, ...]:
    """Leave away what is done."""
    if way is Way.REBUILD:
        work = read_work(state.vehicle, state)
        left = set(work.nodes)
        back = frozenset(work.back)

        def is_left(step: Step) -> bool:
            kind, identity = split_ref(step.what)
            if kind == "assembly" and step.action is Action.PUT_ON:
                described = state.vehicle.assemblies.get(AssemblyId(identity))
                went = work.wholes.get(AssemblyId(identity), ())
                return not back.isdisjoint((*went, *(described.parts if described else ())))
            return Node(step.action, step.what) in left

        return tuple(filter(is_left, steps))
    known = Known(state.vehicle, state)
    return tuple(step for step in steps if not _is_done(known, step))


def _is_done(known: Known, step: Step) -> bool:
    kind, identity = split_ref(step.what)
    if step.action is Action.CRACK and step.what in known.cracked:
        return True
    if kind == "assembly":
        whole = known.vehicle.assemblies.get(AssemblyId(identity))
        return whole is not None and known.off.issuperset(whole.parts)
    return known.is_cleared(step.what)


def _asked(desk: Desk, workshop: Workshop, logbook: LogbookId, found: OnHand) -> OnHand:
    """Ask for a fresh plan, and take over what became of that."""
    if found.goal is None:
        slip = put(desk, workshop, logbook, REBUILD_PLAN)
    else:
        slip = put(desk, workshop, logbook, STRIP, {"goal": found.goal.id})
    fault = (
        slip.trouble.fault.partition(LISTED)[0].rstrip(":")
        if slip.stage is Stage.FAILED and slip.trouble
        else ""
    )
    return replace(found, slip=slip, fault=fault)
