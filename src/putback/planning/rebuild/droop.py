"""Hoses of bled circuits to look at with the suspension at full droop and full bump.

Rule 17 of the rebuild in ``docs/planning-rules.md``; *common practice*: a brake hose that is
tight, twisted or touching at the end of its way fails there.
"""

import re
from collections.abc import Iterable, Iterator, Set

from putback.logbook.common import NOTHING
from putback.logbook.fluids import closed_again
from putback.logbook.order import Key
from putback.logbook.state import State
from putback.vehicle.circuit import bled_fluids, circuit_joints
from putback.vehicle.facts import Phase
from putback.vehicle.ids import JobId, JointId, PartId
from putback.vehicle.job import Job, JobKind
from putback.vehicle.part import PartKind
from putback.vehicle.vehicle import Vehicle

LOOK = (
    "at full droop, at full bump and at both locks: not tight, not twisted, touching nothing; "
    "no pipe near it within 10 mm of what moves"
)
CAUTION = (
    "jack under the arm, one corner at a time, the vehicle on its stands: nobody under what only "
    "a jack holds"
)
_SAYS_SO = re.compile(r"\b(?:droop|bump)")


def hoses_to_look_at(
    vehicle: Vehicle, state: State, open_joints: frozenset[JointId], jobs: Iterable[JobId]
) -> frozenset[PartId]:
    """Find the hoses of bled circuits that were apart and that nobody looked at since.

    ``open_joints`` are still to be made or tightened, ``jobs`` the planned ones.
    """
    planned = frozenset(jobs)
    circuits = {
        joint for fluid in bled_fluids(vehicle) for joint in circuit_joints(vehicle, fluid)
    }
    found = set()
    for part in vehicle.parts.values():
        joints = circuits.intersection(vehicle.joints_of[part.id])
        if part.kind is PartKind.HOSE and joints:
            named = any(job.id in planned for job in _jobs(vehicle, part.id, joints))
            is_open = not open_joints.isdisjoint(joints)
            if not named and (is_open or not _is_looked_at(vehicle, state, part.id, joints)):
                found.add(part.id)
    return frozenset(found)


def _is_looked_at(vehicle: Vehicle, state: State, part: PartId, joints: Set[JointId]) -> bool:
    """Whether nobody made its joints again, or somebody looked since."""
    closed = (closed_again(vehicle, state, joint) for joint in joints)
    made = [said.key for said in closed if said is not None]
    common = state.parts[part].common if part in state.parts else NOTHING
    looks = [*(each.key for each in common.prepared), *_done(vehicle, state, part, joints)]
    return not made or any(look > max(made) for look in looks)


def _done(vehicle: Vehicle, state: State, part: PartId, joints: Set[JointId]) -> Iterator[Key]:
    """When a declared look was done."""
    for job in _jobs(vehicle, part, joints):
        seen = state.jobs.get(job.id)
        if seen is not None and seen.done is not None:
            yield seen.done.key


def _jobs(vehicle: Vehicle, part: PartId, joints: Set[JointId]) -> Iterator[Job]:
    """The declared checks that look at a hose: that name it, or say that they are of this sort."""
    for job in vehicle.jobs.values():
        if job.kind is JobKind.CHECK and job.phase is not Phase.STRIP:
            says_so = _SAYS_SO.search(f"{job.name} {job.target}".lower())
            if says_so or part in job.parts or not joints.isdisjoint(job.joints):
                yield job
