"""Runs, openings and fluids: whether their ends, plugs and drains fit the joints."""

from collections.abc import Iterator

from putback.vehicle.check.fault import Fault, doubt, error, named, named_part
from putback.vehicle.job import JobKind
from putback.vehicle.vehicle import Vehicle


def no_ends(vehicle: Vehicle) -> Iterator[Fault]:
    """Find runs that nothing ties to the vehicle."""
    for run in vehicle.runs.values():
        if not run.ends:
            message = f"run {named_part(vehicle, run.part)} has no ends"
            yield error("run", run.part, message, "make each end a joint and name it")


def end_of_another(vehicle: Vehicle) -> Iterator[Fault]:
    """Find ends and clips whose joints do not hold the run."""
    for run in vehicle.runs.values():
        for joint in (*(end.joint for end in run.ends), *run.clips):
            if joint in vehicle.joints and run.part not in vehicle.joints[joint].parts:
                message = (
                    f"joint {named(vehicle.joints[joint])} is an end or a clip of run "
                    f"{named_part(vehicle, run.part)}, but does not hold it"
                )
                yield error("run", run.part, message, "name the run among the joint's parts")


def no_way_out(vehicle: Vehicle) -> Iterator[Fault]:
    """Find runs through a hole that none of their ends will pass."""
    for run in vehicle.runs.values():
        if run.passages and run.ends and not any(end.passes for end in run.ends):
            message = (
                f"no end of run {named_part(vehicle, run.part)} passes {run.passages[0].what!r}"
            )
            yield doubt("run", run.part, message, "say which end is drawn through")


def path_not_described(vehicle: Vehicle) -> Iterator[Fault]:
    """Find pipes, hoses, cables and looms without a path, and paths of what is none of these."""
    for part in vehicle.parts.values():
        if part.is_run and part.id not in vehicle.runs:
            message = f"{part.kind} {named(part)} has no path"
            yield doubt("part", part.id, message, "describe its run: ends, clips, the way out")
        if not part.is_run and part.id in vehicle.runs:
            message = f"part {named(part)} has a path, but is described as a {part.kind}"
            yield doubt("part", part.id, message, "is it a pipe, a hose, a cable or a loom?")


def opened_by_another(vehicle: Vehicle) -> Iterator[Fault]:
    """Find openings of a part that the joint opening them does not hold, or that nothing opens."""
    for opening in vehicle.openings.values():
        if not opening.joints:
            message = f"no joint opens opening {named(opening)}"
            yield doubt("opening", opening.id, message, "name the joint at it")
        for joint in opening.joints:
            if joint in vehicle.joints and opening.part not in vehicle.joints[joint].parts:
                message = (
                    f"opening {named(opening)} is in part {named_part(vehicle, opening.part)}, "
                    f"which joint {named(vehicle.joints[joint])} does not hold"
                )
                yield error("opening", opening.id, message, "name the joint at it, or its part")
        if opening.ends < 1:
            message = f"opening {named(opening)} has {opening.ends} ends to close"
            yield error("opening", opening.id, message, "give 1 or more")


def drained_otherwise(vehicle: Vehicle) -> Iterator[Fault]:
    """Find fluids drained by a job that drains none, or another."""
    for fluid in vehicle.fluids.values():
        if fluid.drained_by is None:
            message = f"nothing drains fluid {named(fluid)}"
            yield doubt("fluid", fluid.id, message, "describe the job, or say what it spills")
            continue
        job = vehicle.jobs.get(fluid.drained_by)
        if job is not None and job.kind is not JobKind.DRAIN:
            message = f"fluid {named(fluid)} is drained by job {named(job)}, a {job.kind}"
            yield error("fluid", fluid.id, message, "name the job that drains it")
        elif job is not None and job.fluid not in (None, fluid.id):
            message = f"fluid {named(fluid)} is drained by job {named(job)}, which drains another"
            yield error("fluid", fluid.id, message, "name the job that drains it")
