"""What must precede each step of a rebuild, so that somebody may take them in another order.

As `putback.planning.precede` says it of a strip. Here what goes on is fastened next, so a *visit*
lasts from where something goes on until nothing is in the air; its steps follow one another.
Besides what `what_orders` settled:

- units that share a joint go on in the plan's order, so that each finds what it touches, and the
  joints that are made before any of them is tightened are the same;
- a step by which one joint of those could be made stays behind the tightening it came behind;
- what weighs keeps its order where another might tip it, and all of a stint where what carries
  the vehicle is only being joined to it;
- proving, weighing and running are where the plan has them.
"""

from collections.abc import Iterator, Sequence
from itertools import pairwise
from typing import TYPE_CHECKING

from putback.logbook.fluids import pours_of
from putback.logbook.state import State
from putback.planning.plan import USUAL, Action, PlanSettings, Step
from putback.planning.precede import Precedence, is_steady, stints_of
from putback.planning.rebuild.aloft import Aloft
from putback.planning.rebuild.fastening import Fastenings
from putback.planning.rebuild.planner import what_orders
from putback.planning.rebuild.stands import Stands
from putback.planning.rebuild.work import Node, Work
from putback.planning.weight.poise import poise_of
from putback.vehicle.ids import AssemblyId, FluidId, JobId, JointId, PartId, split_ref
from putback.vehicle.job import JobKind
from putback.vehicle.vehicle import Vehicle

if TYPE_CHECKING:
    from putback.vehicle.masses import Heft

_IN_PLACE = frozenset({JobKind.PROVE, JobKind.WEIGH, JobKind.RUN})
"""Jobs that speak of all that was done before them."""
_TIGHTENING = frozenset({Action.TIGHTEN, Action.FINISH})

Pair = tuple[int, int]
"""The first step, and the one that comes after it."""


def precede_rebuild(
    vehicle: Vehicle, state: State, steps: Sequence[Step], settings: PlanSettings = USUAL
) -> tuple[Precedence, ...]:
    """Say of each step of a rebuild what must precede it.

    Parameters
    ----------
    vehicle : Vehicle
        What the vehicle is made of.
    state : State
        What is done.
    steps : sequence of Step
        Of its plan, those that are still to be done.
    settings : PlanSettings
        How surely the vehicle is to stand.

    Raises
    ------
    ImpossibleGoal
        If the facts contradict each other.
    """
    work, settled = what_orders(vehicle, state)
    at = {Node(step.action, step.what): n for n, step in enumerate(steps)}
    stints, (visits, is_begun) = tuple(stints_of(steps)), _visits(work, steps)
    facts = [(at[e.first], at[e.then]) for e in settled.edges if e.first in at and e.then in at]
    needs: list[set[int]] = [set() for _ in steps]
    for first, then in facts:
        needs[then].add(first)
    missing = {
        at[edge.then]
        for edge in settled.edges
        if edge.then in at and edge.first not in at and edge.first in set(work.nodes)
    }
    pairs = (
        *_neighbours(work, steps),
        *_loose_first(work, steps, needs),
        *_in_place(work, steps, stints),
        *_held_first(work, steps),
        *_weighty(vehicle, state, steps, stints, settings),
        *(pair for pair in pairwise(range(len(steps))) if _is_one(visits, *pair)),
        *(_begun_first(visits) if is_begun else ()),
    )
    for first, then in pairs:
        needs[then].add(first)
    for first, then in tuple(_before_the_visit(visits, stints, needs)):
        needs[then].add(first)
    return tuple(
        Precedence(
            stints[n],
            (*((each,) for each in sorted(of)), *([()] if n in missing else [])),
            visits[n],
        )
        for n, of in enumerate(needs)
    )


def _held_first(work: Work, steps: Sequence[Step]) -> Iterator[Pair]:
    """What was left in the air is held before an end of a run is made, if the plan has it so."""
    fastenings = Fastenings(work, Stands(work))
    if not Aloft(fastenings, steps[0].standing if steps else None).in_air:
        return
    holding: list[int] = []
    for number, step in enumerate(steps):
        at = fastenings.index.get(Node(step.action, step.what))
        if at is not None and fastenings.held_from(at) is not None:
            holding.append(number)
        elif step.action is Action.MAKE:
            yield from ((first, number) for first in holding)


def _is_one(visits: Sequence[int | None], first: int, then: int) -> bool:
    return visits[first] is not None and visits[first] == visits[then]


def _before_the_visit(
    visits: Sequence[int | None], stints: Sequence[int], needs: Sequence[set[int]]
) -> Iterator[Pair]:
    """Once a visit is begun nothing comes between: what any of it waits for is done before it.

    So is all else of the stints that it leaves behind.
    """
    begun: dict[int, int] = {}
    for number, visit in enumerate(visits):
        if visit is None:
            continue
        first = begun.setdefault(visit, number)
        yield from ((each, first) for each in needs[number] if each < first)
        if stints[number] != stints[first]:
            yield from ((n, first) for n in range(first) if stints[n] == stints[first])


def _begun_first(visits: Sequence[int | None]) -> Iterator[Pair]:
    """What is in the air from before is fastened before anything else."""
    last = max((n for n, visit in enumerate(visits) if visit == 0), default=-1)
    return ((last, n) for n in range(last + 1, len(visits)))


def _visits(work: Work, steps: Sequence[Step]) -> tuple[tuple[int | None, ...], bool]:
    """Number the visits: stretches of steps between which something that went on is in the air.

    Also tells whether the first of them was begun before the first step.
    """
    fastenings = Fastenings(work, Stands(work))
    aloft = Aloft(fastenings, steps[0].standing if steps else None)
    found: list[int | None] = []
    is_open = is_begun = not aloft.in_hand.isdisjoint(aloft.in_air)
    visit = 0 if is_open else -1
    for step in steps:
        if step.standing != aloft.standing:
            aloft.stand(step.standing)
        was_open = is_open
        number = fastenings.index.get(Node(step.action, step.what))
        if number is not None:
            aloft.do(number, work.nodes[number])
        is_open = not aloft.in_hand.isdisjoint(aloft.in_air)
        if is_open and not was_open:
            visit += 1
        found.append(visit if is_open or was_open else None)
    return tuple(found), is_begun


def _parts_on(work: Work, step: Step) -> frozenset[PartId]:
    """The parts that a step puts on; of what is whole no more, those that are still off."""
    if step.action is not Action.PUT_ON:
        return frozenset()
    kind, identity = split_ref(step.what)
    if kind == "assembly" and identity not in work.wholes:
        described = work.vehicle.assemblies.get(AssemblyId(identity))
        return frozenset(described.parts if described else ()).intersection(work.back)
    return frozenset(work.unit_parts(step.what))


def _neighbours(work: Work, steps: Sequence[Step]) -> Iterator[Pair]:
    """Units that share a joint go on one after the other; who touches nothing, where it does."""
    puts_on = {part: n for n, step in enumerate(steps) for part in _parts_on(work, step)}
    touches: dict[int, set[int | None]] = {}
    for joint in work.joints.values():
        numbers = {puts_on.get(part) for part in joint.parts}
        for number in (each for each in numbers if each is not None):
            touches.setdefault(number, set()).update(numbers - {number})
    for then, others in touches.items():
        near = [each for each in others if each is not None]
        yield from ((first, then) for first in near if first < then)
        if None not in others and all(each > then for each in near):
            yield from ((min(n, then), max(n, then)) for n in range(len(steps)) if n != then)


def _loose_first(work: Work, steps: Sequence[Step], needs: Sequence[set[int]]) -> Iterator[Pair]:
    """What lets another joint of the same unit be made stays behind the tightening before it."""
    tightened: dict[JointId, list[int]] = {}
    made: dict[JointId, int] = {}
    for number, step in enumerate(steps):
        kind, identity = split_ref(step.what)
        if kind == "joint" and step.action is Action.MAKE:
            made[JointId(identity)] = number
        elif kind == "joint" and step.action in _TIGHTENING:
            tightened.setdefault(JointId(identity), []).append(number)
    of_part: dict[PartId, list[JointId]] = {}
    for joint in {**made, **tightened}:
        for part in work.joints[joint].parts:
            of_part.setdefault(part, []).append(joint)
    for joints in of_part.values():
        for one in joints:
            for other in joints:
                for tight in tightened.get(one, ()) if one != other and other in made else ():
                    make = made[other]
                    if make < tight:
                        yield make, tight
                    else:
                        yield tight, make
                        yield from ((tight, first) for first in needs[make] if first > tight)


def _in_place(work: Work, steps: Sequence[Step], stints: Sequence[int]) -> Iterator[Pair]:
    """Keep jobs that speak of all before them, and steps with a line of the whole, in place.

    So is what the state does not ask for as the plan has it: it was logged otherwise meanwhile.
    """
    vehicle, nodes = work.vehicle, set(work.nodes)
    for number, step in enumerate(steps):
        kind, identity = split_ref(step.what)
        job = vehicle.jobs.get(JobId(identity)) if kind == "job" else None
        changed = bool(number) and stints[number - 1] != stints[number]
        is_fixed = (
            Node(step.action, step.what) not in nodes
            or (job is not None and job.kind in _IN_PLACE)
            or bool(step.add_support)
            or (bool(step.take_out) and step.action not in (Action.PUT_ON, Action.MAKE))
            or (not number and bool(step.prop_first))
            or (changed and bool(step.cautions))  # what is slack is named there
        )
        for other in range(len(steps)) if is_fixed else ():
            if other != number and stints[other] == stints[number]:
                yield min(number, other), max(number, other)


def _weighty(
    vehicle: Vehicle,
    state: State,
    steps: Sequence[Step],
    stints: Sequence[int],
    settings: PlanSettings,
) -> Iterator[Pair]:
    """Keep what adds weight in order, in stints in which another order might tip it."""
    poise, fills = poise_of(vehicle, state), pours_of(vehicle).fills
    for stint in range(max(stints, default=-1) + 1):
        here = [n for n, each in enumerate(stints) if each == stint]
        hefts: list[Heft] = []
        weighty: list[int] = []
        name = steps[here[0]].standing
        standing = vehicle.standings.get(name) if name is not None else None
        borne = {e.bears_on for e in standing.supports if not e.beside} if standing else set()
        is_joined = True
        for number in here:
            kind, identity = split_ref(steps[number].what)
            parts: list[PartId] = []
            fluids: list[FluidId] = []
            if steps[number].action is Action.PUT_ON:
                whole = vehicle.assemblies.get(AssemblyId(identity))
                named = whole.parts if whole is not None else (PartId(identity),)
                parts = [p for p in named if p in vehicle.parts and not poise.is_on(p)]
            elif kind == "fluid" and steps[number].action is Action.FILL:
                fluids = [FluidId(identity)]
            elif kind == "job":
                fluids = list(fills.get(JobId(identity), ()))
            elif kind == "joint" and steps[number].action is not Action.CHECK:
                joint = vehicle.joints.get(JointId(identity))
                is_joined = is_joined and (joint is None or borne.isdisjoint(joint.parts))
            for part in parts:
                poise.put_on(part)
            for fluid in fluids:
                poise.fill(fluid)
            held = [f for f, each in vehicle.fluids.items() if each.part in parts]
            hefts += [poise.hefts.parts[part] for part in parts]
            hefts += poise.fluid_hefts((*fluids, *held))
            if parts or fluids:
                weighty.append(number)
        if not is_joined:
            yield from pairwise(here)
        elif not is_steady(poise, steps[here[0]].standing, hefts, settings.least_margin_m):
            yield from pairwise(weighty)
