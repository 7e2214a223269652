"""Petrol and brake fluid that a step lets out, though a job could have drained it before (4)."""

from collections.abc import Collection, Iterator

from putback.logbook.state import State
from putback.planning.check.ground import Ground
from putback.planning.check.pours import is_out, lets_out
from putback.vehicle.facts import Phase
from putback.vehicle.ids import FluidId, PartId, Ref, job_ref, joint_ref, part_ref
from putback.vehicle.job import Job, JobKind
from putback.vehicle.part import PartKind
from putback.vehicle.vehicle import Vehicle


class Draining:
    """What each of these fluids is let out by, and drained by."""

    def __init__(self, vehicle: Vehicle, state: State) -> None:
        self.vehicle = vehicle
        self.full = [
            fluid.id
            for fluid in vehicle.fluids.values()
            if (fluid.burns or self._jobs(fluid.id, JobKind.BLEED))
            and not is_out(vehicle, state, fluid.id)
        ]
        self.ways = {fluid: set(self._ways(fluid)) for fluid in self.full}
        self.drains = {
            fluid: [
                job
                for job in vehicle.jobs.values()
                if job.phase is not Phase.REBUILD
                and (
                    job.id == vehicle.fluids[fluid].drained_by
                    or job in self._jobs(fluid, JobKind.DRAIN)
                )
            ]
            for fluid in self.full
        }

    def faults(
        self,
        clears: Collection[Ref],
        cleared: Collection[Ref],
        ground: Ground,
        off: Collection[PartId],
    ) -> Iterator[str]:
        """Name what a step lets out that could have been drained before it."""
        before = {part for part in off if part_ref(part) not in clears}
        for fluid in self.full:
            drains = self.drains[fluid]
            is_out = any(job_ref(job.id) in cleared for job in drains)
            if is_out or self.ways[fluid].isdisjoint(clears):
                continue
            able = [job for job in drains if self._can_be_done(job, cleared, ground, before)]
            if able:
                name = self.vehicle.fluids[fluid].name
                yield f"{able[0].name} comes before it lets out the {name}"

    def _jobs(self, fluid: FluidId, kind: JobKind) -> list[Job]:
        jobs = self.vehicle.jobs.values()
        return [job for job in jobs if job.kind is kind and job.fluid == fluid]

    def _ways(self, fluid: FluidId) -> Iterator[Ref]:
        vehicle = self.vehicle
        for joint in lets_out(vehicle, fluid):
            for part in vehicle.joints[joint].parts if joint in vehicle.joints else ():
                if part in vehicle.parts and vehicle.parts[part].kind in (
                    PartKind.PIPE,
                    PartKind.HOSE,
                ):
                    yield joint_ref(joint)
        record = vehicle.fluids[fluid]
        yield from map(part_ref, {record.part, *record.leaks_if_off})

    def _can_be_done(
        self, job: Job, cleared: Collection[Ref], ground: Ground, off: Collection[PartId]
    ) -> bool:
        """Whether nothing that is described keeps a job back any more."""
        waits = any(
            fact.then == job_ref(job.id) and fact.first not in cleared
            for fact in self.vehicle.befores.values()
            if fact.phase is not Phase.REBUILD
        )
        stands = not job.standings or ground.standing in job.standings
        return not waits and (stands or any(not ground.why_not(s, off) for s in job.standings))
