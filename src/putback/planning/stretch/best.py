"""The best stretch for the time and the people at hand: what it costs, and how sure that is."""

from dataclasses import dataclass, replace

from putback.logbook.state import State
from putback.planning.crew import people_for
from putback.planning.plan import USUAL, Action, Plan, PlanSettings, Step
from putback.planning.sittings import has_no_minutes
from putback.planning.stretch.ending import Closing, Ending
from putback.planning.stretch.needs import strip_needs
from putback.planning.stretch.needs_rebuild import rebuild_needs
from putback.planning.stretch.search import Found, Search
from putback.planning.stretch.spread import chance_of, spread_of
from putback.planning.stretch.walk import Walk
from putback.progress import NoProgress, Progress
from putback.vehicle.ids import StandingId
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
        How much time there is, [minutes]. What is done takes no more than that on the average
        (`Minutes.mean`), so that it is done in time more often than not.
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
        spread = [spread_of(self.vehicle, step) for step in steps]
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
