"""The plan that is followed: kept from one asking to the next, so that the order stays.

It is kept as a cache beside the logbook, never as the truth: where it is not there, torn, of
another version or from a logbook that went back in time, the strip is planned afresh. One that a
person chose is *pinned*: it is left only when the rules do not allow it any more.
"""

import zlib
from collections.abc import Sequence
from contextlib import suppress
from dataclasses import dataclass, replace
from datetime import date
from functools import cache, lru_cache
from hashlib import sha256

from pydantic import TypeAdapter, ValidationError

from putback.errors import BadInput, StoreError
from putback.logbook.entries.base import Entry, LogbookId
from putback.logbook.state import State
from putback.planning.again.prospect import Prospect
from putback.planning.alternatives import Alternative, plan_alternatives
from putback.planning.alternatives_rebuild import rebuild_alternatives
from putback.planning.not_now import Cost, what_it_costs, what_it_costs_in_rebuild
from putback.planning.ordering.put_off import in_force
from putback.planning.plan import USUAL, Plan, PlanSettings
from putback.planning.rebuild import plan_rebuild
from putback.planning.replan import Replanned, Steadiness, replan
from putback.planning.replan_rebuild import replan_rebuild
from putback.planning.strip import plan_strip
from putback.progress import NoProgress, Progress
from putback.vehicle.goal import Goal
from putback.vehicle.ids import GoalId, Ref
from putback.workshop.logbooks.garage import in_its_garage
from putback.workshop.logbooks.look import read_entry
from putback.workshop.logbooks.ports import KeptPlan
from putback.workshop.logbooks.workshop import Workshop
from putback.workshop.plans.how_far import goal_in_hand
from putback.workshop.saying.names import find

_KEPT_PLANS = 32
"""Plans that are kept read in this process, so that none is read twice [plans]."""

REBUILD = GoalId("")
"""Stands where a goal does for the plan of the rebuild, which has none."""


@dataclass(frozen=True, slots=True)
class Followed:
    """A plan that somebody follows; ``pinned`` if they chose it themselves.

    ``prospect`` is what a fresh plan could save on it, as far as that was found out. ``day`` is
    the day of planning; ``None`` if nobody noted it.
    """

    plan: Plan
    pinned: bool = False
    prospect: Prospect | None = None
    day: date | None = None


@dataclass(frozen=True, slots=True)
class Continued:
    """The plan from here on, and what changed since it was last asked for."""

    plan: Replanned
    pinned: bool = False
    is_first: bool = False
    """No plan was kept before: there is nothing that could have changed."""


def goal_called(state: State, named: str | None) -> Goal:
    """Find a goal by its name; the one in hand where none is named.

    Raises
    ------
    BadInput
        If no goal is described.
    NotFound
        If none is called so.
    """
    if named is not None:
        return state.vehicle.goals[GoalId(find(state, "goal", named))]
    wanted = goal_in_hand(state)
    if wanted is None:
        raise BadInput(
            "no goal is described yet",
            mend="describe one, from the part that all else comes off: "
            "putback describe goals bare name='bare frame' datum=frame off_rest=true",
        )
    return wanted


def settings_of_today(workshop: Workshop, settings: PlanSettings = USUAL) -> PlanSettings:
    """Plan on the day that the workshop's clock shows, unless the settings say one."""
    return replace(settings, today=settings.today or workshop.clock.now().date())


def follow(
    workshop: Workshop,
    logbook: LogbookId,
    goal: Goal,
    *,
    settings: PlanSettings = USUAL,
    progress: Progress = NoProgress(),
    afresh: bool = False,
    tells: bool = True,
) -> Continued:
    """Plan the strip to a goal, close to the plan that was last followed to it, and keep it.

    Parameters
    ----------
    afresh : bool
        Forget the last plan, a pinned one as well.
    tells : bool
        Whether whoever asks tells what changed. If not, a plan that is kept stays as it is, so
        that the next one can tell.

    Raises
    ------
    ImpossibleGoal, NoOrderFound, Stopped
        As `plan_strip` does; the last plan stays kept.
    """
    position = workshop.store.position(logbook)
    state = in_its_garage(workshop, logbook)
    wanted = settings_of_today(workshop, settings)
    last = None if afresh else _last(workshop, logbook, goal)
    if last is None or last[0] > position:
        plan = plan_strip(state.vehicle, state, goal, wanted, progress)
        none = Prospect.of(0.0, in_force(state, wanted.today), wanted)
        found = Continued(Replanned(plan, prospect=none), is_first=True)
    else:
        since, before = _since(workshop, logbook, last[0]), last[1]
        steadiness = Steadiness(pinned=before.pinned)
        again = replan(
            state.vehicle,
            state,
            goal,
            before.plan,
            wanted,
            progress,
            since=since,
            struck=_struck(workshop, logbook, since),
            steadiness=steadiness,
            prospect=before.prospect,
        )
        found = Continued(again, pinned=before.pinned and again.kept)
    if tells or found.is_first:
        followed = Followed(found.plan.plan, found.pinned, found.plan.prospect, wanted.today)
        keep(workshop, logbook, followed, position)
    return found


def followed(
    workshop: Workshop, logbook: LogbookId, goal: Goal, progress: Progress = NoProgress()
) -> Plan:
    """Give the plan that is followed to a goal, for what only asks about it.

    Raises as `follow` does.
    """
    return follow(workshop, logbook, goal, progress=progress, tells=False).plan.plan


def keep(workshop: Workshop, logbook: LogbookId, plan: Followed, position: int) -> None:
    """Keep a plan as the one that is followed; a full disk is told to whoever logs, not here."""
    goal = plan.plan.goal or REBUILD
    with suppress(StoreError):
        workshop.store.keep_plan(logbook, goal, KeptPlan(position, to_bytes(plan)))


def pin(workshop: Workshop, logbook: LogbookId, plan: Plan) -> None:
    """Pin a plan: the order that a person chose is the one followed from now on."""
    followed = Followed(plan, pinned=True, day=workshop.clock.now().date())
    keep(workshop, logbook, followed, workshop.store.position(logbook))


def follow_rebuild(
    workshop: Workshop,
    logbook: LogbookId,
    *,
    progress: Progress = NoProgress(),
    afresh: bool = False,
    tells: bool = True,
) -> Continued:
    """Plan how everything goes back, close to the plan that was last followed, and keep it.

    ``afresh`` and ``tells`` are as for `follow`.

    Raises
    ------
    ImpossibleGoal, Stopped
        As `plan_rebuild` does; the last plan stays kept.
    """
    position = workshop.store.position(logbook)
    state, settings = in_its_garage(workshop, logbook), settings_of_today(workshop)
    last = None if afresh else _last(workshop, logbook, None)
    if last is None or last[0] > position:
        plan = plan_rebuild(state.vehicle, state, settings, progress)
        found = Continued(Replanned(plan), is_first=True)
    else:
        since, before = _since(workshop, logbook, last[0]), last[1]
        again = replan_rebuild(
            state.vehicle,
            state,
            before.plan,
            settings,
            progress,
            since=since,
            struck=_struck(workshop, logbook, since),
            steadiness=Steadiness(pinned=before.pinned),
        )
        found = Continued(again, pinned=before.pinned and again.kept)
    if tells or found.is_first:
        followed = Followed(found.plan.plan, found.pinned, day=settings.today)
        keep(workshop, logbook, followed, position)
    return found


@cache
def _adapter() -> TypeAdapter[Followed]:
    return TypeAdapter(Followed)


def to_bytes(plan: Followed) -> bytes:
    """Write a plan down compactly."""
    return zlib.compress(_adapter().dump_json(plan, exclude_defaults=True))


@lru_cache(maxsize=_KEPT_PLANS)
def from_bytes(blob: bytes) -> Followed | None:
    """Read a plan; ``None`` if it is of another version, or spoilt."""
    try:
        return _adapter().validate_json(zlib.decompress(blob))
    except (zlib.error, ValidationError):
        return None


@lru_cache(maxsize=_KEPT_PLANS)
def digest_of(blob: bytes) -> str:
    """Digest of the plan in what was kept: its steps, and what it leaves waiting.

    What else is kept, and how good the plan is known to be, may be found out later; whoever asked
    about the plan need not ask again for that.
    """
    kept = from_bytes(blob)
    if kept is None:
        return ""
    plan = replace(kept.plan, bound_minutes=None, unavoidable_minutes=None)
    return sha256(_adapter().dump_json(Followed(plan))).hexdigest()[:16]


def _last(
    workshop: Workshop, logbook: LogbookId, goal: Goal | None
) -> tuple[int, Followed] | None:
    """The plan that was last followed to a goal, or in the rebuild, and where it was made."""
    kept = workshop.store.kept_plan(logbook, goal.id if goal else REBUILD)
    last = from_bytes(kept.blob) if kept is not None else None
    if kept is None or last is None or last.plan.goal != (goal.id if goal else None):
        return None
    return kept.position, last


def _since(workshop: Workshop, logbook: LogbookId, position: int) -> Sequence[Entry]:
    """What was logged since, in the order of arrival."""
    return [read_entry(stored) for stored in workshop.since(logbook, position)]


def _struck(workshop: Workshop, logbook: LogbookId, since: Sequence[Entry]) -> Sequence[Entry]:
    """What strikes among these name, and what strikes among that name in turn."""
    if not any(entry.body.strikes() for entry in since):
        return ()
    return [read_entry(stored) for stored in workshop.since(logbook)]


def alternatives(
    workshop: Workshop, logbook: LogbookId, goal: Goal, progress: Progress = NoProgress()
) -> tuple[Alternative, ...]:
    """Look for plans that differ from the one followed in what a person cares about."""
    usual = followed(workshop, logbook, goal, progress)
    state, settings = in_its_garage(workshop, logbook), settings_of_today(workshop)
    return plan_alternatives(state.vehicle, state, goal, settings, progress, usual=usual)


def alternatives_of_rebuild(
    workshop: Workshop, logbook: LogbookId, progress: Progress = NoProgress()
) -> tuple[Alternative, ...]:
    """Look for orders of the rebuild that differ from the one followed as `alternatives` do."""
    usual = follow_rebuild(workshop, logbook, progress=progress, tells=False).plan.plan
    state, settings = in_its_garage(workshop, logbook), settings_of_today(workshop)
    return rebuild_alternatives(state.vehicle, state, settings, progress, usual=usual)


def cost_of_putting_off(
    workshop: Workshop,
    logbook: LogbookId,
    goal: Goal | None,
    what: Ref,
    progress: Progress = NoProgress(),
) -> Cost:
    """Say what it costs to put a thing off, against the plan that is followed.

    Without a goal that plan is the rebuild's.
    """
    state, settings = in_its_garage(workshop, logbook), settings_of_today(workshop)
    if goal is None:
        return what_it_costs_in_rebuild(state.vehicle, state, what, settings, progress)
    usual = followed(workshop, logbook, goal, progress)
    return what_it_costs(state.vehicle, state, goal, what, settings, progress, usual=usual)
