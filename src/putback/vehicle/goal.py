"""A goal: what is to be off, what is to stay on."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from putback.vehicle.ids import GoalId, JobId, PartId


@dataclass(frozen=True, slots=True)
class Goal:
    """*Off* means that no made joint leads from the part to ``datum``.

    ``off_rest`` asks for everything off that is not in ``on``. ``jobs`` are declared jobs that
    must be done as well (survey, make ready to move). ``after`` names the goal reached before.
    """

    id: GoalId
    name: str
    datum: PartId
    off: tuple[PartId, ...] = ()
    on: tuple[PartId, ...] = ()
    off_rest: bool = False
    jobs: tuple[JobId, ...] = ()
    after: GoalId | None = None
    note: str = ""

    def wanted_off(self, parts: Iterable[PartId]) -> tuple[PartId, ...]:
        """Give what is to be off of all parts of a vehicle, those that are named first."""
        rest = parts if self.off_rest else ()
        spared = {*self.on, self.datum}
        return tuple(dict.fromkeys((*self.off, *(part for part in rest if part not in spared))))


def on_the_way(goals: Mapping[GoalId, Goal], goal: Goal) -> tuple[Goal, ...]:
    """Give a goal and all that are to be reached before it, the first first."""
    chain = [goal]
    while (before := chain[0].after) and (earlier := goals.get(before)) and earlier not in chain:
        chain.insert(0, earlier)
    return tuple(chain)
