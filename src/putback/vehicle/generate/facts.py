"""Facts of an invented vehicle, each chosen so that it holds along the order drawn before."""

from bisect import bisect_left
from collections.abc import Iterable, Iterator, Mapping
from random import Random

from putback.vehicle.facts import Before, HarderAfter, Obstruction, Phase
from putback.vehicle.generate.order import Act, Order, Step
from putback.vehicle.generate.shape import Shape
from putback.vehicle.generate.words import BEFORE, HARDER, IN_THE_WAY
from putback.vehicle.ids import (
    FactId,
    FluidId,
    JointId,
    PartId,
    Ref,
    SupportId,
    job_ref,
    joint_ref,
    part_ref,
    split_ref,
)
from putback.vehicle.job import Job, JobKind
from putback.vehicle.joint import Joint
from putback.vehicle.opening import Fluid
from putback.vehicle.part import PartKind
from putback.vehicle.standing import TemporarySupport

OBSTRUCTIONS = 0.45
BEFORES = 0.12
HARDER_AFTERS = 0.08
"""How many of each there are for one part."""

_ANY_OF = 0.2
_REBUILD = 0.15
_NEVER_AFTER = 0.25


class Facts:
    """Draws facts along an order, one method a kind."""

    def __init__(
        self,
        shape: Shape,
        joints: Mapping[JointId, Joint],
        fluids: Mapping[FluidId, Fluid],
        order: Order,
        rng: Random,
    ) -> None:
        self.shape = shape
        self.joints = joints
        self.fluids = fluids
        self.order = order
        self.rng = rng
        self.steps = [step for step in order.steps() if step.act is not Act.CRACK]
        self.at = {step.ref: place for place, step in enumerate(self.steps)}
        self.temporary_supports = {each.id: each for each in self._temporary_supports()}
        self.spared = frozenset(self._spared())

    def _wanted(self, per_part: float) -> int:
        return round(per_part * len(self.shape.items))

    def _temporary_supports(self) -> Iterator[TemporarySupport]:
        """Hang the heaviest parts on a hoist from their first mounting to the lift."""
        for place, part in enumerate(self.shape.hoisted):
            mountings = [
                joint
                for joint in self.order.undone_with[part]
                if not any(self.shape.items[each].is_run for each in self.joints[joint].parts)
            ]
            if mountings:
                yield TemporarySupport(
                    id=SupportId(f"t{place + 1}"),
                    kind="engine hoist",
                    bears_on=part,
                    first=joint_ref(mountings[0]),
                    last=part_ref(part),
                    rating_kg=500.0,
                    load_kg=self.shape.items[part].part.mass_kg,
                )

    def _spared(self) -> Iterator[Ref]:
        """Name what no fact may hold up: work on a hoist, and joints cracked long before.

        A hoist bears from one job to another with no change of standing between. If something
        else had to come first, a planner that does not look ahead could not get out again, and
        that is a trap which real vehicles seldom set.
        """
        hoisted = set(self.shape.hoisted)
        yield from map(part_ref, hoisted)
        yield from (
            joint_ref(joint.id) for joint in self.joints.values() if hoisted & {*joint.parts}
        )
        for joints in self.order.cracked.values():
            yield from map(joint_ref, joints)

    def obstructions(self) -> dict[FactId, Obstruction]:
        """Put parts in the way of what comes later in the same zone."""
        rng = self.rng
        gone: dict[str, list[PartId]] = {}
        for step in self.steps:
            if step.act is Act.OFF:
                part = PartId(split_ref(step.ref)[1])
                gone.setdefault(self._zone(step.ref), []).append(part)
        when = {zone: [self.at[part_ref(part)] for part in parts] for zone, parts in gone.items()}
        targets = [
            step.ref
            for step in self.steps
            if step.act is not Act.DO and step.ref not in self.spared
        ]
        found: dict[FactId, Obstruction] = {}
        for target in rng.sample(targets, min(len(targets), self._wanted(OBSTRUCTIONS))):
            there = gone.get(self._zone(target), [])
            earlier = there[: bisect_left(when.get(self._zone(target), []), self.at[target])]
            if not earlier or not self._may_block(blocker := rng.choice(earlier), target):
                continue
            others = rng.sample(there, min(2, len(there))) if rng.random() < _ANY_OF else []
            usable = (part for part in others if self._may_block(part, target))
            identity = FactId(f"o{len(found) + 1}")
            any_of = tuple(dict.fromkeys((blocker, *usable)))
            found[identity] = Obstruction(identity, any_of, target, rng.choice(IN_THE_WAY))
        return found

    def _zone(self, ref: Ref) -> str:
        kind, identity = split_ref(ref)
        if kind == "joint":
            return self.joints[JointId(identity)].zone or ""
        return self.shape.items[PartId(identity)].part.zone

    def _may_block(self, blocker: PartId, target: Ref) -> bool:
        """Whether it says more than the joints do."""
        kind, identity = split_ref(target)
        if kind == "joint":
            return blocker not in self.joints[JointId(identity)].parts
        return blocker != identity and identity not in self.shape.items[blocker].hangs_on

    def befores(self, jobs: Iterable[Job]) -> dict[FactId, Before]:
        """Draw what comes before what for reasons of its own, the declared jobs first."""
        rng = self.rng
        work = [step for step in self.steps if step.act is not Act.DO]
        found = [
            (job_ref(job.id), ref, why, Phase.STRIP)
            for job in jobs
            for ref, why in self._waits_for(job, work)
        ]
        for _ in range(self._wanted(BEFORES)):
            first, then = self._pair(work)
            if then.ref in self.spared:
                continue
            if rng.random() < _REBUILD:  # along the same order, gone through backwards
                first, then, phase = then, first, Phase.REBUILD
            else:
                phase = Phase.STRIP
            found.append((first.ref, then.ref, rng.choice(BEFORE), phase))
        unique = dict.fromkeys(found)
        return {
            (identity := FactId(f"b{place}")): Before(identity, first, then, why, phase)
            for place, (first, then, why, phase) in enumerate(unique, 1)
        }

    def _waits_for(self, job: Job, work: list[Step]) -> Iterator[tuple[Ref, str]]:
        """Say what waits for a declared job."""
        match job.kind:
            case JobKind.SURVEY:
                yield from ((step.ref, "recorded before anything moves") for step in work[:3])
            case JobKind.PREPARE:
                ends = (step.ref for step in work if step.act is Act.UNDO)
                yield from ((ref, "no live circuits") for ref in ends if self._is_electric(ref))
            case JobKind.DRAIN if job.fluid is not None:
                leaking = self.fluids[job.fluid].leaks_if_off
                yield from ((part_ref(part), "it would run out") for part in leaking)
            case JobKind.BRACE:
                yield from ((part_ref(part), "an open shell sags") for part in job.parts)

    def _pair(self, work: list[Step]) -> tuple[Step, Step]:
        """Draw two steps in order, not too far apart."""
        first = self.rng.randrange(len(work) - 1)
        then = min(len(work) - 1, first + self.rng.randint(1, 40))
        return work[first], work[then]

    def _is_electric(self, ref: Ref) -> bool:
        joint = self.joints[JointId(split_ref(ref)[1])]
        return self.shape.items[joint.parts[0]].part.kind is PartKind.LOOM

    def harder_afters(self) -> dict[FactId, HarderAfter]:
        """Draw what takes longer, or cannot be done, once something else is done."""
        rng, found = self.rng, list[HarderAfter]()
        joints = [step for step in self.steps if step.act is Act.UNDO]
        for _ in range(self._wanted(HARDER_AFTERS)):
            job, after = self._pair(joints)
            factor: float | None = rng.choice((0.6, 1.5, 2.0, 3.0))
            if rng.random() < _NEVER_AFTER and after.ref not in self.spared:
                factor = None
            elif rng.random() < 0.5:  # along the order it does come after, and takes longer
                job, after = after, job
            identity = FactId(f"h{len(found) + 1}")
            found.append(HarderAfter(identity, job.ref, after.ref, factor, rng.choice(HARDER)))
        return {each.id: each for each in found}
