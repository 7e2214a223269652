"""Planning the rebuild again after an entry: the order stays, and what changed is told.

Whoever does what is planned, in that order, finds the rest as it was: what followed in a plan that
keeps to the rules still does. After anything else it is planned from the start, and what is
different is told with the entry or fact behind it.
"""

from collections.abc import Iterator, Sequence
from dataclasses import replace

from putback.logbook.entries.base import Entry
from putback.logbook.entries.bookkeeping import TimeSpent
from putback.logbook.entries.judging import WayChosen
from putback.logbook.entries.keeping import ContainerMade, HandsLaidOn, Moved, PutIn
from putback.logbook.entries.rebuilding import Bled, Checked, Filled, JointMade, PartOn, Prepared
from putback.logbook.entries.working import JobDone, NoteMade, PhotoTaken, StandingChanged
from putback.logbook.state import State
from putback.planning.again.changes import planned_anew
from putback.planning.again.changes_back import changes_back
from putback.planning.again.since import Since
from putback.planning.plan import USUAL, Plan, PlanSettings, Stage, Step
from putback.planning.rebuild import plan_rebuild
from putback.planning.rebuild.never_run import NOTE
from putback.planning.rebuild.stages import by_first_run
from putback.planning.replan import Replanned, Steadiness
from putback.progress import NoProgress, Progress
from putback.vehicle.ids import job_ref
from putback.vehicle.job import JobKind
from putback.vehicle.vehicle import Vehicle

_STEADY = Steadiness()
_WORK = (
    Bled,
    Checked,
    ContainerMade,
    Filled,
    HandsLaidOn,
    JobDone,
    JointMade,
    Moved,
    NoteMade,
    PartOn,
    PhotoTaken,
    Prepared,
    PutIn,
    StandingChanged,
    TimeSpent,
    WayChosen,
)
"""What leaves the order of the rest as it is."""
_BY_RUN = (Stage.RUN, Stage.AFTER)
"""Stages that come of a run, wherever a step would belong without one."""


def replan_rebuild(
    vehicle: Vehicle,
    state: State,
    last: Plan,
    settings: PlanSettings = USUAL,
    progress: Progress = NoProgress(),
    *,
    since: Sequence[Entry] = (),
    struck: Sequence[Entry] = (),
    steadiness: Steadiness = _STEADY,
) -> Replanned:
    """Plan the rebuild from the state as it is now, close to the last plan.

    Parameters
    ----------
    vehicle, state, settings, progress
        As for `plan_rebuild`.
    last : Plan
        The plan of the rebuild that was followed until now.
    since, struck : sequence of Entry
        What was logged since the last plan, and what strikes among that name.
    steadiness : Steadiness
        From what saving on the order is changed; from none if it is pinned.

    Raises
    ------
    ImpossibleGoal, Stopped
        As `plan_rebuild` does.
    """
    logged = Since(since, struck, state)
    fresh = plan_rebuild(vehicle, state, settings, progress)
    anywhere = state.standing.standing is None
    is_work = all(isinstance(e.body, _WORK) for e in since)
    kept = _rest_of(last, fresh, vehicle, anywhere=anywhere) if is_work else None
    if kept is None:
        return Replanned(fresh, changes_back(last, fresh, state, logged), kept=False)
    saved = kept.total_minutes - fresh.total_minutes
    if not steadiness.pinned and saved > steadiness.least_saving(kept.total_minutes):
        anew = planned_anew(saved, kept.total_minutes, logged)
        told = changes_back(last, fresh, state, logged, anew=anew)
        return Replanned(fresh, told, kept=False)
    return Replanned(kept, changes_back(last, kept, state, logged))


def _rest_of(last: Plan, fresh: Plan, vehicle: Vehicle, *, anywhere: bool) -> Plan | None:
    """What is left of the last plan, if just its beginning was done, as it was planned.

    It may begin ``anywhere`` where nobody said how the vehicle stands.
    """
    left = {(step.action, step.what): step for step in fresh.steps}
    done = len(last.steps) - len(left)
    if done < 0 or {(step.action, step.what) for step in last.steps[done:]} != left.keys():
        return None
    stood = last.steps[done - 1].standing if done else last.start
    begins_so = stood == fresh.start or (anywhere and not done)
    if not begins_so or last.waiting != fresh.waiting:
        return None
    pairs = [(step, left[step.action, step.what]) for step in last.steps[done:]]
    if any(_asks(step) != _asks(now) for step, now in pairs):
        return None
    stages = _stages_of(pairs, vehicle)
    rest = tuple(
        _there(step, now, stage) for (step, now), stage in zip(pairs, stages, strict=True)
    )
    return replace(
        fresh,
        steps=rest,
        start=stood,
        work_minutes=sum(step.minutes for step in rest),
        setup_minutes=sum(step.setup_minutes for step in rest),
    )


def _stages_of(pairs: Sequence[tuple[Step, Step]], vehicle: Vehicle) -> Iterator[Stage | None]:
    """Give the stages of steps in the order that is kept, of each how it was told and is now.

    What comes of a run hangs on the order, and on which runs are still to come; the rest does not.
    """
    runs = {job_ref(job.id) for job in vehicle.jobs.values() if job.kind is JobKind.RUN}
    by_runs = by_first_run(
        [now.what in runs for _, now in pairs], [NOTE in now.notes for _, now in pairs]
    )
    for (step, now), by_run in zip(pairs, by_runs, strict=True):
        of_its_own = [each.stage for each in (now, step) if each.stage not in _BY_RUN]
        if by_run is not None:
            yield by_run
        else:
            yield of_its_own[0] if of_its_own else Stage.BUILD


def _there(step: Step, now: Step, stage: Stage | None) -> Step:
    """A step as it is told now, at the place and with the precautions that it had."""
    return replace(step, reasons=now.reasons, notes=now.notes, stage=stage)


def _asks(step: Step) -> Step:
    """What a step asks for wherever in the order it stands."""
    return replace(
        step,
        standing=None,
        setup_minutes=0.0,
        reasons=(),
        cautions=(),
        prop_first="",
        prop_people=1,
        add_support="",
        notes=(),
        stage=Stage.BUILD,
    )
