"""What each node asks for: the facts that must be fulfilled before it, as clauses.

Facts that the state settles become no clause. Numbers in brackets are rules of
``docs/planning-rules.md``.
"""

from collections import defaultdict
from collections.abc import Iterable, Iterator

from putback.planning.known import bears_on, with_why
from putback.planning.plan import Because
from putback.planning.posing.fact import Fact, Sort
from putback.planning.posing.nodes import Nodes
from putback.planning.posing.problem import Cause, Clause, Kind, Node
from putback.planning.threaded import threaded_through
from putback.vehicle.facts import Before, HarderAfter, Obstruction, Phase
from putback.vehicle.ids import (
    JointId,
    PartId,
    Ref,
    StandingId,
    assembly_ref,
    joint_ref,
    part_ref,
    split_ref,
)
from putback.vehicle.standing import Standing


class Clauses:
    """Finds the clauses of every node."""

    def __init__(self, nodes: Nodes) -> None:
        """Sort the facts by what they speak of."""
        self.nodes = nodes
        self.known = nodes.known
        self.vehicle = nodes.known.vehicle
        self._befores: defaultdict[Ref, list[Before]] = defaultdict(list)
        for fact in self.vehicle.befores.values():
            if fact.phase is not Phase.REBUILD and not self.known.is_cleared(fact.first):
                self._befores[fact.then].append(fact)
        self._through = threaded_through(self.vehicle)
        self._too_late: defaultdict[int, list[HarderAfter]] = defaultdict(list)
        for late in self.vehicle.harder_afters.values():
            if late.factor is None and self.known.is_cleared(late.after):
                for index in nodes.speaking_of(late.job):
                    self._too_late[index].append(late)

    def of(self, index: int) -> Iterator[Clause]:
        """Give everything that must be done before a node."""
        node = self.nodes.all[index]
        match node.kind:
            case Kind.STANDING:
                yield from self._to_enter(self.vehicle.standings[StandingId(_id(node.what))])
            case Kind.PARTED:
                yield from self._to_part(node)
            case Kind.PART | Kind.WHOLE:
                yield from self._held(node)
                yield from self._threaded(index)
                for ref in node.clears:
                    yield from self._in_the_way(index, ref)
            case Kind.UNDO:
                yield from self._in_the_way(index, node.what)
            case Kind.BENCH:
                yield from self._on_the_bench(node)
            case Kind.JOB:
                pass
        yield from self._kept(node)
        if node.kind.is_step:
            yield from self._after(index)
            yield from self._to_stand(node)

    def _clause(self, index: int, refs: Iterable[Ref], cause: Cause) -> Clause:
        """Ask for one of ``refs``, by those nodes only that can come before this one."""
        node, after = self.nodes.all[index], self.nodes.benching.get(index, frozenset())
        return Clause(
            tuple(
                by
                for ref in refs
                for by in self.nodes.by(ref)
                if not node.excludes(self.nodes.all[by]) and self.nodes.all[by].unit not in after
            ),
            cause,
        )

    # -- parts and joints (2, 3) --------------------------------------------------------------

    def _held(self, node: Node) -> Iterator[Clause]:
        """The joints that lead out of a unit."""
        for joint in self._joints_of(node.parts):
            if not self.known.on_of(joint) <= node.parts:
                words = f"{self.vehicle.joints[joint].name} still holds it"
                yield self._undone(node, joint, words)

    def _joints_of(self, parts: Iterable[PartId]) -> list[JointId]:
        made = self.nodes.providers
        joints = {j for part in parts for j in self.vehicle.joints_of.get(part, ())}
        return sorted(joint for joint in joints if joint_ref(joint) in made)

    def _undone(self, node: Node, joint: JointId, words: str) -> Clause:
        ways = self.nodes.by(joint_ref(joint))
        fitting = tuple(by for by in ways if not node.excludes(self.nodes.all[by]))
        return Clause(fitting, Cause(Because.HOLDS, words, source=Fact(Sort.HOLDS, joint)))

    def _kept(self, node: Node) -> Iterator[Clause]:
        """The parts that stay on cannot be taken off (10)."""
        if node.kind in (Kind.PART, Kind.WHOLE):
            for part in sorted(node.parts & self.nodes.kept):
                words = f"{self.known.name(part_ref(part))} is to stay on"
                yield Clause((), Cause(Because.GOAL, words, source=Fact(Sort.KEPT, part)))

    def _threaded(self, index: int) -> Iterator[Clause]:
        """The runs through a part of the unit: drawn out, or with an end free to slide it off."""
        parts = self.nodes.all[index].parts
        for part in sorted(parts & self._through.keys()):
            for each in self._through[part]:
                if each.run in parts or each.run in self.known.off:
                    continue
                words = f"{self.known.name(part_ref(each.run))} passes through {each.what}"
                source = Fact(Sort.PASSES, each.run, part)
                cause = Cause(Because.IN_THE_WAY, words, source=source)
                for ends in each.ends:
                    refs = list(map(joint_ref, ends))
                    if not any(map(self.known.is_cleared, refs)):
                        yield self._clause(index, (part_ref(each.run), *refs), cause)

    def _in_the_way(self, index: int, of: Ref) -> Iterator[Clause]:
        """What is in the way, neither off nor in the same unit."""
        within = self.nodes.all[index].parts
        for fact in self.vehicle.obstructions_of.get(of, ()):
            if self.known.off.isdisjoint(fact.any_of) and within.isdisjoint(fact.any_of):
                yield self._clause(index, map(part_ref, fact.any_of), self._way_cause(fact))

    def _on_the_bench(self, node: Node) -> Iterator[Clause]:
        """That the whole is out, and what of it is in the way of one of its joints."""
        if node.unit is None:
            first = self.vehicle.joints[JointId(_id(node.what))].parts[0]
            gone = self.known.state.parts[first].whole
            whole, inside = assembly_ref(gone) if gone else None, self.known.gone_with(gone)
        else:
            whole, inside = node.unit, node.parts
            words = "it is undone once the whole is out"
            yield Clause((self.nodes.taking[whole],), Cause(Because.HOLDS, words))
        for fact in self.vehicle.obstructions_of.get(node.what, ()):
            if whole and inside.issuperset(fact.any_of):
                parted = tuple(self.nodes.parted[whole, part] for part in fact.any_of)
                yield Clause(parted, self._way_cause(fact))

    def _to_part(self, node: Node) -> Iterator[Clause]:
        """The joints that hold a part inside its whole."""
        part = PartId(_id(node.what))
        state = self.known.state
        for joint in self.known.inner(node.parts or self.known.gone_with(state.parts[part].whole)):
            if part in self.vehicle.joints[joint].parts:
                words = f"{self.vehicle.joints[joint].name} still holds it inside the whole"
                yield self._undone(node, joint, words)

    def _way_cause(self, fact: Obstruction) -> Cause:
        words = with_why(f"{self.known.names(fact.any_of)} in the way", fact.why)
        return Cause(Because.IN_THE_WAY, words, fact.id, Fact(Sort.IN_THE_WAY, fact.id))

    # -- before, and too late (4, 9) ----------------------------------------------------------

    def _after(self, index: int) -> Iterator[Clause]:
        for ref in self.nodes.all[index].clears:
            for fact in self._befores.get(ref, ()):
                words = with_why(f"{self.known.name(fact.first)} comes first", fact.why)
                source = Fact(Sort.BEFORE, fact.id)
                cause = Cause(Because.BEFORE, words, fact.id, source)
                yield self._clause(index, [fact.first], cause)
        for late in self._too_late.get(index, ()):
            yield Clause((), self.too_late(late))

    def too_late(self, fact: HarderAfter) -> Cause:
        """Say that a job cannot be done any more after another."""
        job, after = self.known.name(fact.job), self.known.name(fact.after)
        words = with_why(f"{job} cannot be done any more after {after}", fact.why)
        source = Fact(Sort.NEVER_AFTER, fact.id)
        return Cause(Because.HARDER_AFTER, words, fact.id, source)

    # -- standings (2, 3, 5 to 7) -------------------------------------------------------------

    def _to_stand(self, node: Node) -> Iterator[Clause]:
        """That the vehicle can be stood as the node wants it, and as it is cracked."""
        stands = self.nodes.stands
        if node.standings is not None and self.known.start not in node.standings:
            names = " or ".join(map(self.standing_name, sorted(node.standings)))
            where = f"it is done {names}" if names else self._no_standing()
            ways = tuple(stands[each] for each in sorted(node.standings))
            yield Clause(ways, Cause(Because.STANDING, where))
        if node.crack_in is not None and node.crack_in != self.known.start:
            words = f"it is cracked {self.standing_name(node.crack_in)}"
            ways = (stands[node.crack_in], *self.nodes.cracking.get(node.what, ()))
            source = Fact(Sort.CRACK_FIRST, _id(node.what))
            yield Clause(ways, Cause(Because.CRACK_FIRST, words, source=source))

    def _no_standing(self) -> str:
        """Say that no standing is left to do a thing in, and which are lost for good."""
        lost = [
            f"{self.standing_name(standing.id)} bears on {self.known.names(gone)}, off now"
            for standing in self.vehicle.standings.values()
            if standing.id not in self.known.usable and not standing.wrong
            if (gone := sorted(bears_on(standing) & self.known.off))
        ]
        return with_why("there is no standing left to do it in", "; ".join(lost))

    def _to_enter(self, standing: Standing) -> Iterator[Clause]:
        """What must be off before a standing can be entered, and the way to it."""
        name = self.standing_name(standing.id)
        for part in standing.needs_off:
            if part not in self.known.off:
                words = f"to stand {name}, {self.known.name(part_ref(part))} must be off"
                source = Fact(Sort.NEEDS_OFF, standing.id, part)
                cause = Cause(Because.STANDING, words, source=source)
                yield Clause(self.nodes.by(part_ref(part)), cause)
        if self.known.start and standing.id not in self._leads_to(self.known.start):
            ways = tuple(
                index
                for each, index in self.nodes.stands.items()
                if standing.id in self._leads_to(each)
            )
            words = f"no change leads to {name} directly"
            source = Fact(Sort.NO_CHANGE, standing.id)
            yield Clause(ways, Cause(Because.STANDING, words, source=source))

    def _leads_to(self, standing: StandingId) -> Iterable[StandingId]:
        return self.vehicle.standings[standing].change_minutes

    def standing_name(self, standing: StandingId) -> str:
        """The name of a standing, in quotes."""
        return f"“{self.vehicle.standings[standing].name}”"


def _id(ref: Ref) -> str:
    return split_ref(ref)[1]
