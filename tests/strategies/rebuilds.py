"""States in the middle of a strip, from random valid strips, for the tests of the rebuild.

`stripped` follows the rules of the strip in their plainest form (standings aside) and knows
nothing of planners: so what it took apart can be put together again, if the facts of the rebuild
allow.
"""

from collections.abc import Iterator
from dataclasses import replace
from random import Random

from hypothesis import strategies as st

from putback.logbook.state import State
from putback.vehicle.assembly import Assembly
from putback.vehicle.facts import Before, Phase
from putback.vehicle.ids import AssemblyId, FactId, JobId
from putback.vehicle.job import Job, JobKind
from putback.vehicle.joint import FinalWhen
from putback.vehicle.vehicle import Vehicle
from tests.planning.hand_made import state_of
from tests.strategies.vehicles import small_vehicles


def stripped(vehicle: Vehicle, rng: Random, deeds: int | None = None) -> State:
    """The state after a random strip of so many deeds, or until nothing more can be done."""
    strip = _Strip(vehicle)
    while deeds is None or len(strip.order) < deeds:
        able = list(strip.able())
        if not able:
            break
        strip.do(rng.choice(able))
    standing = next((each.id for each in vehicle.standings.values() if not each.wrong), None)
    return state_of(
        vehicle,
        off=strip.off,
        undone=strip.undone,
        done=strip.done,
        order=strip.order,
        standing=standing,
    )


class _Strip:
    """What is off (and with which whole), undone and done, in its order."""

    def __init__(self, vehicle: Vehicle) -> None:
        self.vehicle = vehicle
        self.off: dict[str, str | None] = {}
        self.undone: list[str] = []
        self.done: list[str] = []
        self.order: list[str] = []

    def able(self) -> Iterator[str]:
        """Everything that could be done now, by its reference."""
        for joint in self.vehicle.joints.values():
            if joint.id not in self.undone and self._can_undo(joint):
                yield f"joint:{joint.id}"
        for part in self.vehicle.parts:
            if part not in self.off and self._can_lift({part}):
                yield f"part:{part}"
        for whole in self.vehicle.assemblies.values():
            parts = set(whole.parts) - self.off.keys()
            if len(parts) > 1 and self._can_lift(parts):
                yield f"assembly:{whole.id}"

    def do(self, ref: str) -> None:
        """Do it."""
        kind, _, name = ref.partition(":")
        if kind == "joint":
            self.undone.append(name)
            self.order.append(ref)
        elif kind == "part":
            self.off[name] = None
            self.order.append(ref)
        else:
            for part in self.vehicle.assemblies[name].parts:
                if part not in self.off:
                    self.off[part] = name
                    self.order.append(f"part:{part}")

    def _is_cleared(self, ref: str) -> bool:
        return ref.partition(":")[2] in {*self.off, *self.undone, *self.done}

    def _is_its_turn(self, ref: str) -> bool:
        return all(
            self._is_cleared(fact.first)
            for fact in self.vehicle.befores.values()
            if fact.then == ref and fact.phase is not Phase.REBUILD
        )

    def _can_undo(self, joint) -> bool:
        on = [part for part in joint.parts if part not in self.off]
        blocked = (
            fact.any_of for fact in self.vehicle.obstructions_of.get(f"joint:{joint.id}", ())
        )
        if on or not joint.parts:
            free = all(any(part in self.off for part in any_of) for any_of in blocked)
        else:
            wholes = {self.off[part] for part in joint.parts}
            whole = wholes.pop() if len(wholes) == 1 else None
            if whole is None:
                return False
            inside = {part for part, each in self.off.items() if each == whole}
            free = all(
                any(not self._is_held(part, inside) for part in any_of)
                for any_of in blocked
                if inside.issuperset(any_of)
            )
        return free and self._is_its_turn(f"joint:{joint.id}")

    def _is_held(self, part: str, inside: set[str]) -> bool:
        return any(
            joint not in self.undone and inside.issuperset(self.vehicle.joints[joint].parts)
            for joint in self.vehicle.joints_of[part]
        )

    def _can_lift(self, unit: set[str]) -> bool:
        away = unit | self.off.keys()
        for joint in self.vehicle.joints.values():
            parts = set(joint.parts)
            if joint.id not in self.undone and parts & unit and parts - away:
                return False
        for part in unit:
            for fact in self.vehicle.obstructions_of.get(f"part:{part}", ()):
                if away.isdisjoint(fact.any_of):
                    return False
            if not self._is_its_turn(f"part:{part}"):
                return False
        return True


@st.composite
def torn_vehicles(draw, *, rebuild_facts: bool = False):
    """A small vehicle with all sorts of joints and jobs, and its state in a random strip."""
    vehicle = draw(small_vehicles())
    names = list(vehicle.parts)
    joints = {
        joint: replace(
            record,
            critical=draw(st.booleans()),
            final_when=draw(st.sampled_from(FinalWhen)),
            by_position=draw(st.booleans()),
        )
        for joint, record in vehicle.joints.items()
    }
    some_joints = st.lists(st.sampled_from(list(joints)), max_size=3, unique=True)
    some_parts = st.lists(st.sampled_from(names[1:]), max_size=2, unique=True)
    jobs = {
        kind.value: Job(
            JobId(kind.value),
            kind.value,
            kind,
            Phase.REBUILD,
            joints=tuple(draw(some_joints)),
            parts=tuple(draw(some_parts)) if kind is JobKind.PREPARE else (),
        )
        for kind in draw(st.lists(st.sampled_from(KINDS), unique=True))
    }
    assemblies = {}
    if len(names) > 3 and draw(st.booleans()):
        parts = draw(st.lists(st.sampled_from(names[1:]), min_size=2, max_size=3, unique=True))
        assemblies["unit"] = Assembly(AssemblyId("unit"), "unit", tuple(parts))
    vehicle = vehicle.with_records(joints=joints, jobs=jobs, assemblies=assemblies)
    if rebuild_facts:
        vehicle = with_rebuild_facts(vehicle, draw)
    rng = Random(draw(st.integers(0, 2**32)))
    return vehicle, stripped(vehicle, rng, draw(st.none() | st.integers(1, 14)))


KINDS = (
    JobKind.PREPARE,
    JobKind.SET,
    JobKind.TIGHTEN,
    JobKind.WEIGH,
    JobKind.RUN,
    JobKind.SECOND_CHECK,
)


def with_rebuild_facts(vehicle: Vehicle, draw: st.DrawFn) -> Vehicle:
    """The same vehicle with facts that the rebuild has to keep, or cannot."""
    things = [f"part:{part}" for part in vehicle.parts]
    things += [f"joint:{joint}" for joint in vehicle.joints]
    pairs = st.tuples(st.sampled_from(things), st.sampled_from(things))
    facts = {
        f"r{number}": Before(FactId(f"r{number}"), first, then, "so", Phase.REBUILD)
        for number, (first, then) in enumerate(draw(st.lists(pairs, max_size=3)))
        if first != then
    }
    return vehicle.with_records(befores={**vehicle.befores, **facts})


def forgotten(vehicle: Vehicle, draw: st.DrawFn) -> Vehicle:
    """The vehicle as somebody describes it who does not know some of its joints and parts."""
    lost = set(draw(st.lists(st.sampled_from(list(vehicle.joints)), unique=True, max_size=3)))
    gone = set(draw(st.lists(st.sampled_from(list(vehicle.parts)[1:]), unique=True, max_size=1)))
    joints = {
        joint: record
        for joint, record in vehicle.joints.items()
        if joint not in lost and gone.isdisjoint(record.parts)
    }
    known = {f"joint:{joint}" for joint in joints}
    known |= {f"part:{part}" for part in vehicle.parts if part not in gone}
    return vehicle.with_records(
        parts={part: record for part, record in vehicle.parts.items() if part not in gone},
        joints=joints,
        obstructions={
            fact.id: fact
            for fact in vehicle.obstructions.values()
            if fact.of in known and gone.isdisjoint(fact.any_of)
        },
        befores={
            fact.id: fact
            for fact in vehicle.befores.values()
            if fact.first in known and fact.then in known
        },
        jobs={
            job.id: replace(
                job,
                joints=tuple(each for each in job.joints if each in joints),
                parts=tuple(each for each in job.parts if each not in gone),
            )
            for job in vehicle.jobs.values()
        },
        assemblies={},
    )


@st.composite
def half_known_vehicles(draw):
    """A description with holes, and the state of a strip of the whole vehicle."""
    vehicle, state = draw(torn_vehicles(rebuild_facts=draw(st.booleans())))
    known = forgotten(vehicle, draw)
    return known, replace(state, vehicle=known)
