"""What a fresh plan could save on the order that is kept to, without making one each time.

What is done out of order could have been done first in any plan. So what the least order of the
rest saves grows by no more than what that cost more, done now, than the order kept to had
for it. As long as that does not come to much, no fresh plan is made; where anything but such work
was logged, nothing is known, and one is.

This is proven of least orders and of what might have been done first by all facts. Of good orders,
and of what facts put behind something else (it counts the walk twice, and a change of standing
there and back), it is a fair guess.
"""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import takewhile
from math import inf

from putback.logbook.entries.base import Body, Entry, Unread
from putback.logbook.entries.judging import (
    Arrived,
    Decided,
    Ordered,
    PutOff,
    SentOut,
    WayChosen,
)
from putback.logbook.entries.keeping import (
    ContainerMade,
    Counted,
    HandsLaidOn,
    HardwareMoved,
    Moved,
    PutIn,
)
from putback.logbook.entries.working import (
    Found,
    JobDone,
    JointCracked,
    JointUndone,
    MarkMade,
    Measured,
    NoteMade,
    OpeningClosed,
    PartOff,
    PhotoTaken,
    SoundTaken,
    TakenInHand,
)
from putback.planning.plan import Action, Because, Plan, PlanSettings, Step
from putback.planning.posing.problem import Problem
from putback.vehicle.ids import (
    JobId,
    JointId,
    PartId,
    Ref,
    job_ref,
    joint_ref,
    part_ref,
    split_ref,
)
from putback.vehicle.job import Job
from putback.vehicle.joint import Joint
from putback.vehicle.part import Part
from putback.vehicle.vehicle import Vehicle

_NO_WORK = (
    Arrived,
    ContainerMade,
    Counted,
    Decided,
    Found,
    HandsLaidOn,
    HardwareMoved,
    MarkMade,
    Measured,
    Moved,
    NoteMade,
    OpeningClosed,
    Ordered,
    PhotoTaken,
    PutIn,
    PutOff,
    SentOut,
    SoundTaken,
    TakenInHand,
    WayChosen,
)
"""What leaves the strip as it is, but for what is put off."""

_Deed = tuple[Action, Ref]

_NO_ORDER = (Because.GOAL, Because.HARDER_AFTER, Because.PUT_OFF)
"""Reasons that do not forbid to do a thing at once."""


@dataclass(frozen=True, slots=True)
class Prospect:
    """How much a fresh plan could save on the order kept to, at most [minutes].

    That was so with this put off, and under these settings, the day left out.
    """

    minutes: float
    put_off: tuple[Ref, ...]
    settings: PlanSettings

    @classmethod
    def of(cls, minutes: float, put_off: frozenset[Ref], settings: PlanSettings) -> "Prospect":
        """Note what could be saved."""
        return cls(max(minutes, 0.0), tuple(sorted(put_off)), replace(settings, today=None))


def could_save(
    before: Prospect | None,
    problem: Problem,
    last: Plan,
    longer_minutes: float,
    since: Sequence[Entry],
    settings: PlanSettings,
) -> float:
    """Say how much a fresh plan could save after some work was logged, at most [minutes].

    Parameters
    ----------
    before : Prospect, optional
        What was known when the last plan was made.
    problem : Problem
        What is to be done now.
    longer_minutes : float
        How much longer the order kept to takes than the last plan did; less than nothing where
        there is less to do, [minutes].
    since : sequence of Entry
        What was logged since the last plan: all of it, or nothing is known.
    """
    if before is None or not since or before.settings != replace(settings, today=None):
        return inf
    if not problem.put_off.issuperset(before.put_off):
        return inf
    vehicle = problem.vehicle
    done: set[_Deed] = set()
    for entry in since:
        if isinstance(entry.body, _NO_WORK):
            continue
        deed = _done(entry.body)
        if deed is None:
            return inf
        done.add(deed)
    in_turn = list(takewhile(lambda step: (step.action, step.what) in done, last.steps))
    planned = {(step.action, step.what): step for step in last.steps}
    spent = sum(step.minutes + step.setup_minutes for step in in_turn)
    for deed in sorted(done - {(step.action, step.what) for step in in_turn}):
        if deed not in planned:
            return inf
        step = planned[deed]
        spent += _minutes(vehicle, step) + _walk(step, settings)
        if _waits(step, planned, done):
            spent += _walk(step, settings)
        if not _is_allowed(vehicle, step, last):
            spent += 2 * _dearest_change(vehicle)
    return before.minutes + max(longer_minutes + spent, 0.0)


def _done(body: Body | Unread) -> _Deed | None:
    """What somebody did of the strip; ``None`` if it is anything else that was logged."""
    match body:
        case JointCracked():
            return Action.CRACK, joint_ref(body.joint)
        case JointUndone():
            return Action.UNDO, joint_ref(body.joint)
        case PartOff(whole=None):
            return Action.TAKE_OFF, part_ref(body.part)
        case JobDone():
            return Action.DO, job_ref(body.job)
        case _:
            return None


def _waits(step: Step, planned: Mapping[_Deed, Step], done: Collection[_Deed]) -> bool:
    """Whether something that had to come before it was not done, whatever the facts say."""
    left = {what for action, what in planned if (action, what) not in done}
    firsts = (each.first for each in step.reasons if each.because not in _NO_ORDER)
    return any(first in left for first in firsts if first != step.what)


def _is_allowed(vehicle: Vehicle, step: Step, last: Plan) -> bool:
    """Whether facts have it done as the vehicle stood when the last plan was made."""
    record = _record(vehicle, step.what)
    if record is None or (record.standings and last.start not in record.standings):
        return False
    return not isinstance(record, Joint) or record.crack_in in (None, last.start)


def _minutes(vehicle: Vehicle, step: Step) -> float:
    """What a step takes at most when it is done out of turn [minutes]."""
    record = _record(vehicle, step.what)
    minutes = max(step.minutes, record.minutes.likely if record else 0.0)
    for fact in vehicle.harder_afters.values():
        if fact.job == step.what:
            minutes *= max(fact.factor or 1.0, 1.0)
    return minutes


def _walk(step: Step, settings: PlanSettings) -> float:
    """What it costs at most to go to a step, and the tool and helpers for it [minutes]."""
    return (
        settings.zone_minutes * bool(step.zone)
        + settings.tool_minutes * bool(step.tool)
        + settings.helper_minutes * (step.crew > 1)
    )


def _dearest_change(vehicle: Vehicle) -> float:
    """What a change of standing costs at most [minutes]."""
    standings = vehicle.standings.values()
    return max((m for each in standings for m in each.change_minutes.values()), default=0.0)


def _record(vehicle: Vehicle, what: Ref) -> Joint | Part | Job | None:
    kind, identity = split_ref(what)
    match kind:
        case "joint":
            return vehicle.joints.get(JointId(identity))
        case "part":
            return vehicle.parts.get(PartId(identity))
        case _:
            return vehicle.jobs.get(JobId(identity))
