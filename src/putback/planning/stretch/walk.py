"""What some steps of a plan cost, one after another: work, and the set-up between them.

The costs are those of ``docs/planning-rules.md``. The minutes of a step are the plan's: a stretch
never does anything that makes a step take longer than there.
"""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from putback.logbook.state import State
from putback.planning.plan import Action, Plan, PlanSettings, Step
from putback.planning.posing.problem import Problem
from putback.planning.search.stand import Stands
from putback.planning.sittings import has_no_minutes
from putback.planning.stretch.spread import spread_of
from putback.vehicle.ids import AssemblyId, PartId, StandingId, ZoneId, split_ref
from putback.vehicle.vehicle import Vehicle

ASSUMED_MINUTES = 10.0
"""What a step is taken for of which nobody knows the minutes; a convention of this project."""


@dataclass(frozen=True, slots=True)
class Walked:
    """Steps one after another; times in [minutes].

    ``work_minutes`` are what the work takes on the average, and no less than likely; ``setups``
    those before each step, ``change_minutes`` what of them is changes of standing.
    """

    work_minutes: float
    setups: tuple[float, ...]
    change_minutes: float
    standing: StandingId | None

    @property
    def minutes(self) -> float:
        """Work and set-up."""
        return self.work_minutes + sum(self.setups)


class Walk:
    """Goes through steps of one plan, from how the vehicle stands now."""

    def __init__(self, vehicle: Vehicle, state: State, plan: Plan, settings: PlanSettings) -> None:
        """Read plan and vehicle; neither is changed."""
        self.steps = plan.steps
        self.settings = settings
        self.off = state.parts_off
        said = state.standing.standing
        self.start = said if said in vehicle.standings else plan.start
        self._stands = Stands(Problem(vehicle, (), {}))
        self.moves = tuple(_moved(vehicle, state, step) for step in plan.steps)
        self.work = tuple(
            ASSUMED_MINUTES if has_no_minutes(step) else step.minutes for step in plan.steps
        )
        self.takes = tuple(
            max(work, spread_of(vehicle, step).mean)
            for work, step in zip(self.work, plan.steps, strict=True)
        )
        borne = {
            part
            for standing in vehicle.standings.values()
            for part in (*standing.needs_off, *(each.bears_on for each in standing.supports))
        }
        """Parts on which it depends how the vehicle can be stood."""
        self._shifts = tuple(moved & borne for moved in self.moves)
        self._at_start = frozenset(self.off) & borne
        runs: list[tuple[StandingId | None, list[int]]] = []
        for at, step in enumerate(plan.steps):
            if not runs or runs[-1][0] != step.standing:
                runs.append((step.standing, []))
            runs[-1][1].append(at)
        self._runs = tuple((standing, tuple(places)) for standing, places in runs)
        self._shifting = tuple(
            tuple(at for at in places if self._shifts[at]) for _, places in self._runs
        )
        self._run_of = tuple(
            number for number, (_, places) in enumerate(runs) for _ in range(len(places))
        )
        self._known_changes: dict[
            tuple[StandingId | None, StandingId | None, frozenset[PartId]], float | None
        ] = {}
        self._planned = self._changes(self.start, frozenset()) or 0.0

    def _puts_on(self, at: int) -> bool:
        return self.steps[at].action is Action.PUT_ON

    def _change(
        self, here: StandingId | None, there: StandingId | None, off: frozenset[PartId]
    ) -> float | None:
        """What it costs to stand it otherwise [minutes]; ``None`` if that cannot be."""
        if here == there or there is None:
            return 0.0
        key = (here, there, off)
        if key not in self._known_changes:
            self._known_changes[key] = self._stands.change_minutes(here, there, off)
        return self._known_changes[key]

    def _after(self, off: frozenset[PartId], at: int) -> frozenset[PartId]:
        """What is off after a step, of the parts that matter for standing."""
        moved = self._shifts[at]
        if not moved:
            return off
        return off - moved if self._puts_on(at) else off | moved

    def through(self, places: Sequence[int]) -> Walked | None:
        """Go through steps in their order; ``None`` if the vehicle cannot be stood for one."""
        off = self._at_start
        standing, zone, tool, helped = self.start, None, "", False
        setups: list[float] = []
        changes = 0.0
        for at in places:
            step = self.steps[at]
            change = self._change(standing, step.standing, off)
            if change is None:
                return None
            changes += change
            setups.append(change + self._fetching(step, zone, tool, helped))
            standing = step.standing if step.standing is not None else standing
            zone, tool, helped = step.zone or zone, step.tool or tool, step.crew > 1
            off = self._after(off, at)
        work = sum(self.takes[at] for at in places)
        return Walked(work, tuple(setups), changes, standing)

    def _fetching(self, step: Step, zone: ZoneId | None, tool: str, helped: bool) -> float:
        """Walk over, take up another tool, call the helpers [minutes]."""
        settings = self.settings
        minutes = settings.zone_minutes * (step.zone is not None and zone not in (None, step.zone))
        minutes += settings.tool_minutes * (bool(step.tool) and tool not in ("", step.tool))
        return minutes + settings.helper_minutes * (step.crew > 1 and not helped)

    # -- what is left -----------------------------------------------------------------------------

    def coming_back(self, done: frozenset[int], walked: Walked) -> float | None:
        """What changes of standing it costs beyond the plan's, its own included [minutes].

        ``None`` if what is left cannot be done any more in the plan's order.
        """
        left = self._changes(walked.standing, done)
        if left is None:
            return None
        return max(0.0, walked.change_minutes + left - self._planned)

    def _changes(self, standing: StandingId | None, done: frozenset[int]) -> float | None:
        """The changes of standing in the plan without what is done, from a standing [minutes]."""
        off = self._at_start
        for at in sorted(done):
            off = self._after(off, at)
        gone = Counter(self._run_of[at] for at in done)
        minutes = 0.0
        for number, (there, places) in enumerate(self._runs):
            if gone[number] == len(places):
                continue
            change = self._change(standing, there, off)
            if change is None:
                return None
            minutes += change
            standing = there if there is not None else standing
            for at in self._shifting[number]:
                off = self._after(off, at)
        return minutes


def _moved(vehicle: Vehicle, state: State, step: Step) -> frozenset[PartId]:
    """The parts that a step takes off or puts on."""
    if step.action not in (Action.TAKE_OFF, Action.PUT_ON):
        return frozenset()
    kind, identity = split_ref(step.what)
    if kind == "part":
        return frozenset({PartId(identity)})
    parts = frozenset(vehicle.assemblies[AssemblyId(identity)].parts)
    return parts - state.parts_off if step.action is Action.TAKE_OFF else parts & state.parts_off
