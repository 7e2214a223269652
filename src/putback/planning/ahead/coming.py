"""What is coming: each step of the plan at hand, and how much comes before it."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import cached_property

from putback.logbook.state import State
from putback.planning.ahead.line import Line, Sort
from putback.planning.plan import Plan, Step
from putback.planning.sittings import has_no_minutes, sittings
from putback.vehicle.ids import AssemblyId, JobId, JointId, PartId, Ref, split_ref
from putback.vehicle.vehicle import Vehicle

DAY_MINUTES = 240.0
"""What a day in the garage is taken for: half a day's work; a convention of this project."""

USUAL_DAYS = {Sort.SOAK: 3.0, Sort.ORDER: 30.0, Sort.BORROW: 7.0, Sort.ASK: 7.0, Sort.SETTLE: 14.0}
"""How many days of work each sort looks ahead where nobody says: oil wants a night or two, people
a week, a parcel a month. Conventions of this project."""


@dataclass(frozen=True, slots=True)
class Horizon:
    """How far to look: so many sittings, so many days of work, or all; else what is usual."""

    sittings: int | None = None
    days: float | None = None
    everything: bool = False
    day_minutes: float = DAY_MINUTES

    def covers(self, sort: Sort, coming: "Coming") -> bool:
        """Whether a step is near enough for this sort of thing."""
        if self.everything:
            return True
        if self.sittings is not None or self.days is not None:
            near = self.sittings is None or coming.sittings < self.sittings
            return near and (self.days is None or coming.minutes < self.days * self.day_minutes)
        return coming.minutes < USUAL_DAYS[sort] * self.day_minutes


@dataclass(frozen=True, slots=True)
class Coming:
    """One step of the plan; before it come so many sittings, minutes and steps."""

    at: int
    step: Step
    sittings: int
    minutes: float
    not_estimated: int


@dataclass(frozen=True)
class View:
    """Vehicle, state and plan together, with the questions that several modules ask."""

    vehicle: Vehicle
    state: State
    plan: Plan
    horizon: Horizon

    @cached_property
    def coming(self) -> tuple[Coming, ...]:
        """Every step in its place."""
        found: list[Coming] = []
        minutes, unknown = 0.0, 0
        for number, sitting in enumerate(sittings(self.plan.steps)):
            for at in range(sitting.first, sitting.end):
                step = self.plan.steps[at]
                found.append(Coming(at, step, number, minutes, unknown))
                minutes += step.minutes + step.setup_minutes
                unknown += has_no_minutes(step)
        return tuple(found)

    def near(self, sort: Sort) -> Iterator[Coming]:
        """Give the steps that are near enough for this sort of thing."""
        return (each for each in self.coming if self.horizon.covers(sort, each))

    def name(self, ref: str) -> str:
        """Say what a subject is."""
        return self.state.name_of(ref)

    def line(
        self, sort: Sort, what: str, why: str, coming: Iterable[Coming], **more: object
    ) -> Line:
        """Write a line for these steps."""
        these = sorted(coming, key=lambda each: each.at)
        soonest = these[0]
        steps = tuple(dict.fromkeys(each.step.what for each in these))
        return Line(
            sort,
            what,
            why,
            steps,
            soonest.sittings,
            soonest.minutes,
            soonest.not_estimated,
            **more,  # type: ignore[arg-type]
        )

    # -- what a step is about -----------------------------------------------------------------

    def joints_of(self, step: Step) -> tuple[JointId, ...]:
        """The described joints that a step works on."""
        kind, identity = split_ref(step.what)
        if kind == "joint":
            return (JointId(identity),) if identity in self.vehicle.joints else ()
        job = self.vehicle.jobs.get(JobId(identity)) if kind == "job" else None
        return tuple(each for each in job.joints if each in self.vehicle.joints) if job else ()

    def parts_moved(self, step: Step) -> tuple[PartId, ...]:
        """The parts that a step takes off or puts on."""
        kind, identity = split_ref(step.what)
        if kind == "part":
            return (PartId(identity),)
        whole = self.vehicle.assemblies.get(AssemblyId(identity)) if kind == "assembly" else None
        return whole.parts if whole else ()

    def subjects_of(self, step: Step) -> tuple[Ref, ...]:
        """What may be known of a step's things: itself, the parts it moves, those of a joint."""
        joints = self.joints_of(step)
        parts = [*self.parts_moved(step)]
        for joint in joints:
            parts += self.vehicle.joints[joint].parts
        kind, identity = split_ref(step.what)
        job = self.vehicle.jobs.get(JobId(identity)) if kind == "job" else None
        parts += job.parts if job else ()
        return tuple(
            dict.fromkeys(
                (
                    step.what,
                    *(Ref(f"joint:{each}") for each in joints),
                    *(Ref(f"part:{each}") for each in parts),
                )
            )
        )
