"""Whether the stages of a rebuild are told right, and the trial build comes first (16)."""

from collections.abc import Iterator, Mapping, Sequence, Set

from putback.planning.check.due import Due
from putback.planning.check.fault import Fault, RebuildRule
from putback.planning.check.hanging import pairs_of
from putback.planning.check.never_run import never_run
from putback.planning.check.orders import Order
from putback.planning.check.when import NEVER, START, When, leads_to
from putback.planning.plan import Action, Stage, Step
from putback.vehicle.ids import JobId, Ref, job_ref, part_ref, split_ref
from putback.vehicle.job import Job, JobKind

_PAINT = ("paint", "primer", "coat", "lacquer", "enamel", "spray")
_MAY_PAINT = (JobKind.PREPARE, JobKind.REPAIR, JobKind.CURE)


def stage_faults(due: Due, when: When) -> Iterator[Fault]:
    """Give the steps that say they belong to another stage than they do."""
    runs = [int(at) for at, _ in when.jobs(JobKind.RUN)]
    proves = [int(at) for at, _ in when.jobs(JobKind.PROVE)]
    counted = min(never_run(due, when), default=NEVER)
    for at, step in enumerate(when.plan.steps):
        may = _may_be(due, step, is_before_proof=bool(proves) and at <= max(proves))
        if runs and at >= runs[0]:
            may = {Stage.RUN if at <= runs[-1] else Stage.AFTER}
        elif at >= counted:
            may = {Stage.AFTER}
        if step.stage not in may:
            name = due.state.name_of(step.what)
            words = f"{step.action} {name} belongs to the {min(may)}, not to {step.stage}"
            yield Fault(RebuildRule.TRIAL, at, step.what, words)


def proof_faults(
    due: Due,
    when: When,
    before: Mapping[Ref, Sequence[Order]],
    forced: Mapping[Ref, Set[Ref]],
) -> Iterator[Fault]:
    """Give the parts that go on for good while something could be proved there and then."""
    for proved_at, job in when.jobs(JobKind.PROVE):
        ref = job_ref(job.id)
        able = max((when.done(each.first) for each in before.get(ref, ())), default=START)
        for at, step in enumerate(when.plan.steps[: int(proved_at)]):
            if step.action is not Action.PUT_ON or at <= able or _hangs(due, when, at):
                continue
            leads = any(ref in leads_to(forced, part_ref(part)) for part in when.unit(step.what))
            if not leads and (not job.standings or step.standing in job.standings):
                words = f"{job.name} could be done before {due.state.name_of(step.what)} goes on"
                yield Fault(RebuildRule.TRIAL, at, step.what, words)


def _hangs(due: Due, when: When, at: int) -> bool:
    """Whether something hangs on a temporary support, or a sitting is not over."""
    ends = (sorted(map(when.done, pair[:2])) for pair in pairs_of(due))
    return any(first < at < last and first != START for first, last in ends)


def _may_be(due: Due, step: Step, *, is_before_proof: bool) -> set[Stage]:
    """Give the stages that a step before the first run may belong to."""
    job = _job(due, step)
    if step.action is Action.PREPARE:
        return {Stage.READY}
    if job and job.kind is JobKind.PROVE:
        return {Stage.TRIAL}
    words = job.name.lower().replace("-", " ").split() if job and job.kind in _MAY_PAINT else ()
    paints = any(word.strip(",;:(").startswith(_PAINT) for word in words)
    own = Stage.PAINT if paints else Stage.BUILD
    return {own, Stage.TRIAL} if is_before_proof else {own}


def _job(due: Due, step: Step) -> Job | None:
    kind, identity = split_ref(step.what)
    return due.vehicle.jobs.get(JobId(identity)) if kind == "job" else None
