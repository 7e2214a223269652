"""How many people a step of a plan wants."""

from putback.logbook.open_items.item import USUAL
from putback.planning.plan import Action, Step
from putback.vehicle.ids import JobId, PartId, split_ref
from putback.vehicle.job import JobKind
from putback.vehicle.vehicle import Vehicle

_LIFTING = frozenset({Action.TAKE_OFF, Action.PUT_ON})


def people_for(vehicle: Vehicle, step: Step) -> int:
    """Give its crew; two at least for a second person's look, and for a lift too heavy for one.

    What one person lifts is that of the open items (revised NIOSH lifting equation).
    """
    kind, identity = split_ref(step.what)
    job = vehicle.jobs.get(JobId(identity)) if kind == "job" else None
    second = step.action is Action.CHECK or (job and job.kind is JobKind.SECOND_CHECK)
    if step.crew > 1 or second:
        return max(step.crew, 2)
    part = vehicle.parts.get(PartId(identity)) if kind == "part" else None
    if part is None or part.mass_kg is None or part.hoist or step.action not in _LIFTING:
        return 1
    return 2 if part.mass_kg / max(part.quantity, 1) > USUAL.one_person_kg else 1
