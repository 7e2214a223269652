"""What the rules look at: the state, the log, the time, and questions that several rules ask."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime
from functools import cached_property
from operator import itemgetter
from typing import Any

from putback.bench.lift.equation import TEAM_SHARE
from putback.logbook.common import NOTHING, Common, Said
from putback.logbook.entries.base import EntryId, Subject, of_ref
from putback.logbook.fluids import fluids_in
from putback.logbook.hardware_check import HardwareCheck, hardware_check
from putback.logbook.index import LogFacts
from putback.logbook.open_items.item import USUAL, Settings, entries_of
from putback.logbook.state import JointState, Made, PartState, State
from putback.vehicle.facts import Phase
from putback.vehicle.ids import JobId, JointId, PartId, Ref, StandingId, joint_ref, part_ref
from putback.vehicle.job import Job, JobKind
from putback.vehicle.joint import Joint
from putback.vehicle.masses import inside_kg
from putback.vehicle.part import Part, PartKind
from putback.vehicle.standing import Standing, Support


@dataclass(frozen=True, slots=True)
class Unit:
    """A part or an assembly that is coming off: some of what holds it is undone already."""

    subject: Subject
    name: str
    parts: tuple[PartId, ...]
    ties: tuple[JointId, ...]
    """Made joints that still lead from it to what stays."""
    undone: tuple[JointId, ...]
    crew: int
    hoist: str
    mass_kg: float | None
    """Mass of what is on of it, of one piece of a set, full as it is [kg]; ``None`` if unknown."""


@dataclass(frozen=True)
class Situation:
    """All that a rule may know; rules are pure functions of it."""

    state: State
    log: LogFacts
    now: datetime
    settings: Settings = USUAL

    # -- words ------------------------------------------------------------------------------

    def name(self, subject: str) -> str:
        """Say what a subject is."""
        return self.state.name_of(subject)

    # -- parts and joints -------------------------------------------------------------------

    def part(self, part: PartId) -> PartState:
        """Give the state of a part, touched or not."""
        return self.state.parts.get(part) or PartState(part)

    def joint(self, joint: JointId) -> JointState:
        """Give the state of a joint, touched or not."""
        return self.state.joints.get(joint) or JointState(joint)

    def is_off(self, part: PartId) -> bool:
        """Whether somebody said that it is off."""
        return part in self.state.parts_off

    def is_back_on(self, part: PartId) -> bool:
        """Whether it was off and is on again: the rebuild has reached it."""
        return self.part(part).on is not None

    def holds(self, joint: JointId) -> bool:
        """Whether it still holds at least two of its parts together.

        Who logs only that a part is off has said that its joints are undone.
        """
        if self.joint(joint).is_undone:
            return False
        described = self.state.vehicle.joints.get(joint)
        if described is None or len(described.parts) < 2:
            return True
        groups = [self._where(part) for part in described.parts]
        return len(groups) > len(set(groups))

    def _where(self, part: PartId) -> str:
        """Name what a part is together with: the vehicle, its whole, or itself alone."""
        if not self.is_off(part):
            return "on"
        return f"whole {self.part(part).whole}" if self.part(part).whole else f"part {part}"

    @cached_property
    def off_parts(self) -> tuple[PartState, ...]:
        """Parts that are off and not gone, described or not."""
        return tuple(
            each for _, each in sorted(self.state.parts.items()) if each.is_off and not each.gone
        )

    @cached_property
    def made_again(self) -> tuple[tuple[Joint, JointState], ...]:
        """Described joints that were made in the rebuild, all or some of their fixings."""
        return tuple(
            (joint, state)
            for joint in self.state.vehicle.joints.values()
            if (state := self.joint(joint.id)).made is not None and state.times_made
        )

    def finished_by_job(self, joint: Joint) -> Said | None:
        """When a declared job that finishes a joint was first done since it was made."""
        jobs = self._jobs_of_rebuild(JobKind.TIGHTEN, JobKind.SET)
        return self._done_since_made(joint, (job for job in jobs if joint.id in job.joints))

    def looked_by_job(self, joint: Joint) -> tuple[Said, ...]:
        """When each declared second check of a joint was done since it was made and finished.

        One that names no joint is of all of them.
        """
        jobs = self._jobs_of_rebuild(JobKind.SECOND_CHECK)
        looks = (job for job in jobs if joint.id in job.joints or not job.joints)
        finished = self.finished_by_job(joint)
        done = (self._done_since_made(joint, [job]) for job in looks)
        return tuple(
            said for said in done if said and (finished is None or said.key > finished.key)
        )

    def _jobs_of_rebuild(self, *kinds: JobKind) -> tuple[Job, ...]:
        jobs = self.state.vehicle.jobs.values()
        return tuple(job for job in jobs if job.kind in kinds and job.phase is not Phase.STRIP)

    def _done_since_made(self, joint: Joint, jobs: Iterable[Job]) -> Said | None:
        made = self.joint(joint.id).made
        cells = (self.state.jobs[job.id].done for job in jobs if job.id in self.state.jobs)
        since = [said for said in cells if said and made and said.key > made.key]
        return min(since, key=lambda said: said.key, default=None)

    @cached_property
    def rebuild_begun(self) -> bool:
        """Whether some part that was off is back on."""
        return any(each.on for each in self.state.parts.values())

    def is_done(self, ref: Ref) -> bool:
        """Whether a job is done, a joint undone or a part off."""
        kind, _, identity = ref.partition(":")
        if kind == "joint":
            return not self.holds(JointId(identity))
        if kind == "part":
            return self.is_off(PartId(identity))
        return JobId(identity) in self.state.jobs_done

    @cached_property
    def commons(self) -> tuple[tuple[Subject, Common], ...]:
        """What is known of every subject that anything is known of."""
        state = self.state
        tables: tuple[tuple[str, Mapping[Any, Any]], ...] = (
            ("part", state.parts),
            ("joint", state.joints),
            ("opening", state.openings),
            ("tag", state.containers),
            ("fluid", state.fluids),
            ("fit", state.fits),
            ("job", state.jobs),
        )
        found = [
            (Subject(f"{kind}:{identity}"), record.common)
            for kind, cells in tables
            for identity, record in sorted(cells.items())
        ]
        found += sorted(state.others.items(), key=itemgetter(0))
        return tuple((subject, common) for subject, common in found if common != NOTHING)

    # -- coming off -------------------------------------------------------------------------

    @cached_property
    def coming_off(self) -> tuple[Unit, ...]:
        """Parts and assemblies that are on, with something of what holds them undone.

        What was put back on is on its way on, not off; and what is to stay on, or carries the
        vehicle now, is not going anywhere.
        """
        vehicle = self.state.vehicle
        units: list[Unit] = []
        for part in vehicle.parts.values():
            if part.id not in self._stay and not self.is_off(part.id):
                units += self._unit(of_ref(part_ref(part.id)), (part,), part.crew, part.hoist)
        for assembly in vehicle.assemblies.values():
            parts = [vehicle.parts[each] for each in assembly.parts if each in vehicle.parts]
            on = tuple(part for part in parts if not self.is_off(part.id))
            if len(on) > 1 and not any(part.id in self._stay for part in on):
                subject = Subject(f"assembly:{assembly.id}")
                units += self._unit(subject, on, assembly.crew, assembly.hoist, assembly.name)
        return tuple(units)

    def _unit(
        self, subject: Subject, parts: tuple[Part, ...], crew: int, hoist: str, name: str = ""
    ) -> Iterator[Unit]:
        own = frozenset(part.id for part in parts)
        if any(self.is_back_on(part) for part in own):
            return
        joints = self.state.vehicle.joints_of
        leading = [
            joint
            for joint in dict.fromkeys(each for part in own_order(parts) for each in joints[part])
            if self._leads_out(self.state.vehicle.joints[joint], own)
        ]
        undone = tuple(joint for joint in leading if not self.holds(joint))
        begun = any(self.is_begun(joint) for joint in leading)
        if undone or begun:
            # Of a set (a pair of seats) one is lifted at a time.
            masses = [
                (part.mass_kg + self._inside_kg.get(part.id, 0.0))
                / (part.quantity if len(parts) == 1 else 1)
                for part in parts
                if part.mass_kg is not None
            ]
            yield Unit(
                subject,
                name or parts[0].name,
                own_order(parts),
                tuple(joint for joint in leading if self.holds(joint)),
                undone,
                crew,
                hoist,
                sum(masses) if masses else None,
            )

    @cached_property
    def _inside_kg(self) -> Mapping[PartId, float]:
        """What is still in the parts [kg]."""
        vehicle = self.state.vehicle
        return inside_kg(vehicle, fluids_in(vehicle, self.state))

    def _leads_out(self, joint: Joint, own: frozenset[PartId]) -> bool:
        others = [part for part in joint.parts if part not in own and not self.is_off(part)]
        return bool(others) and not any(self.is_back_on(part) for part in joint.parts)

    def is_begun(self, joint: JointId) -> bool:
        """Whether it is cracked, or some of its fixings are out."""
        return self.joint(joint).stage in {Made.CRACKED, Made.PART_UNDONE}

    @cached_property
    def _stay(self) -> frozenset[PartId]:
        """Parts that are to stay on: the datum and keep set of each goal, and what carries it."""
        stay = {goal.datum for goal in self.state.vehicle.goals.values()}
        stay |= {part for goal in self.state.vehicle.goals.values() for part in goal.on}
        return frozenset(stay | {support.bears_on for support in self.supports})

    def begun_by(self, unit: Unit) -> tuple[EntryId, ...]:
        """Name the entries by which what holds the unit came undone, the latest first."""
        said = []
        for joint in (*unit.undone, *unit.ties):
            state = self.joint(joint)
            said += [each for each in (state.undone, state.cracked) if each is not None]
            parts = self.state.vehicle.joints[joint].parts
            said += [off for part in parts if (off := self.part(part).off) is not None]
        return entries_of(*sorted(said, key=lambda each: each.key, reverse=True))

    def team_kg(self, people: int) -> float | None:
        """What so many people lift together [kg]; ``None`` where no figure is known."""
        share = TEAM_SHARE.get(people)
        return None if share is None else people * share * self.settings.one_person_kg

    # -- how it stands ----------------------------------------------------------------------

    @cached_property
    def standing(self) -> Standing | None:
        """The standing as described; ``None`` if nobody said, or it is not described."""
        now = self.state.standing.standing
        return self.state.vehicle.standings.get(now) if now else None

    @cached_property
    def supports(self) -> tuple[Support, ...]:
        """What carries the vehicle now."""
        return carrying(self.standing)

    @cached_property
    def on_wheels(self) -> bool:
        """Whether it is known to stand on its wheels."""
        return self.stands_on_wheels(self.standing)

    @property
    def may_be_on_stands(self) -> bool:
        """Whether something may carry it that has to be tested before anybody goes under.

        A standing that nobody described may be one; one described without supports says nothing.
        """
        return self.standing is None or (bool(self.supports) and not self.on_wheels)

    def stands_on_wheels(self, standing: Standing | None) -> bool:
        """Whether all supports of a standing bear on wheels."""
        parts: Mapping[PartId, Part] = self.state.vehicle.parts
        supports = carrying(standing)
        return bool(supports) and all(
            each.bears_on in parts and parts[each.bears_on].kind is PartKind.WHEEL
            for each in supports
        )

    # -- hardware, looking back -------------------------------------------------------------

    @cached_property
    def hardware(self) -> HardwareCheck:
        """The hardware check."""
        return hardware_check(self.state)

    def is_answered(self, entry: EntryId) -> bool:
        """Whether the entry is struck out, or a note on ``entry:...`` says it was looked at."""
        common = self.state.others.get(entry_subject(entry))
        return entry in self.log.struck or bool(common and common.notes)


def carrying(standing: Standing | None) -> tuple[Support, ...]:
    """Supports that carry the vehicle itself, not what was taken off it."""
    return tuple(each for each in standing.supports if not each.beside) if standing else ()


def own_order(parts: Iterable[Part]) -> tuple[PartId, ...]:
    """Name parts in the order in which they were given."""
    return tuple(part.id for part in parts)


def entry_subject(entry: EntryId) -> Subject:
    """Name an entry itself as a subject, so that a note can be made on it."""
    return Subject(f"entry:{entry}")


def joint_subject(joint: JointId) -> Subject:
    """Name a joint as a subject."""
    return of_ref(joint_ref(joint))


def part_subject(part: PartId) -> Subject:
    """Name a part as a subject."""
    return of_ref(part_ref(part))


def standing_subject(standing: StandingId) -> Subject:
    """Name a standing as a subject."""
    return Subject(f"standing:{standing}")
