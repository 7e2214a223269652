"""A goal: what is to be off, what is to stay on."""

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
