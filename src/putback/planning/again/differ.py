"""In what two plans to one goal differ that a person cares about, told from the plans alone.

Whole or in pieces and how heavy the heaviest piece is, this cover or that one, how many joints are
undone, how often it is stood otherwise, how often, for how long and how soon helpers are wanted,
whether the hoist comes out, how often one walks to another zone, how soon a goal on the way is
reached, which end is finished first. What differs in nothing of this is the same plan to whoever
does the work.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from enum import StrEnum
from itertools import groupby, pairwise, takewhile

from putback.logbook.open_items.wording import count
from putback.planning.again.reached import reached
from putback.planning.crew import people_for
from putback.planning.plan import Action, Plan, Step
from putback.units.show import duration_text
from putback.vehicle.ids import AssemblyId, JointId, PartId, Ref, ZoneId, part_ref, split_ref
from putback.vehicle.vehicle import Vehicle

LEAST_MINUTES = 10.0
"""Less time, in all or with helpers, than this is no difference [minutes]."""
LEAST_SHARE = 0.02
"""... nor less than this of the plan [-]."""
LEAST_JOINTS = 2
"""So many joints fewer are worth telling."""
LEAST_WALKS = 3
"""So many walks to another zone fewer are worth telling."""
LEAST_LIGHTER_KG = 10.0
"""So much lighter the heaviest piece of a whole is worth telling [kg]."""
MUCH = 0.15
"""So much of the whole plan earlier a zone is finished or a goal reached, or later helpers are
wanted [-]."""
_NAMED = 3


class Aspect(StrEnum):
    """What a person may care about."""

    WHOLE = "whole or in pieces"
    WAY = "another way in"
    JOINTS = "joints"
    STANDINGS = "changes of standing"
    HELPERS = "helpers"
    HOIST = "hoist"
    ALONE = "how long one is alone"
    WALKS = "walks"
    GOALS = "how soon a goal on the way is reached"
    ZONES = "which end is finished first"
    TIME = "time"


@dataclass(frozen=True, slots=True)
class Difference:
    """One thing in which a plan differs from another, in words.

    ``is_gain`` where that is what somebody may want: fewer people, changes or minutes, something
    that stays as it is, another end finished first.
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
    alone_minutes: float
    """How long one person gets on before the first step that wants more."""
    walks: int
    """How often the next step with a zone is in another one."""

    @property
    def total_minutes(self) -> float:
        """Work and set-up [minutes]."""
        return self.work_minutes + self.setup_minutes


def figures(plan: Plan) -> Figures:
    """Count what people compare."""
    steps = plan.steps
    standings = [plan.start, *(step.standing for step in steps)]
    changes = sum(a != b for a, b in pairwise(standings) if a is not None and b is not None)
    alone = list(takewhile(lambda step: step.crew == 1, steps))
    zones = [step.zone for step in steps if step.zone]
    return Figures(
        work_minutes=sum(step.minutes for step in steps),
        setup_minutes=sum(step.setup_minutes for step in steps),
        standing_changes=changes,
        moments=sum(with_helpers for with_helpers, _ in groupby(step.crew > 1 for step in steps)),
        most_people=max((step.crew for step in steps), default=0),
        helper_minutes=sum(step.minutes for step in steps if step.crew > 1),
        alone_minutes=sum(step.minutes + step.setup_minutes for step in alone),
        walks=sum(a != b for a, b in pairwise(zones)),
    )


def differences(vehicle: Vehicle, usual: Plan, other: Plan) -> tuple[Difference, ...]:
    """Tell in what ``other`` differs from ``usual``; nothing if in nothing that matters.

    First what is gained, then what is not.
    """
    told = [
        *_wholes(vehicle, usual, other),
        *_ways(vehicle, usual, other),
        *_goals(vehicle, usual, other),
        *_zones(vehicle, usual, other),
        *_joints(usual, other),
        *_standings(figures(usual), figures(other)),
        *_helpers(vehicle, usual, other),
        *(_alone(figures(usual), figures(other)) if _has_minutes(other) else ()),
        *_hoists(vehicle, usual, other),
        *_walks(figures(usual), figures(other)),
        *_time(figures(usual), figures(other)),
    ]
    return tuple(sorted(told, key=lambda each: not each.is_gain))


def in_words(vehicle: Vehicle, usual: Plan, other: Plan) -> str:
    """Say in one line what is gained, what is not, and what that costs or saves."""
    told = [each for each in differences(vehicle, usual, other) if each.aspect is not Aspect.TIME]
    better = [each.words for each in told if each.is_gain]
    worse = [each.words for each in told if not each.is_gain]
    if better and worse:
        worse[0] = f"but {worse[0]}"
    return "; ".join((*better, *worse, _cost(usual, other)))


def _cost(usual: Plan, other: Plan) -> str:
    """What it takes more or less: in minutes as far as there are any on record, else in steps."""
    if not (_has_minutes(usual) or _has_minutes(other)):
        more = len(other.steps) - len(usual.steps)
        steps = f"{count(abs(more), 'step')} {_sense(more)}" if more else "as many steps"
        return f"{steps}, no minutes on record"
    minutes = figures(other).total_minutes - figures(usual).total_minutes
    cost = f"{duration_text(abs(minutes))} {_sense(minutes)}"
    unknown = len({*_without_minutes(usual)} ^ {*_without_minutes(other)})
    known = f", without {count(unknown, 'joint')} that no minutes are on record for"
    return (cost if abs(minutes) >= _NOTICED else "takes as long") + (known if unknown else "")


_NOTICED = 0.5
"""Less than that is as long [minutes]."""


def _has_minutes(plan: Plan) -> bool:
    return any(step.minutes for step in plan.steps)


def _without_minutes(plan: Plan) -> Iterator[Ref]:
    return (s.what for s in plan.steps if s.action is Action.UNDO and not s.minutes)


# -- which way ----------------------------------------------------------------------------------


def _as_one(plan: Plan) -> list[Ref]:
    taken = [step.what for step in plan.steps if step.action is Action.TAKE_OFF]
    return [what for what in taken if split_ref(what)[0] == "assembly"]


def _wholes(vehicle: Vehicle, usual: Plan, other: Plan) -> Iterator[Difference]:
    before, now = _as_one(usual), _as_one(other)
    for what in now:
        if what not in before:
            yield Difference(Aspect.WHOLE, f"{vehicle.name_of(what)} as one")
    for what in before:
        if what in now:
            continue
        words = f"{vehicle.name_of(what)} in pieces, on the vehicle"
        alone = _people_on(vehicle, usual, what) > 1 and _people_on(vehicle, other, what) == 1
        words += ", so one person can do it" if alone else ""
        heavy, light = _heaviest_kg(vehicle, usual, what), _heaviest_kg(vehicle, other, what)
        lighter = heavy is not None and light is not None and heavy - light >= LEAST_LIGHTER_KG
        words += f", {light:.0f} kg to lift at the most, not {heavy:.0f}" if lighter else ""
        yield Difference(Aspect.WHOLE, words, alone or lighter)


def _people_on(vehicle: Vehicle, plan: Plan, whole: Ref) -> int:
    """How many people it takes to get a whole off, or its parts and what joins them; 0 if none."""
    parts = set(vehicle.assemblies[AssemblyId(split_ref(whole)[1])].parts)
    steps = (step for step in plan.steps if _is_of(vehicle, step, parts))
    return max((people_for(vehicle, step) for step in steps), default=0)


def _heaviest_kg(vehicle: Vehicle, plan: Plan, whole: Ref) -> float | None:
    """How heavy the heaviest piece is in which a whole comes off [kg]; ``None`` if unknown."""
    parts = set(vehicle.assemblies[AssemblyId(split_ref(whole)[1])].parts)
    heaviest = 0.0
    for step in plan.steps:
        if step.action is Action.TAKE_OFF and _is_of(vehicle, step, parts):
            masses = [vehicle.parts[part].mass_kg for part in _lifted(vehicle, step.what)]
            known = [mass for mass in masses if mass is not None]
            if len(known) < len(masses):
                return None
            heaviest = max(heaviest, sum(known))
    return heaviest


def _lifted(vehicle: Vehicle, what: Ref) -> tuple[PartId, ...]:
    """The parts that come away in one lift."""
    kind, identity = split_ref(what)
    if kind == "assembly":
        return vehicle.assemblies[AssemblyId(identity)].parts
    return (PartId(identity),)


def _is_of(vehicle: Vehicle, step: Step, parts: set[PartId]) -> bool:
    kind, identity = split_ref(step.what)
    if kind == "joint":
        joined = set(vehicle.joints[JointId(identity)].parts)
        return len(joined) > 1 and joined <= parts
    if kind == "assembly":
        return not parts.isdisjoint(vehicle.assemblies[AssemblyId(identity)].parts)
    return kind == "part" and identity in parts


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
    if fewer:
        words = f"{_names(vehicle, fewer)} {'stays' if len(fewer) == 1 else 'stay'} untouched"
        yield Difference(Aspect.WAY, words, is_gain=len(more) <= len(fewer))
    if more:
        yield Difference(Aspect.WAY, f"{_names(vehicle, more)} as well")


def _names(vehicle: Vehicle, things: Sequence[Ref]) -> str:
    """Name a few things, and count the rest."""
    names = [vehicle.name_of(what) for what in things]
    if len(names) > _NAMED + 1:
        names[_NAMED:] = [f"{len(names) - _NAMED} more"]
    return " and ".join([", ".join(names[:-1]), names[-1]] if names[1:] else names)


def _joints(usual: Plan, other: Plan) -> Iterator[Difference]:
    more = _undone(other) - _undone(usual)
    if abs(more) >= LEAST_JOINTS:
        sense = "more" if more > 0 else "fewer"
        yield Difference(Aspect.JOINTS, f"{abs(more)} joints {sense} to undo", more < 0)


def _undone(plan: Plan) -> int:
    return sum(step.action is Action.UNDO for step in plan.steps)


# -- figures ------------------------------------------------------------------------------------


def _standings(usual: Figures, other: Figures) -> Iterator[Difference]:
    changes = other.standing_changes - usual.standing_changes
    if changes:
        sense = "more" if changes > 0 else "fewer"
        words = f"{count(abs(changes), 'change')} of standing {sense}"
        yield Difference(Aspect.STANDINGS, words, changes < 0)


def _helpers(vehicle: Vehicle, usual: Plan, other: Plan) -> Iterator[Difference]:
    before, now = figures(usual), figures(other)
    people = now.most_people - before.most_people
    if people:
        alone = now.most_people == 1 == max(people_for(vehicle, step) for step in other.steps)
        words = f"{now.most_people} people at the most, not {before.most_people}"
        words = "one person can do all of it" if alone else words
        yield Difference(Aspect.HELPERS, words, people < 0)
    if not (before.moments and now.moments):
        return  # who is alone all the time is told of already
    if now.moments != before.moments:
        words = f"helpers called {_times(now.moments, before.moments)}"
        yield Difference(Aspect.HELPERS, words, now.moments < before.moments)
    minutes = now.helper_minutes - before.helper_minutes
    if abs(minutes) >= LEAST_MINUTES:
        words = f"helpers wanted for {duration_text(abs(minutes))} {_sense(minutes)}"
        yield Difference(Aspect.HELPERS, words, minutes < 0)


def _alone(usual: Figures, other: Figures) -> Iterator[Difference]:
    """Whether one person gets on much longer before helpers are wanted for the first time."""
    if not (usual.moments and other.moments):
        return
    longer = other.alone_minutes - usual.alone_minutes
    if longer >= max(LEAST_MINUTES, MUCH * usual.total_minutes):
        now, before = duration_text(other.alone_minutes), duration_text(usual.alone_minutes)
        words = f"no helpers wanted for the first {now}, not {before}"
        yield Difference(Aspect.ALONE, words, is_gain=True)


def _walks(usual: Figures, other: Figures) -> Iterator[Difference]:
    more = other.walks - usual.walks
    if abs(more) >= max(LEAST_WALKS, LEAST_SHARE * usual.walks):
        words = f"{count(abs(more), 'walk')} to another zone {'more' if more > 0 else 'fewer'}"
        yield Difference(Aspect.WALKS, words, more < 0)


def _hoists(vehicle: Vehicle, usual: Plan, other: Plan) -> Iterator[Difference]:
    before, now = _hoisted(vehicle, usual), _hoisted(vehicle, other)
    if now != before:
        words = f"lifting gear out {_times(now, before)}" if now else "no lifting gear"
        yield Difference(Aspect.HOIST, words, now < before)


def _hoisted(vehicle: Vehicle, plan: Plan) -> int:
    """How many lifts are done with a hoist or the like."""
    lifts = 0
    for step in plan.steps:
        kind, identity = split_ref(step.what)
        if step.action is Action.TAKE_OFF and kind == "assembly":
            lifts += bool(vehicle.assemblies[AssemblyId(identity)].hoist)
        elif step.action is Action.TAKE_OFF and PartId(identity) in vehicle.parts:
            lifts += bool(vehicle.parts[PartId(identity)].hoist)
    return lifts


def _time(usual: Figures, other: Figures) -> Iterator[Difference]:
    minutes = other.total_minutes - usual.total_minutes
    if abs(minutes) >= max(LEAST_MINUTES, LEAST_SHARE * usual.total_minutes):
        words = f"{duration_text(abs(minutes))} {_sense(minutes)}"
        yield Difference(Aspect.TIME, words, minutes < 0)


def _sense(change: float) -> str:
    return "more" if change > 0 else "less"


def _times(now: int, before: int) -> str:
    """``5 times, not 4``; ``once, not never``."""
    words = {0: "never", 1: "once", 2: "twice"}
    then = words.get(before, str(before) if now not in words else f"{before} times")
    return f"{words.get(now, f'{now} times')}, not {then}"


# -- what is reached and finished first ---------------------------------------------------------


def _ends(plan: Plan) -> Iterator[tuple[Step, float]]:
    """Give each step and when it is done: in [minutes], in steps where none are on record."""
    at, known = 0.0, _has_minutes(plan)
    for step in plan.steps:
        at += step.minutes + step.setup_minutes if known else 1.0
        yield step, at


def _goals(vehicle: Vehicle, usual: Plan, other: Plan) -> Iterator[Difference]:
    """The goal on the way that is reached much earlier, if there is one."""
    before, now = (
        {each.goal: each.minutes if _has_minutes(usual) else each.steps for each in some}
        for some in (reached(vehicle, usual), reached(vehicle, other))
    )
    gains = {goal: before[goal] - at for goal, at in now.items() if goal in before}
    goal = max(gains, key=lambda each: gains[each], default=None)
    if goal is not None and gains[goal] >= _much(usual):
        words = _when(usual, now[goal], before[goal])
        yield Difference(Aspect.GOALS, f"{vehicle.goals[goal].name} reached {words}", is_gain=True)


def finished(plan: Plan) -> dict[ZoneId, float]:
    """When the last step in each zone is done, the first finished first.

    In [minutes]; in steps where no minutes are on record.
    """
    ends = {step.zone: end for step, end in _ends(plan) if step.zone}
    return dict(sorted(ends.items(), key=lambda each: each[1]))


def _zones(vehicle: Vehicle, usual: Plan, other: Plan) -> Iterator[Difference]:
    """The zone that is finished much earlier, if there is one."""
    before, now = finished(usual), finished(other)
    gains = {
        zone: before[zone] - at
        for zone, at in now.items()
        if zone in before and _share(usual, zone) >= _LARGE
    }
    if not gains:
        return
    zone = max(gains, key=lambda each: gains[each])
    if gains[zone] >= _much(usual):
        record = vehicle.zones.get(zone)
        name = record.name if record else zone
        words = _when(usual, now[zone], before[zone])
        yield Difference(Aspect.ZONES, f"{name} finished {words}", is_gain=True)


def _much(usual: Plan) -> float:
    """How much earlier is much: in [minutes], in steps where none are on record."""
    whole = max((end for _, end in _ends(usual)), default=0.0)
    return max(LEAST_MINUTES, MUCH * whole)


def _when(usual: Plan, now: float, before: float) -> str:
    if _has_minutes(usual):
        return f"after {duration_text(now)}, not {duration_text(before)}"
    return f"after {now:.0f} steps, not {before:.0f}"


_LARGE = 0.05
"""So much of the work must be in it [-]."""


def _share(plan: Plan, zone: ZoneId) -> float:
    """How much of the work, or of the steps, is done in a zone [-]."""
    known = _has_minutes(plan)
    sizes = [(step.zone, step.minutes if known else 1.0) for step in plan.steps]
    return sum(size for each, size in sizes if each == zone) / sum(size for _, size in sizes)
