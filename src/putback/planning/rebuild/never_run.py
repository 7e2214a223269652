"""What waits for a run that nobody described: rule 7 of the rebuild.

Without a *run* job nothing in the plan runs the vehicle. What is to be finished when it has run
then comes last of all, and stays on the list of what is not final yet until somebody says it is.
"""

from putback.planning.plan import Action
from putback.planning.rebuild.work import AFTER_RUN, FINISHING, Node, Work, do
from putback.vehicle.ids import JointId, joint_ref
from putback.vehicle.job import JobKind

NOTE = "nothing in this plan runs it: nobody described a first run, so do this when it has run"


def last_of_all(work: Work) -> frozenset[Node]:
    """The steps that finish what has to run first, where no planned job runs it."""
    joints = {joint for joint in work.joints if _waits_in_vain(work, joint)}
    nodes = {do(job.id) for job in work.jobs_of(*FINISHING) if not joints.isdisjoint(job.joints)}
    own = {Node(Action.FINISH, joint_ref(joint)) for joint in joints & work.finish}
    return frozenset(nodes | own)


def _waits_in_vain(work: Work, joint: JointId) -> bool:
    """Whether it is finished after a run, none is planned, and none was since it was made."""
    waits = joint in work.finish or joint in work.finished_by
    if not waits or work.joints[joint].final_when not in AFTER_RUN or joint in work.after_run:
        return False
    return joint in work.tighten or not _has_run_since(work, joint)


def _has_run_since(work: Work, joint: JointId) -> bool:
    seen = work.state.joints.get(joint)
    runs = (job.id for job in work.vehicle.jobs.values() if job.kind is JobKind.RUN)
    done = (work.state.jobs[run].done for run in runs if run in work.state.jobs)
    return any(
        said.key > seen.made.key
        for said in done
        if said is not None and seen is not None and seen.made is not None
    )
