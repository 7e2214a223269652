"""In what two plans to one goal differ that a person cares about, told from the plans alone.

Whole or in pieces, this cover or that one, how often it is stood otherwise, how often and for how
long helpers are called, work against set-up, which end is finished first. What differs in nothing
of this is the same plan to whoever does the work.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from enum import StrEnum
from itertools import groupby, pairwise

from putback.planning.fact import name_of
from putback.planning.plan import Action, Plan
from putback.vehicle.ids import AssemblyId, Ref, ZoneId, part_ref, split_ref
from putback.vehicle.vehicle import Vehicle

LEAST_MINUTES = 10.0
"""Less work, set-up or time with helpers than this is no difference [minutes]."""
LEAST_SHARE = 0.02
"""... nor less than this of the plan [-]."""
_NAMED = 3


class Aspect(StrEnum):
    """What a person may care about."""

    WHOLE = "whole or in pieces"
    WAY = "another way in"
    STANDINGS = "changes of standing"
    HELPERS = "helpers"
    WORK = "work"
    SETUP = "set-up"
    ZONES = "which end is finished first"


TASTE = frozenset({Aspect.WHOLE, Aspect.WAY, Aspect.ZONES})
"""Neither better nor worse in itself; with anything else a plan must gain to be worth offering."""


@dataclass(frozen=True, slots=True)
class Difference:
    """One thing in which a plan differs from another, in words.

    ``is_gain`` where it is plainly better: fewer changes, helpers or minutes of a kind.
    """

    aspect: Aspect
    words: str
    is_gain: bool = False


@dataclass(frozen=True, slots=True)
class Figures:
    """A plan in the figures that people compare; times in [minutes]."""

    work_minutes: float
    setup_minutes: float
    standing_changes: int
    moments: int
    """Stretches of steps that want more than one person."""
    most_people: int
    helper_minutes: float
    """How long more than one person is wanted, summed over the steps."""

    @property
    def total_minutes(self) -> float:
        """Work and set-up [minutes]."""
        return self.work_minutes + self.setup_minutes


def figures(plan: Plan) -> Figures:
    """Count what people compare."""
    steps = plan.steps
    standings = [plan.start, *(step.standing for step in steps)]
    changes = sum(a != b for a, b in pairwise(standings) if a is not None and b is not None)
    return Figures(
        work_minutes=sum(step.minutes for step in steps),
        setup_minutes=sum(step.setup_minutes for step in steps),
        standing_changes=changes,
        moments=sum(with_helpers for with_helpers, _ in groupby(step.crew > 1 for step in steps)),
        most_people=max((step.crew for step in steps), default=0),
        helper_minutes=sum(step.minutes for step in steps if step.crew > 1),
    )


def differences(vehicle: Vehicle, usual: Plan, other: Plan) -> tuple[Difference, ...]:
    """Tell in what ``other`` differs from ``usual``; nothing if in nothing that matters.

    First what is a matter of taste, then what is better, then what is worse.
    """
    told = [
        *_wholes(vehicle, usual, other),
        *_ways(vehicle, usual, other),
        *_zones(vehicle, usual, other),
        *_figures(figures(usual), figures(other)),
    ]
    return tuple(sorted(told, key=lambda each: (each.aspect not in TASTE, not each.is_gain)))


def in_words(vehicle: Vehicle, usual: Plan, other: Plan) -> str:
    """Say in one line what differs, then what it costs or saves in minutes."""
    told = [difference.words for difference in differences(vehicle, usual, other)]
    more = figures(other).total_minutes - figures(usual).total_minutes
    sense = "more" if more > 0 else "less"
    told.append(f"{abs(more):.0f} minutes {sense}" if abs(more) >= 0.5 else "as long")
    return "; ".join(told)


# -- which way ----------------------------------------------------------------------------------


def _taken(plan: Plan) -> list[Ref]:
    return [step.what for step in plan.steps if step.action is Action.TAKE_OFF]


def _as_one(plan: Plan) -> list[Ref]:
    return [what for what in _taken(plan) if split_ref(what)[0] == "assembly"]


def _wholes(vehicle: Vehicle, usual: Plan, other: Plan) -> Iterator[Difference]:
    before, now = _as_one(usual), _as_one(other)
    for what in now:
        if what not in before:
            yield Difference(Aspect.WHOLE, f"{name_of(vehicle, what)} as one")
    for what in before:
        if what not in now:
            yield Difference(Aspect.WHOLE, f"{name_of(vehicle, what)} in pieces, on the vehicle")


def _off(vehicle: Vehicle, plan: Plan) -> list[Ref]:
    """Every part that comes off, alone or with a whole, and every declared job."""
    found: list[Ref] = []
    for step in plan.steps:
        kind, identity = split_ref(step.what)
        if kind == "assembly":
            found += map(part_ref, vehicle.assemblies[AssemblyId(identity)].parts)
        elif kind != "joint":
            found.append(step.what)
    return list(dict.fromkeys(found))


def _ways(vehicle: Vehicle, usual: Plan, other: Plan) -> Iterator[Difference]:
    before, now = _off(vehicle, usual), _off(vehicle, other)
    more = [what for what in now if what not in before]
    fewer = [what for what in before if what not in now]
    if more and fewer:
        words = f"{_names(vehicle, more)} instead of {_names(vehicle, fewer)}"
        yield Difference(Aspect.WAY, words)
    elif more:
        yield Difference(Aspect.WAY, f"but {_names(vehicle, more)} as well")
    elif fewer:
        yield Difference(Aspect.WAY, f"without {_names(vehicle, fewer)}", is_gain=True)


def _names(vehicle: Vehicle, things: Sequence[Ref]) -> str:
    names = [name_of(vehicle, what) for what in things[:_NAMED]]
    rest = len(things) - len(names)
    return " and ".join([", ".join(names), f"{rest} more"] if rest else [", ".join(names)])


# -- figures ------------------------------------------------------------------------------------


def _figures(usual: Figures, other: Figures) -> Iterator[Difference]:
    changes = other.standing_changes - usual.standing_changes
    if changes:
        words = f"{_count(abs(changes), 'change')} of standing {_sense(changes)}"
        yield Difference(Aspect.STANDINGS, words, changes < 0)
    yield from _helpers(usual, other)
    least = max(LEAST_MINUTES, LEAST_SHARE * usual.total_minutes)
    for aspect, minutes in (
        (Aspect.WORK, other.work_minutes - usual.work_minutes),
        (Aspect.SETUP, other.setup_minutes - usual.setup_minutes),
    ):
        if abs(minutes) >= least:
            words = f"{abs(minutes):.0f} minutes of {aspect} {_sense(minutes)}"
            yield Difference(aspect, words, minutes < 0)


def _helpers(usual: Figures, other: Figures) -> Iterator[Difference]:
    people = other.most_people - usual.most_people
    if people:
        words = f"{other.most_people} people at the most, not {usual.most_people}"
        yield Difference(Aspect.HELPERS, words, people < 0)
    moments = other.moments - usual.moments
    if moments:
        words = f"helpers called {_times(other.moments)}, not {_times(usual.moments)}"
        words = words.replace(" times, not", ", not") if usual.moments > 2 else words
        yield Difference(Aspect.HELPERS, words, moments < 0)
    minutes = other.helper_minutes - usual.helper_minutes
    if abs(minutes) >= LEAST_MINUTES:
        words = f"helpers for {abs(minutes):.0f} minutes {_sense(minutes)}"
        yield Difference(Aspect.HELPERS, words, minutes < 0)


def _sense(change: float) -> str:
    return "more" if change > 0 else "less"


def _count(number: int, one: str) -> str:
    return f"{number} {one}{'' if number == 1 else 's'}"


def _times(number: int) -> str:
    return {0: "never", 1: "once", 2: "twice"}.get(number, f"{number} times")


# -- which end first ----------------------------------------------------------------------------


def finished(plan: Plan) -> dict[ZoneId, float]:
    """When the last step in each zone is done, the first finished first [minutes]."""
    at = 0.0
    ends: dict[ZoneId, float] = {}
    for step in plan.steps:
        at += step.minutes + step.setup_minutes
        if step.zone:
            ends[step.zone] = at
    return dict(sorted(ends.items(), key=lambda each: each[1]))


def _zones(vehicle: Vehicle, usual: Plan, other: Plan) -> Iterator[Difference]:
    """The zone that is finished much earlier, if there is one."""
    before, now = finished(usual), finished(other)
    gains = {
        zone: before[zone] - minutes
        for zone, minutes in now.items()
        if zone in before and _share(usual, zone) >= _LARGE
    }
    if not gains:
        return
    zone = max(gains, key=lambda each: gains[each])
    if gains[zone] >= max(LEAST_MINUTES, _MUCH * figures(usual).total_minutes):
        record = vehicle.zones.get(zone)
        name = record.name if record else zone
        words = f"{name} finished after {now[zone]:.0f} minutes, not {before[zone]:.0f}"
        yield Difference(Aspect.ZONES, words)


_MUCH = 0.15
"""So much of the whole earlier a zone must be finished [-]."""
_LARGE = 0.05
"""So much of the work must be in it [-]."""


def _share(plan: Plan, zone: ZoneId) -> float:
    work = sum(step.minutes for step in plan.steps)
    here = sum(step.minutes for step in plan.steps if step.zone == zone)
    return here / work if work else 0.0
