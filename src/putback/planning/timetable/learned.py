"""What the minutes on record teach about the estimates, kind of work by kind.

Of each thing on which time was logged the ratio of person-minutes taken to estimated is known. Of
a kind, the geometric mean over n things is drawn towards 1: with n / (n + 6) as its exponent, as
if six things before had taken what was estimated. That is the mean of a normal prior with a
normal likelihood for the logarithm (Gelman et al., Bayesian Data Analysis, 3rd ed., 2.5); the six
is a convention of this project.
"""

from collections.abc import Iterator
from math import exp, log

from putback.logbook.state import State
from putback.planning.planned_days import Learned
from putback.vehicle.ids import JobId, JointId, Ref, job_ref, joint_ref, part_ref, split_ref
from putback.vehicle.vehicle import Vehicle

LIKE_BEFORE = 6
"""As many things as the prior counts for."""

LIFTING = "lifting parts"


def kind_of(vehicle: Vehicle, what: Ref) -> str:
    """Which kind of work it is: how a joint holds, of which kind a job is, lifting a part."""
    kind, identity = split_ref(what)
    if kind == "joint" and JointId(identity) in vehicle.joints:
        return " and ".join(sorted(vehicle.joints[JointId(identity)].holds())) or kind
    if kind == "job" and JobId(identity) in vehicle.jobs:
        return str(vehicle.jobs[JobId(identity)].kind)
    return LIFTING if kind in ("part", "assembly") else kind


def learn(vehicle: Vehicle, state: State) -> tuple[Learned, ...]:
    """Compare what was logged with what was estimated, the kind with most things first."""
    logs: dict[str, list[float]] = {}
    for what, taken, estimated in _compared(vehicle, state):
        if taken > 0 and estimated > 0:
            logs.setdefault(kind_of(vehicle, what), []).append(log(taken / estimated))
    found = (_learned(kind, each) for kind, each in logs.items())
    return tuple(sorted(found, key=lambda each: (-each.things, each.kind)))


def _learned(kind: str, logs: list[float]) -> Learned:
    count = len(logs)
    mean = sum(logs) / count
    return Learned(kind, count, exp(mean), exp(mean * count / (count + LIKE_BEFORE)))


def _compared(vehicle: Vehicle, state: State) -> Iterator[tuple[Ref, float, float]]:
    """What, person-minutes taken, person-minutes estimated [minutes]."""
    for joint in vehicle.joints.values():
        if joint.id in state.joints:
            taken = state.joints[joint.id].common.minutes
            yield joint_ref(joint.id), taken, joint.minutes.likely * joint.crew
    for part in vehicle.parts.values():
        if part.id in state.parts:
            taken = state.parts[part.id].common.minutes
            yield part_ref(part.id), taken, part.minutes.likely * part.crew
    for job in vehicle.jobs.values():
        if job.id in state.jobs:
            yield job_ref(job.id), state.jobs[job.id].common.minutes, job.minutes.likely * job.crew
