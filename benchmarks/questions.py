"""Questions asked again and again while working: each of the demo, of 400 and of 1,500 parts.

A question is asked of a vehicle as found; its limits are in `LIMITS_S`, one for each vehicle.
"""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from functools import cache

from benchmarks.logbooks import entry
from benchmarks.measure import Figure, figure, timed
from putback.logbook.fold import fold
from putback.logbook.state import State
from putback.planning.ahead import Horizon, look_ahead
from putback.planning.balance_over import balance_over, worst
from putback.planning.plan import Plan
from putback.planning.stretch import best_stretch
from putback.planning.strip import plan_strip
from putback.planning.ties import ties
from putback.vehicle.demo import demo_vehicle
from putback.vehicle.generate import generate
from putback.vehicle.ids import PartId, Ref, part_ref
from putback.vehicle.vehicle import Vehicle
from putback.workshop.describe import describe

VEHICLES: Mapping[str, Callable[[], Vehicle]] = {
    "the demo": demo_vehicle,
    "400 parts": lambda: generate(400, seed=7),
    "1,500 parts": lambda: generate(1500, seed=7),
}
LIMITS_S: Mapping[str, float] = {"the demo": 1.0, "400 parts": 0.5, "1,500 parts": 15.0}
RUNS = 5


@dataclass(frozen=True, slots=True)
class Question:
    """What is asked; ``ask`` gives what came of it, in a few words."""

    name: str
    ask: Callable[[Vehicle, State], str]


def _ties(vehicle: Vehicle, state: State) -> str:
    """Lift the part with the most joints, but for what it is lifted off."""
    found = ties(vehicle, state, _most_joined(vehicle))
    return f"{len(found.ties)} ties, {len(found.along)} go along, {len(found.cut.joints)} to undo"


def _most_joined(vehicle: Vehicle) -> Ref:
    datums = {goal.datum for goal in vehicle.goals.values()}
    movable: list[PartId] = [part for part in vehicle.parts if part not in datums]
    return part_ref(max(movable, key=lambda part: len(vehicle.joints_of[part])))


def _ahead(vehicle: Vehicle, state: State) -> str:
    """Look ahead over the whole plan, which is made once."""
    found = look_ahead(vehicle, state, _plan(vehicle, state), Horizon(everything=True))
    return f"{len(found.lines)} lines over {found.sittings} sittings"


def _stretch(vehicle: Vehicle, state: State) -> str:
    """Find what fits into an evening of the plan, which is made once."""
    found = best_stretch(vehicle, state, _plan(vehicle, state), 240.0).stretch
    return f"{len(found.steps)} steps in {found.minutes:.0f} min" if found else "nothing fits"


def _balance(vehicle: Vehicle, state: State) -> str:
    """Work out the balance after every step of the plan, which is made once."""
    steps = balance_over(vehicle, state, _plan(vehicle, state))
    least = worst(steps)
    margin = "no margin" if least is None else f"{least.after.margin_m or 0.0:.2f} m at least"
    return f"{len(steps)} steps, {margin}"


@cache
def _plans() -> dict[str, Plan]:
    return {}


def _plan(vehicle: Vehicle, state: State) -> Plan:
    """The strip that leaves least on; planning itself is measured elsewhere."""
    known = _plans()
    if vehicle.about.id not in known:
        goal = max(vehicle.goals.values(), key=lambda each: (each.off_rest, len(each.off)))
        known[vehicle.about.id] = plan_strip(vehicle, state, goal)
    return known[vehicle.about.id]


QUESTIONS = (
    Question("ties", _ties),
    Question("ahead", _ahead),
    Question("stretch", _stretch),
    Question("balance over the strip", _balance),
)
"""Every question that is measured here."""


def run() -> Iterator[Figure]:
    """Ask each question of each vehicle."""
    for name, make in VEHICLES.items():
        vehicle = make()
        state = fold(entry(n, body) for n, body in enumerate(describe(vehicle))).state()
        for question in QUESTIONS:
            note = question.ask(vehicle, state)
            spent = timed(lambda: question.ask(vehicle, state), runs=RUNS)  # noqa: B023 - now
            yield figure(f"{question.name} of {name}", spent, limit_s=LIMITS_S[name], note=note)
