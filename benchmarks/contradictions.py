"""Goals that two planted facts make impossible: is what contradicts proven the smallest, how soon.

Facts are planted in pairs, as they are misread or come to light: one thing before another, one
that cannot be done any more after another, a joint for which one standing alone will do, a part
kept on. The two close a ring through what is described. Time is of the processor, not the clock.
"""

import random
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace
from itertools import combinations_with_replacement, islice
from statistics import mean
from time import process_time

from benchmarks.logbooks import entry
from benchmarks.measure import Figure, figure
from putback.logbook.fold import fold
from putback.planning.impossible.contradict import smallest_contradiction
from putback.planning.impossible.grounds import grounds_of
from putback.planning.posing.pose import pose, targets_of
from putback.planning.posing.problem import Clause, Problem
from putback.planning.search.choose import Contradiction, cheapest
from putback.vehicle.demo import demo_vehicle
from putback.vehicle.facts import Before, HarderAfter
from putback.vehicle.generate import generate
from putback.vehicle.goal import Goal
from putback.vehicle.ids import (
    FactId,
    JointId,
    PartId,
    Ref,
    SupportId,
    joint_ref,
    part_ref,
    split_ref,
)
from putback.vehicle.standing import Standing, Support
from putback.vehicle.vehicle import Vehicle
from putback.workshop.logbooks.describe import describe

VEHICLES: Mapping[str, tuple[Callable[[], Vehicle], int]] = {
    "the demo": (demo_vehicle, 4),
    "100 parts": (lambda: generate(100, seed=7), 3),
    "400 parts": (lambda: generate(400, seed=7), 2),
}
"""Each with how many goals of each pair of kinds are drawn."""
KINDS = ("before", "never after", "stood", "kept")
SEED = 1
MANY = 4
"""Facts from which a contradiction is not proven the smallest by its size alone."""
LIMIT_S = 1.0
"""What a person waits for the answer at most, but for one of twenty [s]."""

_DRAWS = 30
"""Times it is drawn for each that is wanted, at most."""


@dataclass(frozen=True, slots=True)
class Impossible:
    """A goal that two planted facts make impossible, named by how, and posed."""

    name: str
    problem: Problem
    targets: tuple[Clause, ...]


class Planter:
    """Draws pairs of facts that close a ring through what is described; the same for one seed."""

    def __init__(self, vehicle: Vehicle) -> None:
        """Find out what each thing needs in every plan."""
        self.vehicle = vehicle
        state = fold(entry(n, body) for n, body in enumerate(describe(vehicle))).state()
        standing = next(iter(vehicle.standings), None)
        self.state = replace(state, standing=replace(state.standing, standing=standing))
        problem = pose(vehicle, self.state)
        graph = grounds_of(problem, ()).graph
        self.things: list[Ref] = [
            *map(part_ref, sorted(vehicle.parts)),
            *map(joint_ref, sorted(vehicle.joints)),
        ]
        of = {ref: problem.providers.get(ref, ()) for ref in self.things}
        self.later: dict[Ref, list[Ref]] = {}
        """What in every plan comes after each thing."""
        for ref in self.things:
            left = graph.possible(never=of[ref])
            self.later[ref] = [t for t in self.things if t != ref and left.isdisjoint(of[t])]

    def draw(self, chance: random.Random, one: str, two: str) -> Impossible | None:
        """Plant a pair; ``None`` where what comes of it is not surely impossible."""
        goal = chance.choice(sorted(self.vehicle.goals.values(), key=lambda each: each.id))
        found = Planted(self.vehicle, goal)
        first, second = chance.sample([t for t in self.things if self.later[t]], 2)
        # What comes after the one is to come before the other, and the other way round.
        found = found.plant(chance, one, chance.choice(self.later[first]), second, 1)
        found = found.plant(chance, two, chance.choice(self.later[second]), first, 2)
        problem = pose(found.vehicle, self.state, {*found.goal.on, found.goal.datum})
        targets = targets_of(problem, self.state, found.goal)
        name = f"{self.vehicle.about.id} {goal.id}: {one}, {two}"
        return Impossible(name, problem, targets) if _is_impossible(problem, targets) else None


@dataclass(frozen=True, slots=True)
class Planted:
    """Vehicle and goal with what was planted so far."""

    vehicle: Vehicle
    goal: Goal

    def plant(self, chance: random.Random, kind: str, first: Ref, then: Ref, n: int) -> "Planted":
        """Let one thing have to come before another, somehow."""
        v = self.vehicle
        identity = FactId(f"planted-{n}")
        match kind:
            case "before":
                fact = Before(identity, first, then, "planted")
                v = v.with_records(befores={**v.befores, identity: fact})
            case "never after":
                late = HarderAfter(identity, first, then, None)
                v = v.with_records(harder_afters={**v.harder_afters, identity: late})
            case "stood":  # where it comes first: what it is done on bears on the other
                standing = self._bearing_on(chance, then)
                joints = [j for j in v.joints.values() if joint_ref(j.id) == first]
                joints = joints or [v.joints[j] for j in v.joints_of[PartId(split_ref(first)[1])]]
                bound = replace(chance.choice(joints), standings=(standing.id,))
                v = v.with_records(
                    joints={**v.joints, bound.id: bound},
                    standings={**v.standings, standing.id: standing},
                )
            case _:  # what comes first is kept on
                kept = PartId(split_ref(first)[1])
                off = tuple(part for part in self.goal.off if part != kept)
                fact = Before(identity, first, then, "planted")
                v = v.with_records(befores={**v.befores, identity: fact})
                if kept in v.parts:
                    on = (*self.goal.on, kept)
                    return Planted(v, replace(self.goal, on=on, off=off))
        return Planted(v, self.goal)

    def _bearing_on(self, chance: random.Random, then: Ref) -> Standing:
        """Some standing, with one support more."""
        standing = chance.choice(sorted(self.vehicle.standings.values(), key=lambda s: s.id))
        kind, identity = split_ref(then)
        joints = self.vehicle.joints
        part = identity if kind == "part" else joints[JointId(identity)].parts[0]
        more = Support(SupportId("planted"), "stand", PartId(part), (0.0, 0.0))
        return replace(standing, supports=(*standing.supports, more))


def goals_of(vehicle: Vehicle, seed: int, each: int) -> Iterator[Impossible]:
    """Draw so many impossible goals of each pair of kinds; the same for the same seed."""
    planter = Planter(vehicle)
    for one, two in combinations_with_replacement(KINDS, 2):
        chance = random.Random(f"{seed} {one} {two}")
        drawn = (planter.draw(chance, one, two) for _ in range(_DRAWS * each))
        yield from islice((each for each in drawn if each is not None), each)


def _is_impossible(problem: Problem, targets: tuple[Clause, ...]) -> bool:
    """Whether it surely is, by what must come before what alone."""
    grounds = grounds_of(problem, targets)
    if grounds.goal not in grounds.graph.possible():
        return True
    try:
        cheapest(problem, targets, minutes=lambda node: node.minutes)
    except Contradiction:
        return True
    return False


def run() -> Iterator[Figure]:
    """Ask of each goal what contradicts it."""
    for name, (make, each) in VEHICLES.items():
        spent: list[float] = []
        sizes: list[int] = []
        proven = 0
        for goal in goals_of(make(), SEED, each):
            start = process_time()
            found = smallest_contradiction(goal.problem, goal.targets)
            spent.append(process_time() - start)
            sizes.append(len(found.facts))
            proven += found.smallest
        many = sum(size >= MANY for size in sizes)
        note = f"{proven} of {len(sizes)} proven the smallest, {many} of {MANY} facts and more"
        note += f"; mean {mean(spent):.2f} s, longest {max(spent):.2f} s"
        yield figure(f"what contradicts in {name}", spent, limit_s=LIMIT_S, by="p95", note=note)
