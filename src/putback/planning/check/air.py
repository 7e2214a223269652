"""Replays a strip and says what it lets hang, fall or swing without a word (rule 11).

What is held is found anew at each step by merging: whatever a stiff joint joins is one lump, and
the lump of what the supports bear on is held.
"""

from collections.abc import Collection, Iterable, Iterator
from itertools import chain
from math import fsum

from putback.logbook.entries.base import Subject
from putback.logbook.state import State
from putback.planning.check.ground import Ground
from putback.planning.check.heft import Things
from putback.planning.check.lasting import still_cracked, still_done
from putback.planning.check.limp import is_limp, runs_among
from putback.planning.plan import Action, Plan, Step
from putback.vehicle.facts import Phase
from putback.vehicle.fastener import Role
from putback.vehicle.fastener_kind import Form
from putback.vehicle.goal import Goal
from putback.vehicle.ids import (
    AssemblyId,
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
from putback.vehicle.job import JobKind
from putback.vehicle.joint import Does
from putback.vehicle.part import PartKind
from putback.vehicle.vehicle import Vehicle

HAND_KG = 5.0
"""What comes away in the hand [kg]: see rule 11."""

_ONE_TO_TURN_ON = (Form.STEM, Form.RING, Form.PIN)
_FLOOR = PartId("")
"""What the supports stand on, as one more part."""


def air_faults(
    vehicle: Vehicle, state: State, goal: Goal, plan: Plan
) -> Iterator[tuple[int, str]]:
    """Give the steps after which something is in the air that should not be.

    Yields
    ------
    tuple of int and str
        The step, from 0, and what is wrong.
    """
    return _Air(vehicle, state, goal, plan).faults()


class _Lumps:
    """Things merged into lumps (disjoint sets, by path halving)."""

    def __init__(self, groups: Iterable[Iterable[PartId]], gone: Collection[PartId]) -> None:
        """Merge what each group has, but for what is gone."""
        self.above = above = dict[PartId, PartId]()
        for group in groups:
            first: PartId | None = None
            for part in group:
                if part in gone:
                    continue
                root = self.of(part) if part in above else part
                if first is None:
                    first = root
                elif root != first:
                    above[root] = first
        self.floor = self.of(_FLOOR)

    def of(self, part: PartId) -> PartId:
        """Name the lump of a part by one of its parts."""
        above = self.above
        while (up := above.get(part)) is not None:
            beyond = above.get(up)
            if beyond is None:
                return up
            above[part] = part = beyond
        return part

    def is_up(self, part: PartId) -> bool:
        """Whether it is in one lump with what everything stands on."""
        return self.of(part) == self.floor


class _Air:
    """What is on, made and done before each step."""

    def __init__(self, vehicle: Vehicle, state: State, goal: Goal, plan: Plan) -> None:
        self.vehicle = vehicle
        self.state = state
        self.plan = plan
        self.ground = Ground(vehicle, state.standing.standing, plan)
        self.things = Things(vehicle, ())
        self.off: dict[PartId, AssemblyId | None] = {
            part: state.parts[part].whole for part in state.parts_off
        }
        self.made = {j for j in vehicle.joints if j not in state.undone_joints and self._joins(j)}
        self.jointed = {part for joint in self.made for part in vehicle.joints[joint].parts}
        self.runs = runs_among(vehicle, vehicle.joints)
        self.stiff = {j for j in self.made if not is_limp(vehicle.joints[j], self.runs)}
        """Joints that carry something."""
        self.left: tuple[StandingId | None, _Lumps] | None = None
        """In which standing the step before undid a joint, if it did, and the lumps it left."""
        self.cracked = still_cracked(vehicle, state)
        done = map(job_ref, still_done(vehicle, state))
        undone = (joint_ref(joint) for joint in vehicle.joints if joint not in self.made)
        self.cleared: set[Ref] = {*map(part_ref, self.off), *undone, *done}
        self.cleared_at: dict[Ref, int] = {}
        self.undone_at: dict[JointId, int] = {}
        """When each joint is undone on the vehicle."""
        self.milestones = tuple(self._look_ahead(goal))
        self.at_start = frozenset(self.off)
        self.was_up: frozenset[PartId] = frozenset()

    def _joins(self, joint: JointId) -> bool:
        """Whether two of its parts are both on, or off with one whole."""
        parts = self.vehicle.joints[joint].parts
        sides = [self.off.get(part, AssemblyId("")) for part in parts]
        known = [side for side in sides if side is not None]
        return len(parts) < 2 or len(set(known)) < len(known)

    def _look_ahead(self, goal: Goal) -> Iterator[int]:
        """Note when each thing is cleared, and give the steps that reach a goal on the way."""
        on_the_way, before = list[Goal](), goal.after
        while before is not None and before in self.vehicle.goals:
            each = self.vehicle.goals[before]
            before = None if each in on_the_way else each.after
            on_the_way.append(each)
        off, cleared = set(self.off), set(self.cleared)
        for index, step in enumerate(self.plan.steps):
            for ref in self._clears(step, off):
                self.cleared_at[ref] = index
                cleared.add(ref)
                kind, identity = split_ref(ref)
                if kind == "joint" and not off.issuperset(self._parts(JointId(identity))):
                    self.undone_at[JointId(identity)] = index
                elif kind == "part":
                    off.add(PartId(identity))
            for each in [goal for goal in on_the_way if self._is_reached(goal, off, cleared)]:
                on_the_way.remove(each)
                yield index

    def _is_reached(self, goal: Goal, off: set[PartId], cleared: set[Ref]) -> bool:
        wanted = set(goal.off)
        if goal.off_rest:
            wanted |= set(self.vehicle.parts) - set(goal.on) - {goal.datum}
        return wanted <= off and all(job_ref(job) in cleared for job in goal.jobs)

    def _parts(self, joint: JointId) -> tuple[PartId, ...]:
        record = self.vehicle.joints.get(joint)
        return record.parts if record else ()

    def _clears(self, step: Step, off: Collection[PartId]) -> list[Ref]:
        kind, identity = split_ref(step.what)
        whole = self.vehicle.assemblies.get(AssemblyId(identity)) if kind == "assembly" else None
        if step.action is Action.TAKE_OFF:
            parts = whole.parts if whole else (PartId(identity),)
            return [part_ref(part) for part in parts if part not in off]
        return [] if step.action is Action.CRACK else [step.what]

    # -- step by step -------------------------------------------------------------------------

    def faults(self) -> Iterator[tuple[int, str]]:
        """Go through the plan."""
        stiff = self._lumps(self.ground.standing)
        if stiff is not None:
            solid = self.jointed.difference(self.runs, self.off)
            self.was_up = frozenset(part for part in solid if stiff.is_up(part))
        for index, step in enumerate(self.plan.steps):
            if step.standing != self.ground.standing:
                yield from ((index, words) for words in self._changed(step))
            left, self.left = self.left, None
            if step.action is Action.UNDO:
                yield from ((index, words) for words in self._undo(index, step, left))
            self._do(step)

    def _do(self, step: Step) -> None:
        kind, identity = split_ref(step.what)
        if step.action is Action.CRACK:
            self.cracked.add(JointId(identity))
        job = self.vehicle.jobs.get(JobId(identity)) if kind == "job" else None
        if job and job.kind is JobKind.CRACK:
            standing = self.ground.standing
            wanted = ((j, self.vehicle.joints[j].crack_in) for j in job.joints)
            self.cracked |= {j for j, crack_in in wanted if crack_in in (None, standing)}
        clears = self._clears(step, self.off)
        self.cleared.update(clears)
        gone = [PartId(split_ref(ref)[1]) for ref in clears if ref.startswith("part:")]
        as_one = AssemblyId(identity) if len(gone) > 1 else None
        self.off.update(dict.fromkeys(gone, as_one))
        if step.action is Action.UNDO:
            self.made.discard(JointId(identity))

    def _changed(self, step: Step) -> Iterator[str]:
        """Look at what is in the air while the standing changes (c)."""
        here, there = self.ground.standing, step.standing
        self.ground.standing = there
        hanging: set[PartId] = set()
        for standing in (here, there):
            stiff = self._lumps(standing)
            if stiff is not None:
                on = self.was_up.difference(self.off)
                hanging |= {part for part in on if not stiff.is_up(part)}
        if hanging and not step.add_support:
            names = " and the ".join(self._name(part) for part in sorted(hanging))
            yield f"the standing changes while nothing holds the {names}"

    def _undo(
        self, index: int, step: Step, left: tuple[StandingId | None, _Lumps] | None
    ) -> Iterator[str]:
        joint = JointId(split_ref(step.what)[1])
        record = self.vehicle.joints.get(joint)
        if record is None or joint not in self.made or self.off.keys() >= {*record.parts}:
            return
        standing = self.ground.standing
        before = left[1] if left and left[0] == standing else self._lumps(standing)
        after = self._lumps(standing, undone=joint, and_cleared=step.what)
        if before is None or after is None:
            return
        self.left = standing, after
        gone = {
            part
            for part in self.jointed.difference(self.off, self.runs)
            if before.is_up(part) and not after.is_up(part)
        }
        for lump in sorted({after.of(part) for part in gone}):
            piece = {part for part in gone if after.of(part) == lump}
            yield from self._away(index, step, joint, piece)
        if not gone and not step.prop_first and not self._said_to_stay(joint):
            yield from self._swings(joint, before, after)

    def _away(self, index: int, step: Step, joint: JointId, piece: set[PartId]) -> Iterator[str]:
        """Say what is missing for one piece that comes away (a, b)."""
        any_sort = self._lumps(
            self.ground.standing, undone=joint, and_cleared=step.what, loose=True
        )
        name = self._name(max(piece, key=lambda part: (self._each_kg(part), part)))
        if any_sort is not None and any_sort.is_up(min(piece)):
            if not step.prop_first:
                yield f"the {name} is left hanging, and nobody is told to prop it"
            parted = map(self._name, self._could_be_parted(index, joint, piece))
            for run in (*parted, *self._bare_could_go(index, joint, piece)):
                yield f"the {name} is left hanging on the {run}: its end comes first"
        elif self._is_heavy(piece) and not step.prop_first and not self._said_to_stay(joint):
            yield f"the {name} falls, and nobody is told to hold it"

    # -- runs that could have been parted first (a) -------------------------------------------

    def _could_be_parted(self, index: int, joint: JointId, piece: set[PartId]) -> Iterator[PartId]:
        for run in sorted(self.runs.difference(self.off)):
            tied = [
                j for j in self.vehicle.joints_of.get(run, ()) if j in self.made and j != joint
            ]
            near = [j for j in tied if not piece.isdisjoint(self._parts(j))]
            if not near:
                continue
            elsewhere = self._lumps(self.ground.standing, undone=joint, without=piece, loose=True)
            if elsewhere is None or not elsewhere.is_up(run):
                continue
            far = [j for j in tied if j not in near and self._is_on_something(j, run)]
            if any(js and all(self._could_go(index, j) for j in js) for js in (near, far)):
                yield run

    def _bare_could_go(self, index: int, joint: JointId, piece: set[PartId]) -> Iterator[str]:
        """Name the limp joints without a run in them that lead up from a piece, and could go."""
        for other in sorted(self.made - self.stiff - {joint}):
            parts = set(self._parts(other)).difference(self.off)
            beyond = parts - piece
            if parts == beyond or not beyond or not self.runs.isdisjoint(self._parts(other)):
                continue
            elsewhere = self._lumps(self.ground.standing, undone=joint, without=piece, loose=True)
            leads_up = elsewhere is not None and any(map(elsewhere.is_up, beyond))
            if leads_up and self._could_go(index, other):
                yield self.vehicle.joints[other].name

    def _is_on_something(self, joint: JointId, run: PartId) -> bool:
        return any(part != run and part not in self.off for part in self._parts(joint))

    def _could_go(self, index: int, joint: JointId) -> bool:
        """Whether a joint is undone later anyway, and could have been before this step."""
        record, ref = self.vehicle.joints[joint], joint_ref(joint)
        when = self.undone_at.get(joint, -1)
        standing = self.ground.standing
        return (
            when > index
            and not any(index <= reached < when for reached in self.milestones)
            and (not record.standings or standing in record.standings)
            and not any(self.ground.hides(p) for p in record.parts if p not in self.off)
            and not any(
                self.off.keys().isdisjoint(fact.any_of)
                for fact in self.vehicle.obstructions_of.get(ref, ())
            )
            and not any(
                fact.then == ref and fact.first not in self.cleared
                for fact in self.vehicle.befores.values()
                if fact.phase is not Phase.REBUILD
            )
            and not any(
                fact.after == ref and self.cleared_at.get(self._meant(fact.job), -1) >= index
                for fact in self.vehicle.harder_afters.values()
                if fact.factor is None
            )
            and self._is_cracked(joint)
            and Subject(ref) not in self.state.put_off
            and not any(s.first == ref for s in self.vehicle.temporary_supports.values())
        )

    def _meant(self, job: Ref) -> Ref:
        """A whole is cleared with the first of its parts."""
        kind, identity = split_ref(job)
        whole = self.vehicle.assemblies.get(AssemblyId(identity)) if kind == "assembly" else None
        return part_ref(whole.parts[0]) if whole else job

    def _is_cracked(self, joint: JointId) -> bool:
        wanted = self.vehicle.joints[joint].crack_in
        seen = self.state.joints.get(joint)
        if wanted in (None, self.ground.standing) or joint in self.cracked:
            return True
        if seen is not None and (seen.undone or seen.out):
            return True
        record = self.vehicle.standings.get(wanted) if wanted else None
        lost = {each.bears_on for each in record.supports if not each.beside} if record else set()
        return record is None or record.wrong or bool(lost & self.at_start)

    # -- what swings (b) ----------------------------------------------------------------------

    def _swings(self, joint: JointId, before: _Lumps, after: _Lumps) -> Iterator[str]:
        for part in self._parts(joint):
            if part in self.off or not before.is_up(part) or not after.is_up(part):
                continue
            for other in self._pivots_on_the_way(part, joint):
                without = self._lumps(
                    self.ground.standing, undone=joint, too=other, and_cleared=joint_ref(joint)
                )
                with_it = self._lumps(self.ground.standing, undone=other)
                if without is None or with_it is None or without.is_up(part):
                    continue
                lump = without.of(part)
                piece = {p for p in self.jointed.difference(self.off) if without.of(p) == lump}
                if with_it.is_up(part) and self._is_heavy(piece):
                    yield f"the {self._name(part)} swings, and nobody is told to tie it back"
                    return

    def _pivots_on_the_way(self, part: PartId, undone: JointId) -> list[JointId]:
        """The one-fixing joints of one way from a part to what it all stands on."""
        grounded = set(self._grounded(self.ground.standing, joint_ref(undone)))
        came: dict[PartId, tuple[JointId, PartId] | None] = {part: None}
        queue = [part]
        for at in queue:
            if at in grounded:
                path, here = list[JointId](), came[at]
                while here is not None:
                    path.append(here[0])
                    here = came[here[1]]
                return [joint for joint in path if self._turns(joint)]
            for joint in self.vehicle.joints_of.get(at, ()):
                if joint in self.made and joint != undone and joint in self.stiff:
                    for other in self._parts(joint):
                        if other not in came and other not in self.off:
                            came[other] = joint, at
                            queue.append(other)
        return []

    def _turns(self, joint: JointId) -> bool:
        fixings = self.vehicle.joints[joint].fixings
        pieces = [piece for fixing in fixings for piece in fixing.stack]
        return sum(fixing.count for fixing in fixings) == 1 and any(
            piece.role is Role.HOLD and piece.spec.kind.form in _ONE_TO_TURN_ON for piece in pieces
        )

    # -- lumps --------------------------------------------------------------------------------

    def _grounded(
        self, standing: StandingId | None, and_cleared: Ref | None = None
    ) -> Iterator[PartId]:
        """What the supports bear on, the temporary ones as well."""
        record = self.vehicle.standings.get(standing) if standing else None
        if record is not None:
            yield from (s.bears_on for s in record.supports if not s.beside)
        cleared = self.cleared | ({and_cleared} if and_cleared else set())
        for support in self.vehicle.temporary_supports.values():
            if support.first in cleared and support.last not in cleared:
                yield support.bears_on

    def _lumps(
        self,
        standing: StandingId | None,
        *,
        undone: JointId | None = None,
        too: JointId | None = None,
        and_cleared: Ref | None = None,
        without: Collection[PartId] = (),
        loose: bool = False,
    ) -> _Lumps | None:
        """Merge what joints hold together; nothing where no support bears on anything jointed."""
        record = self.vehicle.standings.get(standing) if standing else None
        borne = {s.bears_on for s in record.supports if not s.beside} if record else set()
        if not borne & self.jointed:
            return None
        held = self.made if loose else self.made & self.stiff
        groups = (self._parts(joint) for joint in held if joint not in (undone, too))
        floor = (_FLOOR, *self._grounded(standing, and_cleared))
        return _Lumps(chain((floor,), groups), self.off.keys() | set(without))

    # -- words and weights --------------------------------------------------------------------

    def _said_to_stay(self, joint: JointId) -> bool:
        when = self.vehicle.joints[joint].when_undone
        return when.does is Does.STAYS and bool(when.detail)

    def _is_heavy(self, piece: Collection[PartId]) -> bool:
        records = [self.vehicle.parts.get(part) for part in piece]
        if all(record is not None and record.kind is PartKind.TRIM for record in records):
            return False
        return fsum(map(self._each_kg, piece)) > HAND_KG

    def _each_kg(self, part: PartId) -> float:
        """What one of a part weighs [kg]; nothing, if nobody described it."""
        record = self.vehicle.parts.get(part)
        return self.things.parts[part].mass / record.quantity if record else 0.0

    def _name(self, part: PartId) -> str:
        return self.vehicle.name_of(part_ref(part))
