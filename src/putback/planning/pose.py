"""Pose a problem: turn vehicle, state and goal into nodes, clauses and orders.

The rules are those of ``docs/planning-rules.md``; their numbers stand in brackets below. What the
state shows as cleared never becomes a node, and facts that it settles never become a clause.
"""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace
from functools import cached_property
from itertools import chain
from math import prod
from types import MappingProxyType

from putback.logbook.state import State
from putback.planning.plan import Because
from putback.planning.problem import (
    CRACK_SHARE,
    Cause,
    Clause,
    Harder,
    Kind,
    Node,
    Order,
    Problem,
    Span,
    name_of,
)
from putback.vehicle.assembly import Assembly
from putback.vehicle.facts import Before, HarderAfter, Obstruction, Phase
from putback.vehicle.goal import Goal
from putback.vehicle.ids import (
    AssemblyId,
    JointId,
    PartId,
    Ref,
    StandingId,
    ZoneId,
    job_ref,
    joint_ref,
    part_ref,
    split_ref,
)
from putback.vehicle.job import Job, JobKind
from putback.vehicle.joint import Joint
from putback.vehicle.part import Part
from putback.vehicle.standing import Standing
from putback.vehicle.vehicle import Vehicle


def pose(vehicle: Vehicle, state: State, kept: Iterable[PartId] = ()) -> Problem:
    """Pose what can be done with the vehicle as it is, if the parts of ``kept`` stay on."""
    return _Posing(vehicle, state, frozenset(kept)).problem()


def made_joints(vehicle: Vehicle, state: State) -> frozenset[JointId]:
    """The joints that still hold: not undone, and between things that are still together."""
    return frozenset(
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


def targets_of(problem: Problem, state: State, goal: Goal) -> tuple[Clause, ...]:
    """Give what the goal asks for (10), as clauses that the end of the plan fulfils."""
    vehicle = problem.vehicle
    wanted = dict.fromkeys(goal.off)
    if goal.off_rest:
        spared = {*goal.on, goal.datum}
        wanted |= dict.fromkeys(part for part in vehicle.parts if part not in spared)
    asked = Cause(Because.GOAL, f"“{goal.name}” asks for it")
    targets = [
        Clause(problem.providers.get(part_ref(part), ()), asked)
        for part in wanted
        if part not in state.parts_off
    ]
    targets += [
        Clause(problem.providers.get(job_ref(job), ()), asked)
        for job in goal.jobs
        if job not in state.jobs_done
    ]
    for joint in made_joints(vehicle, state):
        parts = vehicle.joints[joint].parts
        on = [part for part in parts if part not in state.parts_off]
        if len(on) < len(parts):
            undone = problem.providers[joint_ref(joint)]
            tied = Cause(Because.HOLDS, "it still ties a part that is off")
            targets += [Clause(undone + problem.providers[part_ref(p)], tied) for p in on]
    return tuple(dict.fromkeys(targets))


class _Posing:
    """What is known while a problem is being posed."""

    def __init__(self, vehicle: Vehicle, state: State, kept: frozenset[PartId]) -> None:
        self.vehicle = vehicle
        self.state = state
        self.kept = kept
        self.off = state.parts_off
        self.made = made_joints(vehicle, state)
        said = state.standing.standing
        self.start = said if said in vehicle.standings else None
        self.nodes: list[Node] = []
        self.providers: dict[Ref, list[int]] = {}
        self.stands: dict[StandingId, int] = {}
        self.parted: dict[tuple[Ref, PartId], int] = {}

    def problem(self) -> Problem:
        """Pose it: first all nodes, then what each asks for."""
        self._add_nodes()
        orders = tuple(chain(self._out_before_bench(), self._enter_in_time(), self._never_after()))
        harder = tuple(self._harder())
        nodes = tuple(
            _at_least(
                index,
                replace(node, clauses=tuple(self._clauses(index, node))),
                harder,
                self.cracking.get(node.what, ()) != (),
            )
            for index, node in enumerate(self.nodes)
        )
        return Problem(
            vehicle=self.vehicle,
            nodes=nodes,
            providers=MappingProxyType({ref: tuple(by) for ref, by in self.providers.items()}),
            orders=orders,
            harder=harder,
            spans=tuple(self._spans()),
            start=self.start,
            usable=tuple(self.usable),
            parts_off=self.off,
            cracked=self.cracked,
            cracking=self.cracking,
            kept=self.kept,
        )

    # -- what the state says ------------------------------------------------------------------

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

    @cached_property
    def usable(self) -> tuple[StandingId, ...]:
        """The standings that may still be entered (6), and the one of now."""
        return tuple(
            standing.id
            for standing in self.vehicle.standings.values()
            if standing.id == self.start or not self._is_lost(standing)
        )

    def _is_lost(self, standing: Standing) -> bool:
        return standing.wrong or not self.off.isdisjoint(_bears_on(standing))

    @cached_property
    def cracked(self) -> frozenset[Ref]:
        """The joints that need no cracking any more, and are quicker for it (7)."""
        by_jobs = (
            joint
            for job in self.state.jobs_done
            if job in self.vehicle.jobs
            for joint in _cracked_by(self.vehicle.jobs[job])
        )
        shown = (joint for joint, each in self.state.joints.items() if each.cracked)
        return frozenset(map(joint_ref, chain(by_jobs, shown)))

    def _is_touched(self, joint: JointId) -> bool:
        seen = self.state.joints.get(joint)
        return seen is not None and bool(seen.cracked or seen.undone or seen.out)

    @cached_property
    def cracking(self) -> Mapping[Ref, tuple[int, ...]]:
        """The declared jobs that crack a joint, by node."""
        found: dict[Ref, tuple[int, ...]] = {}
        for job in self.vehicle.jobs.values():
            for joint in map(joint_ref, _cracked_by(job)):
                found[joint] = found.get(joint, ()) + tuple(self._by(job_ref(job.id)))
        return MappingProxyType(found)

    def _by(self, ref: Ref) -> tuple[int, ...]:
        return tuple(self.providers.get(ref, ()))

    def _is_cleared(self, ref: Ref) -> bool:
        kind, identity = split_ref(ref)
        match kind:
            case "part":
                return identity in self.off
            case "joint":
                return identity in self.vehicle.joints and identity not in self.made
            case _:
                return identity in self.state.jobs_done

    # -- nodes --------------------------------------------------------------------------------

    def _add(self, node: Node) -> int:
        index = len(self.nodes)
        self.nodes.append(node)
        for ref in node.clears:
            self.providers.setdefault(ref, []).append(index)
        return index

    def _add_nodes(self) -> None:
        for part in self.parts:
            self.providers[part_ref(part)] = []
        for job in self.vehicle.jobs.values():
            if job.phase is not Phase.REBUILD and job.id not in self.state.jobs_done:
                self._add(self._job_node(job))
        for joint in self.vehicle.joints.values():
            if joint.id in self.made:
                self._add_joint(joint)
        for part in self.parts:
            if part not in self.kept:
                self._add(self._part_node(part))
        for whole in self.vehicle.assemblies.values():
            self._add_whole(whole)
        for gone in sorted({w for p in self.off if (w := self.state.parts[p].whole)}):
            self._add_parted(
                Ref(f"assembly:{gone}"), self._gone_with(gone), Node(Kind.PARTED, Ref(""))
            )
        for standing in self.usable:
            if standing != self.start:
                what = Ref(f"standing:{standing}")
                self.stands[standing] = self._add(Node(Kind.STANDING, what))

    def _job_node(self, job: Job) -> Node:
        what = job_ref(job.id)
        minutes = job.minutes.likely * self._factor({what})
        return Node(
            Kind.JOB,
            what,
            clears=(what,),
            minutes=minutes,
            standings=self._allowed([job.standings]),
            zone=job.zone,
            tool=job.tool,
            crew=job.crew,
        )

    def _add_joint(self, joint: Joint) -> None:
        what = joint_ref(joint.id)
        self.providers[what] = []
        minutes = joint.minutes.likely * self._factor({what})
        if what in self.cracked:
            minutes *= 1 - CRACK_SHARE
        on = frozenset(part for part in joint.parts if part not in self.off)
        common = Node(
            Kind.BENCH,
            what,
            clears=(what,),
            minutes=minutes,
            zone=joint.zone,
            tool=joint.tool,
            crew=joint.crew,
            crack_in=self._to_crack_in(joint),
        )
        if on or not joint.parts:
            standings = self._allowed([joint.standings], hidden=on)
            self._add(replace(common, kind=Kind.UNDO, standings=standings))
        else:
            self._add(common)

    def _to_crack_in(self, joint: Joint) -> StandingId | None:
        wanted = joint.crack_in if joint.crack_in in self.usable else None
        return (
            None if self._is_touched(joint.id) or joint_ref(joint.id) in self.cracked else wanted
        )

    def _part_node(self, part: PartId) -> Node:
        what = part_ref(part)
        record = self._record(part)
        only = frozenset({part})
        return Node(
            Kind.PART,
            what,
            clears=(what,),
            minutes=record.minutes.likely * self._factor({what}),
            standings=self._allowed([record.standings], hidden=only, borne=only),
            zone=record.zone,
            crew=record.crew,
            parts=only,
            unit=what,
        )

    def _record(self, part: PartId) -> Part:
        """Its description, or a blank one where somebody only named it."""
        return self.vehicle.parts.get(part) or Part(part, part, ZoneId(""))

    def _add_whole(self, whole: Assembly) -> None:
        parts = frozenset(whole.parts) - self.off
        what = Ref(f"assembly:{whole.id}")
        if len(parts) < 2 or parts & self.kept:
            return
        clears = tuple(part_ref(part) for part in whole.parts if part in parts)
        records = [self._record(part) for part in whole.parts if part in parts]
        self._add(
            Node(
                Kind.WHOLE,
                what,
                clears=clears,
                minutes=whole.minutes.likely * self._factor({what, *clears}),
                standings=self._allowed([r.standings for r in records], hidden=parts, borne=parts),
                zone=self._record(whole.parts[0]).zone,
                crew=whole.crew,
                parts=parts,
                unit=what,
            )
        )
        for joint in self._inner(frozenset(whole.parts) & parts):
            outside = self.nodes[self.providers[joint_ref(joint)][0]]
            self._add(replace(outside, kind=Kind.BENCH, standings=None, parts=parts, unit=what))
        self._add_parted(what, parts, Node(Kind.PARTED, what, parts=parts, unit=what))

    def _add_parted(self, whole: Ref, parts: Iterable[PartId], blank: Node) -> None:
        for part in sorted(parts):
            self.parted[whole, part] = self._add(replace(blank, what=part_ref(part)))

    def _inner(self, parts: frozenset[PartId]) -> list[JointId]:
        """The joints that hold nothing but these parts together."""
        joints = self.vehicle.joints
        return sorted(
            j for j in self.made if joints[j].parts and parts.issuperset(joints[j].parts)
        )

    def _allowed(
        self,
        named: Iterable[tuple[StandingId, ...]],
        hidden: frozenset[PartId] = frozenset(),
        borne: frozenset[PartId] = frozenset(),
    ) -> frozenset[StandingId] | None:
        """Give the standings to work in (2, 3, 5); ``None`` where all will do."""
        if not self.vehicle.standings:
            return None
        allowed = {
            standing
            for standing in self.usable
            if hidden.isdisjoint(_hides(self.vehicle.standings[standing]))
            and borne.isdisjoint(_bears_on(self.vehicle.standings[standing]))
        }
        for standings in named:
            if standings:
                allowed.intersection_update(standings)
        return None if len(allowed) == len(self.usable) else frozenset(allowed)

    def _factor(self, refs: set[Ref]) -> float:
        """How much longer the state has made it already (9)."""
        return prod(
            fact.factor
            for fact in self.vehicle.harder_afters.values()
            if fact.job in refs and fact.factor is not None and self._is_cleared(fact.after)
        )

    # -- what each asks for -------------------------------------------------------------------

    def _clauses(self, index: int, node: Node) -> Iterator[Clause]:
        """Everything that must be done before a node."""
        match node.kind:
            case Kind.STANDING:
                yield from self._to_enter(self.vehicle.standings[StandingId(_id(node.what))])
                return
            case Kind.PARTED:
                yield from self._to_part(node)
                return
            case Kind.PART | Kind.WHOLE:
                yield from self._held(node)
                for ref in node.clears:
                    yield from self._in_the_way(index, node, ref)
            case Kind.UNDO:
                yield from self._in_the_way(index, node, node.what)
            case Kind.BENCH:
                yield from self._in_the_way_on_the_bench(node)
            case Kind.JOB:
                pass
        yield from self._after(index, node)
        yield from self._to_stand(node)

    def _clause(self, index: int, node: Node, refs: Iterable[Ref], cause: Cause) -> Clause:
        """Ask for one of ``refs``, of their nodes only those that can come before this one."""
        later = self.later.get(index, frozenset())
        return Clause(
            tuple(
                by
                for ref in refs
                for by in self._by(ref)
                if not node.excludes(self.nodes[by]) and self.nodes[by].unit not in later
            ),
            cause,
        )

    @cached_property
    def later(self) -> Mapping[int, frozenset[Ref]]:
        """For a joint that is undone on the vehicle: the units that would take it to the bench."""
        return MappingProxyType(
            {
                index: frozenset(
                    unit.unit
                    for part in on
                    for by in self._by(part_ref(part))
                    if (unit := self.nodes[by]).unit is not None and on <= unit.parts
                )
                for index, node in enumerate(self.nodes)
                if node.kind is Kind.UNDO and (on := self._on(node.what))
            }
        )

    def _on(self, joint: Ref) -> frozenset[PartId]:
        return frozenset(self.vehicle.joints[JointId(_id(joint))].parts) - self.off

    def _held(self, node: Node) -> Iterator[Clause]:
        """The joints that lead out of a unit (3)."""
        held = dict.fromkeys(
            joint for part in node.parts for joint in self.vehicle.joints_of.get(part, ())
        )
        for joint in sorted(held):
            if joint in self.made and not self._on(joint_ref(joint)) <= node.parts:
                words = f"{self.vehicle.joints[joint].name} still holds it"
                undone = self.providers[joint_ref(joint)]
                by = tuple(each for each in undone if not node.excludes(self.nodes[each]))
                yield Clause(by, Cause(Because.HOLDS, words))

    def _in_the_way(self, index: int, node: Node, of: Ref) -> Iterator[Clause]:
        """What is in the way of a joint or part, and neither off nor in the same unit (2, 3)."""
        for fact in self.vehicle.obstructions_of.get(of, ()):
            if self.off.isdisjoint(fact.any_of) and node.parts.isdisjoint(fact.any_of):
                yield self._clause(index, node, map(part_ref, fact.any_of), self._way_cause(fact))

    def _in_the_way_on_the_bench(self, node: Node) -> Iterator[Clause]:
        """What is in the way of a joint of a whole that is out (3)."""
        whole, inside = node.unit, node.parts
        if whole is None:
            gone_with = self.state.parts[
                self.vehicle.joints[JointId(_id(node.what))].parts[0]
            ].whole
            whole = Ref(f"assembly:{gone_with}")
            inside = self._gone_with(gone_with)
        else:
            (out,) = (by for by, each in enumerate(self.nodes) if each.what == whole)
            yield Clause((out,), Cause(Because.HOLDS, "it is undone once the whole is out"))
        for fact in self.vehicle.obstructions_of.get(node.what, ()):
            if inside.issuperset(fact.any_of):
                parted = tuple(self.parted[whole, part] for part in fact.any_of)
                yield Clause(parted, self._way_cause(fact))

    def _gone_with(self, whole: AssemblyId | None) -> frozenset[PartId]:
        return frozenset(part for part in self.off if self.state.parts[part].whole == whole)

    def _to_part(self, node: Node) -> Iterator[Clause]:
        """The joints that hold a part inside its whole."""
        part = PartId(_id(node.what))
        parts = node.parts or self._gone_with(self.state.parts[part].whole)
        for joint in self._inner(parts):
            if part in self.vehicle.joints[joint].parts:
                words = f"{self.vehicle.joints[joint].name} still holds it inside the whole"
                by = tuple(
                    each
                    for each in self.providers[joint_ref(joint)]
                    if not node.excludes(self.nodes[each])
                )
                yield Clause(by, Cause(Because.HOLDS, words))

    def _way_cause(self, fact: Obstruction) -> Cause:
        names = " or ".join(name_of(self.vehicle, part_ref(part)) for part in fact.any_of)
        return Cause(Because.IN_THE_WAY, _with_why(f"{names} in the way", fact.why), fact.id)

    def _after(self, index: int, node: Node) -> Iterator[Clause]:
        """What facts *before* ask for (4), and what the state has made impossible (9)."""
        for fact in self.befores:
            if fact.then in node.clears and not self._is_cleared(fact.first):
                words = _with_why(f"{name_of(self.vehicle, fact.first)} comes first", fact.why)
                cause = Cause(Because.BEFORE, words, fact.id)
                yield self._clause(index, node, [fact.first], cause)
        for hard in self.vehicle.harder_afters.values():
            is_ours = hard.factor is None and index in self._nodes_for(hard.job)
            if is_ours and self._is_cleared(hard.after):
                yield Clause((), self._too_late(hard))

    @cached_property
    def befores(self) -> tuple[Before, ...]:
        return tuple(f for f in self.vehicle.befores.values() if f.phase is not Phase.REBUILD)

    def _to_stand(self, node: Node) -> Iterator[Clause]:
        """What must be off before the vehicle can stand as the node wants it (2, 3, 5 to 7)."""
        if node.standings is not None and self.start not in node.standings:
            names = " or ".join(map(self._standing_name, sorted(node.standings)))
            where = f"it is done {names}" if names else "there is no standing to do it in"
            by = tuple(self.stands[each] for each in sorted(node.standings))
            yield Clause(by, Cause(Because.STANDING, where))
        if node.crack_in is not None and node.crack_in != self.start:
            words = f"it is cracked {self._standing_name(node.crack_in)}"
            by = (self.stands[node.crack_in], *self.cracking.get(node.what, ()))
            yield Clause(by, Cause(Because.CRACK_FIRST, words))

    def _standing_name(self, standing: StandingId) -> str:
        return f"“{self.vehicle.standings[standing].name}”"

    def _to_enter(self, standing: Standing) -> Iterator[Clause]:
        """What must be off before a standing can be entered, and the way to it (6)."""
        for part in standing.needs_off:
            if part not in self.off:
                words = f"to stand {self._standing_name(standing.id)} it must be off"
                yield Clause(self._by(part_ref(part)), Cause(Because.STANDING, words))
        if self.start and standing.id not in self._changes(self.start):
            via = tuple(
                self.stands[each]
                for each in self.usable
                if each in self.stands and standing.id in self._changes(each)
            )
            words = f"no change leads to {self._standing_name(standing.id)} directly"
            yield Clause(via, Cause(Because.STANDING, words))

    def _changes(self, standing: StandingId) -> Mapping[StandingId, float]:
        return self.vehicle.standings[standing].change_minutes

    # -- conditional orders, harder after, spans ----------------------------------------------

    def _out_before_bench(self) -> Iterator[Order]:
        """A joint that is not undone on the bench is undone before its parts are all off (2)."""
        cause = Cause(Because.HOLDS, "it is undone while its parts are on")
        taking = {
            node.unit: then
            for then, node in enumerate(self.nodes)
            if node.kind in (Kind.PART, Kind.WHOLE)
        }
        for index, units in self.later.items():
            for unit in sorted(units):
                yield Order(index, taking[unit], cause)

    def _enter_in_time(self) -> Iterator[Order]:
        """A standing is entered before a part that its supports bear on is off (6)."""
        for standing, index in self.stands.items():
            for part in sorted(_bears_on(self.vehicle.standings[standing])):
                name = name_of(self.vehicle, part_ref(part))
                words = f"{self._standing_name(standing)} bears on {name}"
                for then in self._by(part_ref(part)):
                    yield Order(index, then, Cause(Because.STANDING, words))

    def _never_after(self) -> Iterator[Order]:
        """A job that cannot be done any more after another comes before it (9)."""
        for fact in self.vehicle.harder_afters.values():
            if fact.factor is None:
                for first in self._nodes_for(fact.job):
                    for then in self._by(fact.after):
                        if then != first:
                            yield Order(first, then, self._too_late(fact))

    def _too_late(self, fact: HarderAfter) -> Cause:
        job, after = (name_of(self.vehicle, ref) for ref in (fact.job, fact.after))
        words = _with_why(f"{job} cannot be done any more after {after}", fact.why)
        return Cause(Because.HARDER_AFTER, words, fact.id)

    def _nodes_for(self, job: Ref) -> tuple[int, ...]:
        """The nodes whose minutes a harder-after fact speaks of."""
        if split_ref(job)[0] == "assembly":
            return tuple(
                i for i, n in enumerate(self.nodes) if n.kind is Kind.WHOLE and n.what == job
            )
        return self._by(job)

    def _harder(self) -> Iterator[Harder]:
        for fact in self.vehicle.harder_afters.values():
            jobs, after = self._nodes_for(fact.job), self._by(fact.after)
            if fact.factor is not None and jobs and after:
                how = f"takes {fact.factor:g} times as long"
                job, first = (name_of(self.vehicle, ref) for ref in (fact.job, fact.after))
                words = _with_why(f"{job} {how} after {first}", fact.why)
                yield Harder(jobs, after, fact.factor, Cause(Because.HARDER_AFTER, words, fact.id))

    def _spans(self) -> Iterator[Span]:
        """What stays on a jack or in one sitting (8)."""
        for support in self.vehicle.temporary_supports.values():
            if support.first != support.last:
                bears = name_of(self.vehicle, part_ref(support.bears_on))
                words = f"{bears} is on a {support.kind}"
                yield Span(self._by(support.first), self._by(support.last), words)
        for job in self.vehicle.jobs.values():
            if job.same_sitting_as is not None:
                other = job_ref(job.same_sitting_as)
                words = f"{job.name} and {name_of(self.vehicle, other)} are of one sitting"
                yield Span(self._by(job_ref(job.id)), self._by(other), words)


def _id(ref: Ref) -> str:
    return split_ref(ref)[1]


def _with_why(words: str, why: str) -> str:
    return f"{words}: {why}" if why else words


def _cracked_by(job: Job) -> tuple[JointId, ...]:
    return job.joints if job.kind is JobKind.CRACK else ()


def _bears_on(standing: Standing) -> set[PartId]:
    return {support.bears_on for support in standing.supports if not support.beside}


def _hides(standing: Standing) -> set[PartId]:
    return {part for support in standing.supports for part in support.hides}


def _at_least(index: int, node: Node, problem_harder: Iterable[Harder], is_cracked: bool) -> Node:
    """Give a node the least that its minutes can come down to."""
    factors = [h.factor for h in problem_harder if index in h.jobs and h.factor < 1]
    if is_cracked:
        factors.append(1 - CRACK_SHARE)
    return replace(node, least=node.minutes * prod(factors))
