"""What is known before anything is planned: the vehicle as the state shows it.

Numbers in brackets are rules of ``docs/planning-rules.md``.
"""

from collections.abc import Iterable
from functools import cached_property
from itertools import chain
from math import prod

from putback.logbook.common import Said
from putback.logbook.fluids import fluid_of
from putback.logbook.state import State
from putback.vehicle.facts import Phase
from putback.vehicle.ids import (
    AssemblyId,
    FluidId,
    JobId,
    JointId,
    PartId,
    Ref,
    StandingId,
    job_ref,
    joint_ref,
    part_ref,
    split_ref,
)
from putback.vehicle.job import Job, JobKind
from putback.vehicle.joint import Joint
from putback.vehicle.standing import Standing
from putback.vehicle.vehicle import Vehicle


def things_of(vehicle: Vehicle, what: Ref) -> tuple[Ref, ...]:
    """A thing, and the parts that come with it as one."""
    kind, identity = split_ref(what)
    if kind != "assembly":
        return (what,)
    return (what, *map(part_ref, vehicle.assemblies[AssemblyId(identity)].parts))


def made_joints(vehicle: Vehicle, state: State) -> tuple[JointId, ...]:
    """The joints that still hold: not undone, and between things that are still together."""
    return tuple(
        joint.id
        for joint in vehicle.joints.values()
        if joint.id not in state.undone_joints and _are_together(joint, state)
    )


def _are_together(joint: Joint, state: State) -> bool:
    """Whether two of its parts are both on, or both off with one whole."""
    off = state.parts_off
    with_what = [state.parts[part].whole if part in off else "" for part in joint.parts]
    groups = [whole for whole in with_what if whole is not None]
    return len(joint.parts) < 2 or len(groups) > len(set(groups))


class Known:
    """Vehicle and state, and what follows from the two."""

    def __init__(self, vehicle: Vehicle, state: State) -> None:
        """Read both; neither is changed."""
        self.vehicle = vehicle
        self.state = state
        self.off = state.parts_off
        self.made = made_joints(vehicle, state)
        self._made = frozenset(self.made)
        said = state.standing.standing
        self.start = said if said in vehicle.standings else None

    @cached_property
    def parts(self) -> tuple[PartId, ...]:
        """Every part that is on, described or only spoken of."""
        vehicle = self.vehicle
        named = chain(
            vehicle.parts,
            *(joint.parts for joint in vehicle.joints.values()),
            *(fact.any_of for fact in vehicle.obstructions.values()),
            *(whole.parts for whole in vehicle.assemblies.values()),
            *(goal.off for goal in vehicle.goals.values()),
        )
        return tuple(part for part in dict.fromkeys(named) if part not in self.off)

    def is_cleared(self, ref: Ref) -> bool:
        """Whether a part is off, a joint undone or a job done already."""
        kind, identity = split_ref(ref)
        match kind:
            case "part":
                return identity in self.off
            case "joint":
                return identity in self.vehicle.joints and identity not in self._made
            case _:
                return identity in self.done

    # -- jobs that still hold (Done) ----------------------------------------------------------

    @cached_property
    def done(self) -> frozenset[JobId]:
        """The jobs that are done and that nothing put together since has made void."""
        return frozenset(job for job in self.state.jobs_done if not self._is_void(job))

    def _is_void(self, job: JobId) -> bool:
        record, done = self.vehicle.jobs.get(job), self.state.jobs[job].done
        if record is None or record.phase is Phase.REBUILD or record.kind is JobKind.SURVEY:
            return False
        what = job_ref(job)
        emptied = {f.id for f in self.vehicle.fluids.values() if f.drained_by == job}
        if record.kind is JobKind.DRAIN and record.fluid is not None:
            emptied.add(record.fluid)
        followers = {
            fact.then
            for fact in self.vehicle.befores.values()
            if fact.first == what and fact.phase is not Phase.REBUILD
        }
        followers |= set(map(joint_ref, cracked_by(record)))
        followers |= {
            part_ref(support.bears_on)
            for support in self.vehicle.temporary_supports.values()
            if support.first == what
        }
        return any(self._is_filled_since(fluid, done) for fluid in emptied) or any(
            self._is_back_since(ref, done) for ref in followers
        )

    def _is_filled_since(self, fluid: FluidId, then: Said | None) -> bool:
        return is_later(fluid_of(self.vehicle, self.state, fluid).filled, then)

    def _is_back_since(self, ref: Ref, then: Said | None) -> bool:
        kind, identity = split_ref(ref)
        if kind == "part":
            part = self.state.parts.get(PartId(identity))
            return part is not None and not part.is_off and is_later(part.on, then)
        return kind == "joint" and self._is_made_since(JointId(identity), then)

    def _is_made_since(self, joint: JointId, then: Said | None) -> bool:
        seen = self.state.joints.get(joint)
        return seen is not None and not seen.is_undone and is_later(seen.made, then)

    # -- joints -------------------------------------------------------------------------------

    def on_of(self, joint: JointId) -> frozenset[PartId]:
        """The parts of a joint that are on."""
        return frozenset(self.vehicle.joints[joint].parts) - self.off

    def inner(self, parts: frozenset[PartId]) -> tuple[JointId, ...]:
        """The made joints that hold nothing but these parts together."""
        joints, joints_of = self.vehicle.joints, self.vehicle.joints_of
        near = {joint for part in parts for joint in joints_of.get(part, ())}
        return tuple(j for j in self.made if j in near and parts.issuperset(joints[j].parts))

    def went_together(self, parts: Iterable[PartId]) -> bool:
        """Whether parts that are off went off with one whole."""
        wholes = {self.state.parts[part].whole for part in parts}
        return len(wholes) == 1 and None not in wholes

    def gone_with(self, whole: AssemblyId | None) -> frozenset[PartId]:
        """The parts that went off with a whole."""
        return frozenset(part for part in self.off if self.state.parts[part].whole == whole)

    @cached_property
    def cracked(self) -> frozenset[Ref]:
        """The joints that need no cracking any more, and are quicker for it (7)."""
        by_jobs = (
            joint
            for job in self.state.jobs_done
            if job in self.vehicle.jobs
            for joint in cracked_by(self.vehicle.jobs[job])
            if not self._is_made_since(joint, self.state.jobs[job].done)
        )
        shown = (
            joint
            for joint, each in self.state.joints.items()
            if each.cracked and not self._is_made_since(joint, each.cracked)
        )
        return frozenset(map(joint_ref, chain(by_jobs, shown)))

    def to_crack_in(self, joint: Joint) -> StandingId | None:
        """The standing in which a joint is still to be cracked, if it matters (7)."""
        seen = self.state.joints.get(joint.id)
        touched = seen is not None and bool(seen.undone or seen.out)
        if touched or joint_ref(joint.id) in self.cracked or joint.crack_in not in self.usable:
            return None
        return joint.crack_in

    # -- standings ----------------------------------------------------------------------------

    @cached_property
    def usable(self) -> tuple[StandingId, ...]:
        """The standings that are not lost for good (6), and the one of now."""
        return tuple(
            standing.id
            for standing in self.vehicle.standings.values()
            if standing.id == self.start
            or not (standing.wrong or not self.off.isdisjoint(bears_on(standing)))
        )

    def allowed(
        self,
        named: Iterable[tuple[StandingId, ...]],
        hidden: frozenset[PartId] = frozenset(),
        borne: frozenset[PartId] = frozenset(),
    ) -> frozenset[StandingId] | None:
        """Give the standings to work in (2, 3, 5); ``None`` where all will do.

        ``named`` are those that descriptions ask for, ``hidden`` the parts that no support may
        hide and ``borne`` those that none may bear on.
        """
        if not self.vehicle.standings:
            return None
        allowed = {
            standing
            for standing in self.usable
            if hidden.isdisjoint(hides(self.vehicle.standings[standing]))
            and borne.isdisjoint(bears_on(self.vehicle.standings[standing]))
        }
        for standings in named:
            if standings:
                allowed.intersection_update(standings)
        return None if allowed and len(allowed) == len(self.usable) else frozenset(allowed)

    # -- minutes and words --------------------------------------------------------------------

    def factor(self, refs: set[Ref]) -> float:
        """How much longer the state has made a thing already (9) [-]."""
        return prod(
            fact.factor
            for fact in self.vehicle.harder_afters.values()
            if fact.job in refs and fact.factor is not None and self.is_cleared(fact.after)
        )

    def name(self, ref: Ref) -> str:
        """Say what a reference stands for."""
        return self.vehicle.name_of(ref)

    def names(self, parts: Iterable[PartId], between: str = " or ") -> str:
        """Say which parts, one after another."""
        return between.join(self.name(part_ref(part)) for part in parts)


def is_later(said: Said | None, than: Said | None) -> bool:
    """Whether the one was said, and after the other."""
    return said is not None and than is not None and said.key > than.key


def with_why(words: str, why: str) -> str:
    """Add the reason in a person's words, where there is one."""
    return f"{words}: {why}" if why else words


def cracked_by(job: Job) -> tuple[JointId, ...]:
    """The joints that a declared job cracks."""
    return job.joints if job.kind is JobKind.CRACK else ()


def bears_on(standing: Standing) -> frozenset[PartId]:
    """The parts that carry the vehicle while it stands so."""
    return frozenset(each.bears_on for each in standing.supports if not each.beside)


def hides(standing: Standing) -> frozenset[PartId]:
    """The parts that cannot be got at while it stands so."""
    return frozenset(part for each in standing.supports for part in each.hides)
