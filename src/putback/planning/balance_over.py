"""Balance along a plan: what stands on what after every step, and where it first goes too far."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from putback.logbook.fluids import pours_of
from putback.logbook.state import State
from putback.planning.balance import Balance, Reckoning, reckoning_of
from putback.planning.plan import USUAL, Action, Plan, PlanSettings, Step
from putback.planning.weight.add_support import SupportToAdd
from putback.planning.weight.poise import Footing, must_add_support
from putback.vehicle.ids import (
    AssemblyId,
    FluidId,
    JobId,
    JointId,
    PartId,
    Ref,
    StandingId,
    split_ref,
)
from putback.vehicle.vehicle import Vehicle


@dataclass(frozen=True, slots=True)
class StepBalance:
    """The balance after one step of a plan, in the standing of the step.

    ``entered`` is that before the step, where the standing was changed for it. ``add`` says what
    to add, at the first step of those that would go too far in one standing.
    """

    index: int
    action: Action
    what: Ref
    standing: StandingId | None
    after: Balance
    entered: Balance | None = None
    holds: bool = True
    """Whether the margin is kept and no support is overloaded, after it and on entering."""
    add: SupportToAdd | None = None


def balance_over(
    vehicle: Vehicle, state: State, plan: Plan, settings: PlanSettings = USUAL
) -> tuple[StepBalance, ...]:
    """Work out the balance after every step of a strip or a rebuild.

    Parameters
    ----------
    vehicle : Vehicle
        What it is made of.
    state : State
        What is off and out before the first step.
    plan : Plan
        The steps.
    settings : PlanSettings
        The least margin to keep, [m].
    """
    return tuple(_Walk(vehicle, state, plan, settings).steps())


def worst(steps: Sequence[StepBalance]) -> StepBalance | None:
    """Give the step after which the margin is the least; ``None`` where none is known."""
    told = [each for each in steps if each.after.margin_m is not None or each.after.loose]
    return min(told, key=_margin, default=None)


def first_too_far(steps: Sequence[StepBalance]) -> StepBalance | None:
    """Give the first step at which it does not stand with margin and within ratings."""
    return next((each for each in steps if not each.holds), None)


def first_unsure(
    steps: Sequence[StepBalance], settings: PlanSettings = USUAL
) -> StepBalance | None:
    """Give the first step that holds by what is known, and may not, so little is known."""
    least = settings.least_margin_m
    return next((e for e in steps if e.holds and not e.after.is_surely_wide(least)), None)


def _margin(step: StepBalance) -> float:
    margin = step.after.margin_m
    return float("-inf") if margin is None else margin


class _Walk:
    """The vehicle as the plan leads it from step to step."""

    def __init__(self, vehicle: Vehicle, state: State, plan: Plan, settings: PlanSettings) -> None:
        self.vehicle = vehicle
        self.state = state
        self.plan = plan
        self.settings = settings
        self.reckoning: Reckoning = reckoning_of(vehicle, state)
        self.moves = _Moves(vehicle, state)
        said = state.standing.standing
        self.standing = said if said in vehicle.standings else plan.start
        self.told = False
        """Whether it was said already what to add, as it stands now."""

    def steps(self) -> Iterator[StepBalance]:
        """Go through them all."""
        last: Balance | None = None
        for index, step in enumerate(self.plan.steps):
            changed = self.standing is not None and step.standing != self.standing
            if step.standing != self.standing:
                self.standing, last, self.told = step.standing, None, False
            before, mass_kg = self.reckoning.footing(self.standing), self.reckoning.poise.mass_kg
            entered = self._balance() if changed else None
            moved = self.moves.make(step, self.reckoning)
            after = self.reckoning.footing(self.standing) if moved else before
            if last is None or after != before or self.reckoning.poise.mass_kg != mass_kg:
                last = self._balance()
            least = self.settings.least_margin_m
            holds = after.holds(least) and (entered is None or before.holds(least))
            yield StepBalance(
                index,
                step.action,
                step.what,
                step.standing,
                last,
                entered,
                holds,
                self._add(before, after, entered is not None),
            )

    def _balance(self) -> Balance:
        return self.reckoning.balance(self.standing, self.settings)

    def _add(self, before: Footing, after: Footing, entered: bool) -> SupportToAdd | None:
        least = self.settings.least_margin_m
        if after.holds(least):
            self.told = False
            return None
        if self.told or not must_add_support(before, after, least, entered=entered):
            return None
        self.told = True
        return self.reckoning.support_to_add(self.standing, self.settings)


class _Moves:
    """What each step changes of what is on and in, and of what holds."""

    def __init__(self, vehicle: Vehicle, state: State) -> None:
        self.vehicle = vehicle
        self.wholes: dict[AssemblyId, list[PartId]] = {}
        """The parts that went off with each whole, and go on with it."""
        for part, each in state.parts.items():
            if each.is_off and each.whole is not None:
                self.wholes.setdefault(each.whole, []).append(part)
        self.pours = pours_of(vehicle)

    def make(self, step: Step, reckoning: Reckoning) -> bool:
        """Make a step's changes; gives whether there are any."""
        kind, identity = split_ref(step.what)
        match step.action:
            case Action.UNDO if kind == "joint":
                reckoning.anchored.undo(JointId(identity))
            case Action.MAKE if kind == "joint":
                reckoning.anchored.make(JointId(identity))
            case Action.TAKE_OFF:
                for part in self._parts(kind, identity):
                    reckoning.take_off(part)
            case Action.PUT_ON:
                for part in self._parts_back(kind, identity):
                    reckoning.put_on(part)
            case Action.FILL if kind == "fluid":
                reckoning.poise.fill(FluidId(identity))
            case Action.DO | Action.FILL:
                return self._job(JobId(identity), reckoning)
            case _:
                return False
        return True

    def _parts(self, kind: str, identity: str) -> Sequence[PartId]:
        if kind != "assembly":
            return (PartId(identity),)
        whole = self.vehicle.assemblies.get(AssemblyId(identity))
        return whole.parts if whole else ()

    def _parts_back(self, kind: str, identity: str) -> Sequence[PartId]:
        if kind != "assembly":
            return (PartId(identity),)
        return self.wholes.get(AssemblyId(identity), ())

    def _job(self, job: JobId, reckoning: Reckoning) -> bool:
        for fluid in self.pours.drains.get(job, ()):
            reckoning.poise.drain(fluid)
        for fluid in self.pours.fills.get(job, ()):
            reckoning.poise.fill(fluid)
        return job in self.pours.drains or job in self.pours.fills
