"""How the vehicle may stand, and what it costs to get to a step: the same for both ways round."""

from collections.abc import Collection
from heapq import heappop, heappush
from math import inf, isclose
from typing import NamedTuple

from putback.planning.plan import Plan, PlanSettings, Step
from putback.vehicle.ids import PartId, StandingId, ZoneId
from putback.vehicle.standing import Support
from putback.vehicle.vehicle import Vehicle


def same_minutes(one: float, other: float) -> bool:
    """Whether two sums of minutes are the same but for rounding."""
    return isclose(one, other, rel_tol=1e-9, abs_tol=1e-6)


class Place(NamedTuple):
    """Where a step is done, with what, and by how many people."""

    zone: ZoneId | None
    tool: str
    crew: int

    @classmethod
    def said_by(cls, step: Step) -> "Place":
        """Take a step's word for it."""
        return cls(step.zone, step.tool, step.crew)

    def faults(self, step: Step) -> list[str]:
        """Say where a step says otherwise."""
        faults = []
        if (step.zone, step.tool) != (self.zone, self.tool):
            faults.append(f"it is worked on in {self.zone} with {self.tool or 'no tool'}")
        if step.crew != self.crew:
            faults.append(f"it wants a crew of {self.crew}, not {step.crew}")
        return faults


class Ground:
    """Where the vehicle stands now, and which places the work has been at."""

    def __init__(self, vehicle: Vehicle, said: StandingId | None, plan: Plan) -> None:
        self.vehicle = vehicle
        self.said = said if said in vehicle.standings else None
        first = plan.steps[0].standing if plan.steps else None
        self.standing = self.said or plan.start or first
        self.zone: ZoneId | None = None
        self.tool = ""
        self.helped = False
        """Whether the step before wanted more than one person."""

    @property
    def supports(self) -> tuple[Support, ...]:
        """What is under it now."""
        standing = self.vehicle.standings.get(self.standing) if self.standing else None
        return standing.supports if standing else ()

    def carries(self, part: PartId) -> bool:
        """Whether the vehicle now rests on this part."""
        return any(each.bears_on == part and not each.beside for each in self.supports)

    def hides(self, part: PartId) -> bool:
        """Whether a support now hides this part."""
        return any(part in each.hides for each in self.supports)

    def start_faults(self, plan: Plan, off: Collection[PartId]) -> list[str]:
        """Say what is wrong with where the plan begins."""
        if self.said:
            begins = plan.start or self.said
            if begins == self.said:
                return []
            return [f"begins {self._name(begins)}, but it stands {self._name(self.said)}"]
        if self.standing is None or not self.vehicle.standings:
            return []
        why = self.why_not(self.standing, off)
        return [f"begins {self._name(self.standing)}, but {why}"] if why else []

    def change(self, step: Step, off: Collection[PartId]) -> tuple[float | None, list[str]]:
        """Go over to the standing of a step.

        Returns
        -------
        tuple of float or None and list of str
            What the change costs [min], ``None`` if nobody can say, and what is wrong with it.
        """
        if (step.standing is None) != (not self.vehicle.standings):
            missing = "does not say how the vehicle stands"
            return 0.0, [missing if self.vehicle.standings else "the vehicle knows no standings"]
        here, there = self.standing, step.standing
        if there is None or here is None or there == here:
            return 0.0, []
        self.standing = there
        why = self.why_not(there, off)
        minutes = self._way(here, there, off)
        faults = [f"cannot stand {self._name(there)}: {why}"] if why else []
        if minutes is None and not why:
            faults = [f"no way leads from {self._name(here)} to {self._name(there)}"]
        return minutes, faults

    def place(self, place: Place, settings: PlanSettings) -> float:
        """Walk to a zone, take up a tool, call the helpers; say what that costs [min]."""
        zone, tool, crew = place
        minutes = settings.helper_minutes * (crew > 1 and not self.helped)
        self.helped = crew > 1
        if zone is not None:
            minutes += settings.zone_minutes * (self.zone not in (None, zone))
            self.zone = zone
        if tool:
            minutes += settings.tool_minutes * (self.tool not in ("", tool))
            self.tool = tool
        return minutes

    def why_not(self, standing: StandingId, off: Collection[PartId]) -> str:
        """Say why the vehicle may not be stood like this; nothing if it may."""
        record = self.vehicle.standings.get(standing)
        if record is None:
            return "nobody described it"
        if record.wrong:
            return "that is how not to stand it"
        for support in record.supports:
            if support.bears_on in off and not support.beside:
                return f"the {self._part(support.bears_on)} that a {support.kind} bears on is off"
        for part in record.needs_off:
            if part not in off:
                return f"the {self._part(part)} must be off first"
        return ""

    def _way(self, here: StandingId, there: StandingId, off: Collection[PartId]) -> float | None:
        """Find the minutes of the direct change, else of the cheapest way over others [min]."""
        standings = self.vehicle.standings
        if here in standings and there in standings[here].change_minutes:
            return standings[here].change_minutes[there]
        least = {here: 0.0}
        queue = [(0.0, here)]
        while queue:
            minutes, at = heappop(queue)
            if at == there:
                return minutes
            if at not in standings or minutes > least[at]:
                continue
            for to, more in standings[at].change_minutes.items():
                passable = to == there or not self.why_not(to, off)
                if passable and minutes + more < least.get(to, inf):
                    least[to] = minutes + more
                    heappush(queue, (least[to], to))
        return None

    def _name(self, standing: StandingId) -> str:
        record = self.vehicle.standings.get(standing)
        return f'"{record.name}"' if record else f'"{standing}"'

    def _part(self, part: PartId) -> str:
        record = self.vehicle.parts.get(part)
        return record.name if record else str(part)


def cost_faults(plan: Plan) -> list[str]:
    """Say where the sums of a plan are not those of its steps."""
    faults = []
    for what, said, summed in (
        ("work", plan.work_minutes, sum(step.minutes for step in plan.steps)),
        ("set-up", plan.setup_minutes, sum(step.setup_minutes for step in plan.steps)),
    ):
        if not same_minutes(said, summed):
            faults.append(f"says {said:g} minutes of {what}; its steps take {summed:g}")
    if plan.bound_minutes is not None and plan.bound_minutes > plan.total_minutes + 1e-6:
        faults.append(
            f"says that no plan is shorter than {plan.bound_minutes:g} minutes, "
            f"and takes {plan.total_minutes:g}"
        )
    return faults
