"""What a rebuild has to do, read from vehicle and state alone: rule 1 of the rebuild."""

from collections.abc import Iterator, Mapping
from dataclasses import replace
from functools import cached_property

from putback.logbook.came_off import parts_aside, parts_laid_away
from putback.logbook.entries.judging import Choice
from putback.logbook.order import Key
from putback.logbook.state import JointState, Made, State
from putback.planning.check.lifts import Lifts
from putback.planning.check.pours import drained_at, filled_at, is_out, lets_out
from putback.vehicle.facts import Phase
from putback.vehicle.ids import (
    AssemblyId,
    FluidId,
    JobId,
    JointId,
    PartId,
    Ref,
    ZoneId,
    job_ref,
    joint_ref,
    part_ref,
    split_ref,
)
from putback.vehicle.job import Job, JobKind
from putback.vehicle.joint import FinalWhen, Joint
from putback.vehicle.part import Part
from putback.vehicle.usual_cautions import is_of_brakes, opens_brakes
from putback.vehicle.vehicle import Vehicle

FINISHING = (JobKind.TIGHTEN, JobKind.SET)
_SLACK = (Made.CRACKED, Made.FINGER_TIGHT, Made.STAGED)
PREPARING = (JobKind.PREPARE, JobKind.PROVE, JobKind.REPAIR)


def _words_of(name: str) -> list[str]:
    """Split a name into its words."""
    return "".join(c if c.isalnum() else " " for c in name.casefold()).split()


class Due:
    """What is off and open, what goes back, and what waits for something that is gone."""

    def __init__(self, vehicle: Vehicle, state: State) -> None:
        self.vehicle = vehicle
        self.state = state
        gone = {part for part, each in state.parts.items() if each.gone}
        self.off = frozenset(state.parts_off | parts_aside(state) | parts_laid_away(state) | gone)
        self.lifts = Lifts(vehicle)
        self.joints: dict[JointId, Joint] = dict(vehicle.joints) | {
            joint: Joint(joint, state.name_of(joint_ref(joint)), ())
            for joint, each in state.joints.items()
            if each.out and joint not in vehicle.joints
        }
        for joint, record in self.joints.items():
            if not record.parts:
                self.joints[joint] = replace(record, parts=self._named(record.name))
        self.make, self.tighten, self.finish, self.check = (
            frozenset(joint for joint in these if joint_ref(joint) not in self.waiting)
            for these in self._joints()
        )

    def _named(self, name: str) -> tuple[PartId, ...]:
        """Give the parts whose names stand in that of a joint: all that is known of it."""
        names = {
            part: self.state.name_of(part_ref(part)) for part in (*self.off, *self.vehicle.parts)
        }
        words = _words_of(name)
        found: dict[PartId, list[int]] = {}
        for part, called in names.items():
            own = _words_of(called)
            starts = [at for at in range(len(words)) if own and words[at : at + len(own)] == own]
            if starts and len(called) > 2:
                found[part] = [place for at in starts for place in range(at, at + len(own))]
        longest = sorted(found, key=lambda part: (-len(names[part]), part))
        taken: set[int] = set()
        chosen = []
        for part in longest:
            if not taken.issuperset(found[part]) and taken.isdisjoint(found[part]):
                chosen.append(part)
                taken.update(found[part])
        return tuple(chosen)

    def part(self, part: PartId) -> Part:
        """Give what is known of a part: nothing but its name, if nobody described it."""
        return self.vehicle.parts.get(part) or Part(part, str(part), ZoneId(""))

    # -- parts ------------------------------------------------------------------------------

    @cached_property
    def back(self) -> frozenset[PartId]:
        """Parts that go back."""
        return frozenset(part for part in self.off if part_ref(part) not in self.waiting)

    @cached_property
    def wholes(self) -> Mapping[AssemblyId, tuple[PartId, ...]]:
        """What came off as one and goes back as one (2)."""
        found: dict[AssemblyId, list[PartId]] = {}
        for part in sorted(self.back):
            seen = self.state.parts.get(part)
            if seen and seen.whole in self.vehicle.assemblies and seen.whole is not None:
                found.setdefault(seen.whole, []).append(part)
        return {whole: tuple(parts) for whole, parts in found.items() if len(parts) > 1}

    def whole_of(self, joint: JointId) -> AssemblyId | None:
        """Name the whole that all parts of a joint go back with."""
        parts = self.joints[joint].parts
        for whole, members in self.wholes.items():
            if parts and set(parts) <= set(members):
                return whole
        return None

    # -- joints -----------------------------------------------------------------------------

    def waits(self, joint: Joint) -> bool:
        """Whether its final tightening waits."""
        if joint.final_when is FinalWhen.AS_FITTED:
            return False
        named = any(joint.id in job.joints for job in self._rebuild_jobs(*FINISHING))
        return named or not joint.by_position

    def _joints(self) -> tuple[set[JointId], set[JointId], set[JointId], set[JointId]]:
        """Joints to make, to tighten, to finish and to check, whether or not they wait."""
        make: set[JointId] = set()
        tighten: set[JointId] = set()
        finish: set[JointId] = set()
        check: set[JointId] = set()
        for joint in self.joints.values():
            seen = self.state.joints.get(joint.id, JointState(joint.id))
            waits = self.waits(joint)
            is_open = self.is_open(joint)
            nipped = seen.stage is Made.NIPPED and not waits
            is_slack = is_open or nipped or seen.stage in _SLACK
            is_left = is_slack or self._is_left(joint, seen)
            right = self._is_checked(joint, seen)
            if is_open:
                make.add(joint.id)
            if is_slack:
                tighten.add(joint.id)
            if is_left and waits:
                finish.add(joint.id)
            if joint.critical and ((is_left and (waits or is_slack)) or (seen.made and not right)):
                check.add(joint.id)
        return make, tighten, finish, check

    def is_open(self, joint: Joint) -> bool:
        """Whether some of its fixings are out, or its parts are not all together."""
        seen = self.state.joints.get(joint.id)
        return bool(seen and seen.out) or not self._is_together(joint)

    def _is_together(self, joint: Joint) -> bool:
        """Whether its parts are all on, or all off with one whole."""
        off = [part for part in joint.parts if part in self.off]
        wholes = {self.state.parts[part].whole for part in off}
        as_one = len(wholes) == 1 and None not in wholes
        return not off or (as_one and len(off) == len(joint.parts))

    def _is_left(self, joint: Joint, seen: JointState) -> bool:
        """Whether it is tightened but for its final tightening."""
        if seen.stage not in (Made.NIPPED, Made.TIGHTENED, Made.SET) or seen.made is None:
            return False
        return not any(key > seen.made.key for key in self._finished_by_jobs(joint))

    def _is_checked(self, joint: Joint, seen: JointState) -> bool:
        """Whether somebody found it right, or did a declared second check after all was done."""
        if seen.made is None or any(each.right for each in seen.checks):
            return seen.made is not None
        by_jobs = self._finished_by_jobs(joint) if self.waits(joint) else ()
        last = min((key for key in by_jobs if key > seen.made.key), default=seen.made.key)
        looks = (
            self.state.jobs[job.id].done
            for job in self._rebuild_jobs(JobKind.SECOND_CHECK)
            if job.id in self.state.jobs_done and joint.id in (job.joints or (joint.id,))
        )
        return any(each and each.key > last for each in looks)

    def _finished_by_jobs(self, joint: Joint) -> Iterator[Key]:
        for job in self._rebuild_jobs(*FINISHING):
            done = self.state.jobs[job.id].done if job.id in self.state.jobs_done else None
            if joint.id in job.joints and done:
                yield done.key

    # -- waiting ----------------------------------------------------------------------------

    @cached_property
    def waiting(self) -> frozenset[Ref]:
        """What waits for a part that is gone and not renewed, near and far."""
        waits = {
            part_ref(part)
            for part, each in self.state.parts.items()
            if each.gone and not self.is_renewed(part)
        }
        before = -1
        while len(waits) != before:
            before = len(waits)
            waits |= set(self._spread(waits))
        return frozenset(waits)

    def is_renewed(self, part: PartId) -> bool:
        """Whether a new one is there, on its way, or to be made."""
        seen = self.state.parts[part]
        common = seen.common
        wanted = common.choice in (Choice.REPLACE, Choice.MAKE)
        return bool(seen.renewed or wanted or common.arrived or common.ordered)

    def _spread(self, waits: set[Ref]) -> Iterator[Ref]:
        """Give what waits because of what is known to wait."""
        if not waits:
            return
        for joint in self.joints.values():
            if any(part_ref(part) in waits for part in joint.parts):
                yield joint_ref(joint.id)
        yield from self._in_the_air(waits)
        for fact in self.vehicle.befores.values():
            if fact.phase is not Phase.STRIP and fact.first in waits and self._is_due(fact.then):
                yield fact.then
        dry = {
            Ref(f"fluid:{fluid}")
            for fluid in self.vehicle.fluids
            if any(joint_ref(joint) in waits for joint in self.joints_of_fluid(fluid))
            or (self._is_brakes_by_name(fluid) and any(map(self._is_of_brakes, waits)))
        }
        yield from dry
        for job in self._rebuild_jobs():
            ref = job_ref(job.id)
            if job.id in self.state.jobs_done:
                continue
            wet = job.kind in (JobKind.FILL, JobKind.BLEED) and Ref(f"fluid:{job.fluid}") in dry
            if wet or (job.kind is JobKind.RUN and dry):
                yield ref
            if job.kind in PREPARING and ref in waits:
                held = (*map(joint_ref, job.joints), *map(part_ref, job.parts))
                yield from (each for each in held if self._is_due(each))

    def _is_brakes_by_name(self, fluid: FluidId) -> bool:
        """Whether it is brake fluid, and nobody described what it runs out of."""
        return is_of_brakes(self.vehicle.fluids[fluid]) and not self.joints_of_fluid(fluid)

    def _is_of_brakes(self, ref: Ref) -> bool:
        is_thing = ref.startswith(("part:", "joint:"))
        return is_thing and opens_brakes(self.state.name_of(ref))

    def _in_the_air(self, waits: set[Ref]) -> Iterator[Ref]:
        """Give the parts that no joint could hold any more to what is on."""
        datums = {goal.datum for goal in self.vehicle.goals.values()}
        roots = {part for joint in self.joints.values() for part in joint.parts}
        roots = {part for part in roots if part not in self.off or part in datums}
        grouped = self._reached(roots, set())
        held = self._reached({part for part in roots if part_ref(part) not in waits}, waits)
        yield from (part_ref(part) for part in grouped - held if part in self.off)

    def _reached(self, roots: set[PartId], without: set[Ref]) -> set[PartId]:
        found, queue = set(roots), list(roots)
        while queue:
            for joint in self.vehicle.joints_of.get(queue.pop(), ()):
                if joint_ref(joint) not in without:
                    new = set(self.joints[joint].parts) - found
                    found |= new
                    queue += new
        return found

    def _is_due(self, ref: Ref) -> bool:
        """Whether a thing is still to be done, whatever it waits for."""
        kind, identity = split_ref(ref)
        match kind:
            case "part":
                return identity in self.off
            case "joint":
                joint = self.joints.get(JointId(identity))
                seen = self.state.joints.get(JointId(identity))
                parted = joint is not None and not self.off.isdisjoint(joint.parts)
                return parted or bool(seen and seen.out)
            case _:
                return identity not in self.state.jobs_done

    def is_left(self, ref: Ref) -> bool:
        """Whether this rebuild has it still to do."""
        kind, identity = split_ref(ref)
        match kind:
            case "part":
                return identity in self.back
            case "joint":
                return identity in self.make | self.tighten
            case _:
                return identity in self.jobs

    # -- fluids and jobs --------------------------------------------------------------------

    @cached_property
    def out(self) -> frozenset[FluidId]:
        """Fluids that are out and can be filled."""
        return frozenset(
            fluid
            for fluid in self.vehicle.fluids
            if Ref(f"fluid:{fluid}") not in self.waiting and self._is_out(fluid)
        )

    def _is_out(self, fluid: FluidId) -> bool:
        return is_out(self.vehicle, self.state, fluid)

    @cached_property
    def to_bleed(self) -> frozenset[FluidId]:
        """Hydraulic fluids that were out, or whose circuit this rebuild closes."""
        hydraulic = {job.fluid for job in self.vehicle.jobs.values() if job.kind is JobKind.BLEED}
        return frozenset(
            fluid
            for fluid in self.vehicle.fluids
            if fluid in hydraulic
            and Ref(f"fluid:{fluid}") not in self.waiting
            and (
                fluid in self.out
                or not self.make.isdisjoint(self.joints_of_fluid(fluid))
                or self._is_unbled(fluid)
            )
        )

    def _is_unbled(self, fluid: FluidId) -> bool:
        """Whether it was filled or its circuit closed again, and not bled since."""
        seen = self.state.fluids.get(fluid)
        closed = [
            each.closed if self.was_apart(joint) else None
            for joint, each in self.state.joints.items()
            if joint in self.joints_of_fluid(fluid)
        ]
        since = [each.key for each in closed if each]
        if not self._is_out(fluid):
            since += filled_at(self.vehicle, self.state, fluid)
        bled = [seen and seen.bled] + [
            self.state.jobs[job.id].done
            for job in self.vehicle.jobs.values()
            if job.kind is JobKind.BLEED and job.fluid == fluid and job.id in self.state.jobs_done
        ]
        return bool(since) and not any(each and each.key > max(since) for each in bled)

    def was_apart(self, joint: JointId) -> bool:
        """Whether anybody undid or cracked a joint, or took one of its parts off."""
        seen = self.state.joints[joint]
        if seen.times_made > 0 or seen.cracked is not None:
            return True
        for part in self.vehicle.joints[joint].parts:
            cell = self.state.parts.get(part)
            if cell is not None and not (cell.off is None and cell.on is None):
                return True
        return False

    def joints_of_fluid(self, fluid: FluidId) -> frozenset[JointId]:
        """Give the joints that let this fluid out."""
        if fluid not in self._let_out:
            self._let_out[fluid] = lets_out(self.vehicle, fluid)
        return self._let_out[fluid]

    @cached_property
    def _let_out(self) -> dict[FluidId, frozenset[JointId]]:
        return {}

    @cached_property
    def jobs(self) -> frozenset[JobId]:
        """Declared jobs that belong to the plan."""
        touched = self.make | self.tighten | self.finish | self.check
        joints = touched | {joint for joint, each in self.state.joints.items() if each.made}
        parts = self.back | {part for part, each in self.state.parts.items() if each.on}
        poured = {
            fluid
            for fluid in self.vehicle.fluids
            if drained_at(self.vehicle, self.state, fluid)
            or filled_at(self.vehicle, self.state, fluid)
        }
        poured |= {fluid for fluid in self.vehicle.fluids if self._is_out(fluid)}
        if not (parts or joints or poured & self.vehicle.fluids.keys()):
            return frozenset()
        opened = {
            opening.id
            for opening in self.vehicle.openings.values()
            if not joints.isdisjoint(opening.joints)
        }
        pours = {JobKind.FILL: self.out, JobKind.BLEED: self.to_bleed}
        wanted = {
            job.id
            for job in self._rebuild_jobs()
            if not (job.joints or job.parts or job.openings or job.fluid)
            or not joints.isdisjoint(job.joints)
            or not parts.isdisjoint(job.parts)
            or not opened.isdisjoint(job.openings)
            or job.fluid in pours.get(job.kind, poured)
        }
        barred = self.state.jobs_done | {
            JobId(split_ref(ref)[1]) for ref in self.waiting if split_ref(ref)[0] == "job"
        }
        wanted -= barred
        strip_jobs = {job.id for job in self.vehicle.jobs.values() if job.phase is Phase.STRIP}
        before = -1
        while len(wanted) != before:
            before = len(wanted)
            planned = {*map(job_ref, wanted), *map(part_ref, self.back), *map(joint_ref, touched)}
            asked = {
                JobId(split_ref(fact.first)[1])
                for fact in self.vehicle.befores.values()
                if fact.phase is not Phase.STRIP
                and fact.then in planned
                and split_ref(fact.first)[0] == "job"
            }
            wanted |= (asked & strip_jobs) - barred
        return frozenset(wanted)

    def _rebuild_jobs(self, *kinds: JobKind) -> Iterator[Job]:
        for job in self.vehicle.jobs.values():
            if job.phase is not Phase.STRIP and (not kinds or job.kind in kinds):
                yield job
