"""How far off the minutes of a step may be: best, likely and worst, and what follows for a sum."""

from collections.abc import Sequence
from math import erf, sqrt

from putback.planning.plan import Step
from putback.vehicle.ids import AssemblyId, JobId, JointId, PartId, split_ref
from putback.vehicle.minutes import NO_TIME, Minutes
from putback.vehicle.vehicle import Vehicle


def spread_of(vehicle: Vehicle, step: Step) -> Minutes:
    """Give best, likely and worst of a step, by the share of its thing that it is."""
    said = _said(vehicle, step)
    if not said.likely:
        return Minutes(step.minutes, step.minutes, step.minutes)
    share = step.minutes / said.likely
    return Minutes(said.best * share, said.likely * share, said.worst * share)


def _said(vehicle: Vehicle, step: Step) -> Minutes:
    kind, identity = split_ref(step.what)
    match kind:
        case "joint" if identity in vehicle.joints:
            return vehicle.joints[JointId(identity)].minutes
        case "part" if identity in vehicle.parts:
            return vehicle.parts[PartId(identity)].minutes
        case "assembly":
            return vehicle.assemblies[AssemblyId(identity)].minutes
        case "job" if identity in vehicle.jobs:
            return vehicle.jobs[JobId(identity)].minutes
        case _:
            return NO_TIME


def chance_of(spread: Sequence[Minutes], minutes: float) -> float:
    """Give the probability that work of so much spread is done in a time [-].

    Parameters
    ----------
    spread : sequence of Minutes
        Best, likely and worst of each step, [minutes].
    minutes : float
        The time there is for the work, [minutes].

    Notes
    -----
    Each step has its `Minutes.mean` and the variance ((w - b) / 6)² of the PERT estimate
    (Malcolm, Roseboom, Clark and Fazar, Operations Research 7, 1959); the sum of independent steps
    is taken as normal. Steps that take long for one common reason (rust) make it less sure.
    """
    mean = sum(each.mean for each in spread)
    variance = sum(((each.worst - each.best) / 6) ** 2 for each in spread)
    if variance == 0:
        return 1.0 if mean <= minutes else 0.0
    return 0.5 * (1 + erf((minutes - mean) / sqrt(2 * variance)))
