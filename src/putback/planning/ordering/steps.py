"""Turn priced moves into the steps of a plan, each with its reasons and cautions in words."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace

from putback.logbook.fluids import pours_of
from putback.planning.crew import Crews, unsure_once
from putback.planning.ordering.precautions import Precaution, Precautions
from putback.planning.ordering.price import Priced
from putback.planning.plan import Action, Because, Reason, Step
from putback.planning.posing.problem import ACTIONS, Cause, Clause, Kind, Node
from putback.planning.search.field import Rules
from putback.vehicle.assembly import Assembly
from putback.vehicle.ids import AssemblyId, FluidId, JobId, JointId, PartId, Ref, split_ref
from putback.vehicle.joint import Does, Joint, WhenUndone
from putback.vehicle.part import Part
from putback.vehicle.usual_cautions import cautions_for, cautions_of_fluid


def steps_of(
    rules: Rules, priced: Sequence[Priced], targets: Sequence[Clause]
) -> tuple[Step, ...]:
    """Write out a plan's moves as steps."""
    return _Writing(rules, priced, targets).steps()


def sketch_of(rules: Rules, priced: Sequence[Priced]) -> tuple[Step, ...]:
    """Write the same steps out without reasons, cautions and what to hold: to compare plans."""
    return tuple(_sketch(rules, each) for each in priced)


def _sketch(rules: Rules, each: Priced) -> Step:
    node = rules.nodes[max(each.move, ~each.move)]
    return Step(
        action=Action.CRACK if each.move < 0 else ACTIONS[node.kind],
        what=node.what,
        standing=each.standing,
        zone=node.zone,
        tool=node.tool,
        minutes=each.minutes,
        setup_minutes=each.setup_minutes,
        crew=node.crew,
    )


class _Writing:
    """What is done before each step, while the steps are written down."""

    def __init__(self, rules: Rules, priced: Sequence[Priced], targets: Sequence[Clause]) -> None:
        self.rules = rules
        self.vehicle = rules.problem.vehicle
        self.priced = priced
        self.asked: dict[int, list[Reason]] = {}
        """Why the goal wants a node; of a whole, for each part that is asked for."""
        for target in targets:
            common = [set(rules.nodes[index].clears) for index in target.any_of]
            for index in target.any_of:
                first = min(set.intersection(*common), default=rules.nodes[index].what)
                self.asked.setdefault(index, []).append(_reason(target.cause, first))
        self.drains = pours_of(self.vehicle).drains
        self.burning = {each.part for each in self.vehicle.fluids.values() if each.burns}
        self.crews: dict[frozenset[FluidId], Crews] = {}
        """How many lift a thing, by the fluids that are in."""
        self.place: dict[int, int] = {each.move: at for at, each in enumerate(priced)}

    def steps(self) -> tuple[Step, ...]:
        """Write them all."""
        first = self.priced[0].standing if self.priced else None
        precautions = Precautions(self.rules, self.rules.problem.start or first)
        written = (
            self._step(
                at, each, precautions.next(each), precautions.full, frozenset(precautions.off)
            )
            for at, each in enumerate(self.priced)
        )
        return unsure_once(self.vehicle, written)

    def _step(
        self,
        at: int,
        each: Priced,
        precaution: Precaution,
        full: frozenset[FluidId],
        off: frozenset[PartId],
    ) -> Step:
        index = max(each.move, ~each.move)
        node = self.rules.nodes[index]
        is_crack = each.move < 0
        joint = self._joint(node)
        moves = joint.moves(off) if joint else WhenUndone()
        return replace(
            _sketch(self.rules, each),
            reasons=tuple(
                dict.fromkeys(self._crack_reasons(node) if is_crack else self._reasons(at, index))
            ),
            cautions=tuple(dict.fromkeys(self._cautions(node, moves, full))),
            prop_first="" if is_crack else precaution.prop_first or moves.prop_first,
            prop_people=max(precaution.prop_people, self._lifting(node, full)),
            add_support=precaution.add_support,
            notes=precaution.notes,
        )

    # -- reasons ------------------------------------------------------------------------------

    def _crack_reasons(self, node: Node) -> Iterator[Reason]:
        for clause in node.clauses:
            if clause.cause.because is Because.CRACK_FIRST:
                yield _reason(clause.cause, node.what)
                return
        words = "it is cracked as the vehicle stands now, and undone when it stands otherwise"
        yield Reason(Because.CRACK_FIRST, node.what, words)

    def _reasons(self, at: int, index: int) -> Iterator[Reason]:
        node = self.rules.nodes[index]
        yield from self.asked.get(index, ())
        for clause in node.clauses:
            yield from self._clause_reasons(at, clause)
        if ~index in self.place:
            yield from self._crack_reasons(node)
        for order in self.rules.problem.orders_onto.get(index, ()):
            if order.cause.because is Because.HARDER_AFTER and order.first in self.place:
                yield _reason(order.cause, self.rules.nodes[order.first].what)
        yield from self._harder_reasons(at, index)

    def _clause_reasons(self, at: int, clause: Clause) -> Iterator[Reason]:
        """Say by what a clause is fulfilled: the first of several ways that was taken."""
        nodes = self.rules.nodes
        done = sorted(
            (self.place[by], by) for by in self._real(clause) if self.place.get(by, at) < at
        )
        if done:
            yield _reason(clause.cause, nodes[done[0][1]].what)
        elif clause.cause.because is Because.STANDING:
            standing = self.priced[at].standing
            for needed in clause.any_of:
                if nodes[needed].what == Ref(f"standing:{standing}"):
                    yield _reason(clause.cause, nodes[needed].what)
                    for ask in nodes[needed].clauses:
                        yield from self._clause_reasons(at, ask)

    def _real(self, clause: Clause) -> Iterable[int]:
        """The steps of a clause; for *parted on the bench* those that part it."""
        for by in clause.any_of:
            if self.rules.nodes[by].kind is Kind.PARTED:
                for inner in self.rules.nodes[by].clauses:
                    yield from inner.any_of
            else:
                yield by

    def _harder_reasons(self, at: int, index: int) -> Iterator[Reason]:
        for fact in self.rules.problem.harder:
            if index in fact.after and fact.factor > 1:
                others = fact.jobs
            elif index in fact.jobs and fact.factor < 1:
                others = fact.after
            else:
                continue
            for other in others:
                if other != index and self.place.get(other, at) < at:
                    yield _reason(fact.cause, self.rules.nodes[other].what)

    # -- cautions -----------------------------------------------------------------------------

    def _joint(self, node: Node) -> Joint | None:
        kind, identity = split_ref(node.what)
        return self.vehicle.joints[JointId(identity)] if kind == "joint" else None

    def _crews(self, full: frozenset[FluidId]) -> Crews:
        if full not in self.crews:
            self.crews[full] = Crews(self.vehicle, full)
        return self.crews[full]

    def _lifted(self, node: Node) -> Part | Assembly | None:
        """What is lifted in one piece."""
        kind, identity = split_ref(node.what)
        if kind == "assembly":
            return self.vehicle.assemblies.get(AssemblyId(identity))
        return self.vehicle.parts.get(PartId(identity)) if kind == "part" else None

    def _lifting(self, node: Node, full: frozenset[FluidId]) -> int:
        """How many lift it with what is still in it."""
        lifted = self._lifted(node)
        return self._crews(full).of(lifted.crew, node.parts, lifted.hoist) if lifted else 1

    def _cautions(self, node: Node, moves: WhenUndone, full: frozenset[FluidId]) -> Iterator[str]:
        """What can hurt, fall or need lifting gear."""
        kind, identity = split_ref(node.what)
        if moves.does is not Does.STAYS:
            yield f"it {moves.does}{': ' if moves.detail else ''}{moves.detail}"
        if kind == "job":
            yield from self.vehicle.jobs[JobId(identity)].cautions
            for fluid in self.drains.get(JobId(identity), ()):
                yield from cautions_of_fluid(self.vehicle.fluids[fluid])
        if lifted := self._lifted(node):
            parts = (lifted.id,) if isinstance(lifted, Part) else lifted.parts
            yield from lifted.cautions if isinstance(lifted, Assembly) else ()
            for part in parts:
                if part in node.parts:
                    yield from cautions_for(self.vehicle.parts[part], self.burning)
            if lifted.hoist:
                yield f"lift it with {lifted.hoist}"
            lift, crews = (lifted.crew, node.parts, lifted.hoist), self._crews(full)
            yield from filter(None, (crews.why(*lift), crews.unsure(*lift)))


def _reason(cause: Cause, first: Ref) -> Reason:
    return Reason(cause.because, first, cause.words, cause.fact)
