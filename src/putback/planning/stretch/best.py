"""The best stretch for the time and the people at hand: what it costs, and how sure that is."""

from dataclasses import dataclass, replace
from math import erf, sqrt

from putback.logbook.state import State
from putback.planning.crew import people_for
from putback.planning.plan import USUAL, Action, Plan, PlanSettings, Step
from putback.planning.sittings import has_no_minutes
from putback.planning.stretch.ending import Closing, Ending
from putback.planning.stretch.needs import strip_needs
from putback.planning.stretch.needs_rebuild import rebuild_needs
from putback.planning.stretch.search import Found, Search
from putback.planning.stretch.walk import Walk
from putback.progress import NoProgress, Progress
from putback.vehicle.ids import AssemblyId, JobId, JointId, PartId, StandingId, split_ref
from putback.vehicle.minutes import NO_TIME, Minutes
from putback.vehicle.vehicle import Vehicle

_STRIPPING = frozenset({Action.UNDO, Action.TAKE_OFF, Action.CRACK})


@dataclass(frozen=True, slots=True)
class Stretch:
    """Steps of the plan that end closed and safe, and what they take [minutes].

    ``minutes`` are likely: work, set-up and the closing of what is opened. ``worst_minutes`` is
    everything at its worst, and ``chance`` the probability [-] that it is done in the time there
    is; both ``None`` where nobody gave more than one figure. ``saved_minutes`` is how much shorter
    the plan is afterwards. Of ``not_estimated`` steps nobody knows the minutes; they are taken for
    `ASSUMED_MINUTES` each. ``proven`` is whether every choice of steps was tried.
    """

    steps: tuple[Step, ...]
    close: tuple[Closing, ...]
    standing: StandingId | None
    minutes: float
    work_minutes: float
    setup_minutes: float
    closing_minutes: float
    saved_minutes: float
    people: int
    worst_minutes: float | None = None
    chance: float | None = None
    not_estimated: int = 0
    proven: bool = False


@dataclass(frozen=True, slots=True)
class BestStretch:
    """What fits; where nothing does, ``smallest`` is the shortest stretch that there is.

    ``out_of_reach`` is how many steps of the plan want more people than are there, or something
    that is not there yet.
    """

    minutes: float
    people: int | None
    stretch: Stretch | None
    smallest: Stretch | None = None
    out_of_reach: int = 0


def best_stretch(
    vehicle: Vehicle,
    state: State,
    plan: Plan,
    minutes: float,
    *,
    people: int | None = None,
    settings: PlanSettings = USUAL,
    progress: Progress = NoProgress(),
) -> BestStretch:
    """Find what of a plan to do in the time at hand, so that it ends closed and safe.

    Parameters
    ----------
    vehicle : Vehicle
        What the vehicle is made of.
    state : State
        What is done already, and how the vehicle stands.
    plan : Plan
        The plan at hand, of a strip or a rebuild.
    minutes : float
        How much time there is, [minutes].
    people : int, optional
        How many there are, whoever asks included; where not given, as many as it takes.
    settings : PlanSettings
        What set-up costs, [minutes], and how surely the vehicle is to stand, [m].
    progress : Progress
        Told how far it is; may stop the work.
    """
    walk = Walk(vehicle, state, plan, settings)
    is_strip = any(step.action in _STRIPPING for step in plan.steps) or plan.goal is not None
    read = strip_needs if is_strip else rebuild_needs
    needs = read(vehicle, state, plan.steps)
    out = frozenset(
        at
        for at, step in enumerate(plan.steps)
        if step.waits_for or (people is not None and people_for(vehicle, step) > people)
    )
    ending = Ending(vehicle, state, walk, settings, people)
    answer = Search(needs, walk, ending, lambda at: at not in out, progress).best(minutes)
    written = _Writing(vehicle, state, plan, ending, minutes)
    return BestStretch(
        minutes,
        people,
        written.stretch(answer.best, proven=answer.proven),
        written.stretch(answer.smallest, proven=answer.proven),
        len(out),
    )


class _Writing:
    """Writes a stretch out of what was found."""

    def __init__(
        self, vehicle: Vehicle, state: State, plan: Plan, ending: Ending, minutes: float
    ) -> None:
        self.vehicle = vehicle
        self.off = state.parts_off
        self.plan = plan
        self.ending = ending
        self.time = minutes

    def stretch(self, found: Found | None, *, proven: bool) -> Stretch | None:
        """Write it; ``None`` if nothing was found."""
        if found is None:
            return None
        setups = found.walked.setups
        props = self.ending.props(found.places) or {}
        steps = tuple(
            replace(step, setup_minutes=setup, prop_first=words, prop_people=people)
            for at, setup in zip(found.places, setups, strict=True)
            for step in (self.plan.steps[at],)
            for words, people in (props.get(at, (step.prop_first, step.prop_people)),)
        )
        closing = sum(each.minutes for each in found.closings)
        work = sum(step.minutes for step in steps)
        fixed = sum(setups) + closing
        spread = [self._spread(step) for step in steps]
        worst = sum(each.worst for each in spread) + fixed
        known = any(each.best < each.worst for each in spread)
        return Stretch(
            steps=steps,
            close=found.closings,
            standing=found.walked.standing,
            minutes=work + fixed,
            work_minutes=work,
            setup_minutes=sum(setups),
            closing_minutes=closing,
            saved_minutes=found.saved_minutes,
            people=max(people_for(self.vehicle, step) for step in steps),
            worst_minutes=worst if known else None,
            chance=chance_of(spread, self.time - fixed) if known else None,
            not_estimated=sum(map(has_no_minutes, steps)),
            proven=proven,
        )

    def _spread(self, step: Step) -> Minutes:
        """Give best, likely and worst of a step, by the share of its thing that it is."""
        said = self._said(step)
        if not said.likely:
            return Minutes(step.minutes, step.minutes, step.minutes)
        share = step.minutes / said.likely
        return Minutes(said.best * share, said.likely * share, said.worst * share)

    def _said(self, step: Step) -> Minutes:
        kind, identity = split_ref(step.what)
        vehicle = self.vehicle
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


def chance_of(spread: list[Minutes], minutes: float) -> float:
    """Give the probability that work of so much spread is done in a time [-].

    Parameters
    ----------
    spread : list of Minutes
        Best, likely and worst of each step, [minutes].
    minutes : float
        The time there is for the work, [minutes].

    Notes
    -----
    Each step has the mean (b + 4 l + w) / 6 and the variance ((w - b) / 6)² of the PERT estimate
    (Malcolm, Roseboom, Clark and Fazar, Operations Research 7, 1959); the sum of independent steps
    is taken as normal. Steps that take long for one common reason (rust) make it less sure.
    """
    mean = sum((each.best + 4 * each.likely + each.worst) / 6 for each in spread)
    variance = sum(_square((each.worst - each.best) / 6) for each in spread)
    if variance == 0:
        return 1.0 if mean <= minutes else 0.0
    return 0.5 * (1 + erf((minutes - mean) / sqrt(2 * variance)))


def _square(value: float) -> float:
    return value * value
