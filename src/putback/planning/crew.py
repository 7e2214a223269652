"""How many people a step of a plan wants."""

from collections.abc import Collection

from putback.logbook.open_items.item import USUAL
from putback.planning.plan import Action, Step
from putback.vehicle.ids import AssemblyId, JobId, PartId, split_ref
from putback.vehicle.job import JobKind
from putback.vehicle.vehicle import Vehicle

_LIFTING = frozenset({Action.TAKE_OFF, Action.PUT_ON})


def people_for(vehicle: Vehicle, step: Step, off: Collection[PartId] = ()) -> int:
    """Give its crew; two at least for a second person's look, and for a lift too heavy for one.

    What one person lifts is that of the open items (revised NIOSH lifting equation). Of a whole
    that goes back on, what is ``off`` is lifted; of one that comes off, what is not.
    """
    kind, identity = split_ref(step.what)
    job = vehicle.jobs.get(JobId(identity)) if kind == "job" else None
    second = step.action is Action.CHECK or (job and job.kind is JobKind.SECOND_CHECK)
    if step.crew > 1 or second:
        return max(step.crew, 2)
    if step.action not in _LIFTING:
        return 1
    return 2 if _by_hand_kg(vehicle, step, off) > USUAL.one_person_kg else 1


def _by_hand_kg(vehicle: Vehicle, step: Step, off: Collection[PartId]) -> float:
    """Weigh what is lifted by hand at once [kg]: of a set one piece, of a whole all that is known.

    Nothing where a hoist lifts it.
    """
    kind, identity = split_ref(step.what)
    if kind == "part":
        part = vehicle.parts.get(PartId(identity))
        if part is None or part.mass_kg is None or part.hoist:
            return 0.0
        return part.mass_kg / max(part.quantity, 1)
    whole = vehicle.assemblies.get(AssemblyId(identity)) if kind == "assembly" else None
    if whole is None or whole.hoist:
        return 0.0
    goes_on = step.action is Action.PUT_ON
    lifted = [part for part in whole.parts if (part in off) == goes_on] or whole.parts
    masses = (vehicle.parts[part].mass_kg for part in lifted if part in vehicle.parts)
    return sum(mass for mass in masses if mass is not None)
