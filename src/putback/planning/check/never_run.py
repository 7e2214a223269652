"""Whether what waits for a run that nobody described comes last of all (7)."""

from collections.abc import Iterator, Mapping, Set

from putback.planning.check.due import FINISHING, Due
from putback.planning.check.fault import Fault, RebuildRule
from putback.planning.check.when import When, leads_to
from putback.planning.plan import Action, Step
from putback.vehicle.ids import JointId, Ref, StandingId, job_ref, split_ref
from putback.vehicle.job import Job, JobKind
from putback.vehicle.joint import FinalWhen

_WAIT = (FinalWhen.RENIPPED_HOT, FinalWhen.AFTER_FIRST_RUN)
_BUILDS = (Action.PUT_ON, Action.MAKE, Action.TIGHTEN, Action.FILL, Action.BLEED, Action.PREPARE)


def never_run(due: Due, when: When) -> list[float]:
    """Give the places at which the plan counts on a run that nothing in it is."""
    if any(when.jobs(JobKind.RUN)):
        return []
    waiting = {joint for joint in due.finish if _waits(due, joint)}
    return [
        float(at)
        for at, step in enumerate(when.plan.steps)
        if not waiting.isdisjoint(_finishes(due, step))
    ]


def never_run_faults(due: Due, when: When, forced: Mapping[Ref, Set[Ref]]) -> Iterator[Fault]:
    """Give what is built after it, though nothing puts it there."""
    places = never_run(due, when)
    if not places:
        return
    steps = when.plan.steps
    late = _late(due, [steps[int(at)] for at in places], forced)
    free = any(_shuts_out(due, step) for step in (steps[int(at)] for at in places))
    for at in range(int(places[0]) + 1, len(steps)):
        step = steps[at]
        names = {step.what, *(Ref(f"part:{part}") for part in when.unit(step.what))}
        if step.action in _BUILDS and late.isdisjoint(names) and not free:
            words = f"{due.state.name_of(step.what)} comes after what waits for the first run"
            yield Fault(RebuildRule.FINAL, at, step.what, words)


def _waits(due: Due, joint: JointId) -> bool:
    """Whether a joint waits for a run that was not since it was made."""
    if due.joints[joint].final_when not in _WAIT:
        return False
    seen = due.state.joints.get(joint)
    if joint in due.tighten or seen is None or seen.made is None:
        return True
    runs = (job.id for job in due.vehicle.jobs.values() if job.kind is JobKind.RUN)
    done = [due.state.jobs[run].done for run in runs if run in due.state.jobs_done]
    return not any(each is not None and each.key > seen.made.key for each in done)


def _finishes(due: Due, step: Step) -> tuple[JointId, ...]:
    """Give the joints that a step finishes."""
    kind, identity = split_ref(step.what)
    if step.action is Action.FINISH:
        return (JointId(identity),)
    job = _job(due, step)
    return job.joints if kind == "job" and job is not None and job.kind in FINISHING else ()


def _job(due: Due, step: Step) -> Job | None:
    return next((job for job in due.vehicle.jobs.values() if job_ref(job.id) == step.what), None)


def _late(due: Due, steps: list[Step], forced: Mapping[Ref, Set[Ref]]) -> set[Ref]:
    """Give what facts put after these steps, over second looks and what is in the way as well."""
    finished = {joint for step in steps for joint in _finishes(due, step)}
    found = {step.what for step in steps if step.action is Action.DO}
    found |= {
        job_ref(job.id)
        for job in due.vehicle.jobs.values()
        if job.kind is JobKind.SECOND_CHECK and (not job.joints or finished & set(job.joints))
    }
    growing = True
    while growing:
        more = {then for first in found for then in leads_to(forced, first)}
        more |= {
            Ref(f"part:{part}")
            for fact in due.vehicle.obstructions.values()
            if fact.of in found | more
            for part in fact.any_of
        }
        growing = not more <= found
        found |= more
    return found


def _shuts_out(due: Due, step: Step) -> bool:
    """Whether a step wants a standing that what goes on later may shut."""
    named: tuple[StandingId, ...] = ()
    if step.action is Action.FINISH:
        named = due.joints[JointId(split_ref(step.what)[1])].standings
    elif (job := _job(due, step)) is not None:
        named = job.standings
    records = (due.vehicle.standings.get(each) for each in named)
    return any(record is not None and record.needs_off for record in records)
