"""Which joints let a fluid out: those that openings name, and the far ends of its pipes and hoses.

Somebody describes the ends that must be closed, seldom every union: where a brake pipe goes on as
a hose, say, nobody names the fluid. What runs in at one end of a pipe comes out at the other all
the same.
"""

from collections.abc import Iterator

from putback.vehicle.ids import FluidId, JointId
from putback.vehicle.job import JobKind
from putback.vehicle.part import PartKind
from putback.vehicle.vehicle import Vehicle

_CARRY = frozenset({PartKind.PIPE, PartKind.HOSE})


def bled_fluids(vehicle: Vehicle) -> frozenset[FluidId]:
    """Give the fluids that some job bleeds: those of hydraulic circuits."""
    jobs = vehicle.jobs.values()
    return frozenset(job.fluid for job in jobs if job.kind is JobKind.BLEED and job.fluid)


def circuit_joints(vehicle: Vehicle, fluid: FluidId) -> tuple[JointId, ...]:
    """Give the joints that open a fluid's circuit.

    Those are the joints that openings of the fluid name, and all ends of each pipe or hose that
    carries it. It does if an opening of its own names the fluid. In a circuit that is bled it does
    as well where one of its joints opens the circuit: the capillary of a gauge is a pipe in the
    coolant, and empty of it.
    """
    own = [each for each in vehicle.openings.values() if each.fluid == fluid]
    found = dict.fromkeys(joint for each in own for joint in each.joints)
    carries = {each.part for each in own}
    is_bled = fluid in bled_fluids(vehicle)
    left = [
        run
        for run in vehicle.runs.values()
        if (part := vehicle.parts.get(run.part)) is not None and part.kind in _CARRY
    ]
    while left:
        if is_bled:
            carries.update(
                part
                for joint in found
                if (record := vehicle.joints.get(joint)) is not None
                for part in record.parts
            )
        full = [run for run in left if run.part in carries]
        if not full:
            break
        found.update(dict.fromkeys(end.joint for run in full for end in run.ends))
        left = [run for run in left if run.part not in carries]
    return tuple(found)


def pipe_joints(vehicle: Vehicle, fluid: FluidId) -> Iterator[JointId]:
    """Give the joints of a fluid's circuit that open a pipe or hose: it runs out there.

    Of other openings nobody knows whether they lie above what is in: the hole of a distributor.
    """
    for joint in circuit_joints(vehicle, fluid):
        record = vehicle.joints.get(joint)
        known = (vehicle.parts.get(part) for part in (record.parts if record else ()))
        if any(part is not None and part.kind in _CARRY for part in known):
            yield joint
