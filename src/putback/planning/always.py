"""Whether one thing comes before another in every plan, by which facts, and what would free them.

A thing is before another in every plan where the other cannot be done without it: where it is on
every way through the AND/OR graph of the problem (`impossible.grounds`). The fewest facts
that prove it are the shortest chain; the fewest facts without which it would not be so are what
would have to change. Both are exact (`impossible.andor`).

What must not come *after* something counts as before it where it is done in any case: it is asked
about, or no way to the goal is without it.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from putback.planning.impossible.andor import Demand, Graph, Proof, smallest_change, smallest_proof
from putback.planning.impossible.grounds import Grounds, closed_by, grounds_of, shut_in
from putback.planning.known import bears_on
from putback.planning.posing.fact import Fact, Sort, Wording
from putback.planning.posing.problem import Clause, Problem
from putback.progress import NoProgress, Progress
from putback.vehicle.ids import PartId, Ref, StandingId, split_ref


class Thing(NamedTuple):
    """A part, joint, job, assembly or standing, and what it is called here."""

    what: Ref
    name: str


@dataclass(frozen=True, slots=True)
class Wait:
    """One link of a chain: ``what`` waits for ``waits_for``, whichever of several is taken.

    It waits for nothing where ``words`` rule it out altogether.
    """

    what: Thing
    waits_for: tuple[Thing, ...]
    words: str

    def __str__(self) -> str:
        names = " or ".join(each.name for each in self.waits_for)
        return (
            f"{self.words} (whichever of {names} is taken)"
            if len(self.waits_for) > 1
            else self.words
        )


@dataclass(frozen=True, slots=True)
class Always:
    """That ``first`` comes before ``then`` in every plan: from ``then`` back to ``first``.

    No fewer facts say so if ``shortest``. ``change`` is what would have to be otherwise for the
    other order to be free, no fewer facts if ``fewest``; empty where no facts have to do with it.
    """

    first: Thing
    then: Thing
    chain: tuple[Wait, ...]
    shortest: bool = True
    change: tuple[str, ...] = ()
    fewest: bool = True


def always_before(
    problem: Problem,
    targets: Sequence[Clause],
    first: Ref,
    then: Ref,
    progress: Progress = NoProgress(),
) -> Always | None:
    """Say why one thing comes before another in every plan to the targets in which both are done.

    ``None`` if nothing that is described puts it there. The two are parts, joints, jobs or
    assemblies that are still to be done.
    """
    question = _Question(problem, targets, first, then)
    never = question.nodes_of(first)
    proof = smallest_proof(question.graph, question.then, never=never, progress=progress)
    if proof is None:
        return None
    change = smallest_change(question.graph, question.then, never=never, progress=progress)
    say = Wording(problem.vehicle)
    return Always(
        question.thing(first),
        question.thing(then),
        tuple(question.links(proof, say)),
        proof.smallest,
        tuple(map(say.otherwise, sorted(change.facts))) if change else (),
        change.smallest if change else True,
    )


def freed_now(
    problem: Problem, targets: Sequence[Clause], what: Ref, progress: Progress = NoProgress()
) -> tuple[str, ...]:
    """Say what would have to be otherwise for a thing to be done before all else.

    No fewer facts would be enough; none where it can be, or where facts alone do not free it.
    """
    question = _Question(problem, targets, what, what)
    own = question.nodes_of(what)
    others = {i for i, node in enumerate(problem.nodes) if node.kind.is_step}.difference(own)
    change = smallest_change(question.graph, question.then, never=others, progress=progress)
    say = Wording(problem.vehicle)
    return tuple(map(say.otherwise, sorted(change.facts))) if change else ()


class _Question:
    """The graph of a problem in which two things are done in any case."""

    def __init__(self, problem: Problem, targets: Sequence[Clause], first: Ref, then: Ref) -> None:
        self.problem = problem
        self.grounds: Grounds = grounds_of(problem, targets)
        self.graph: Graph = self.grounds.graph
        self.refs = list(self.grounds.refs)
        for asked in (first, then):
            self.graph.demand(self.grounds.goal, self.nodes_of(asked))
        self.asked = then
        self.shut: dict[tuple[int, StandingId], Fact | None] = {}
        self._bind_orders()
        self.then = self._add(Ref(""))
        self.graph.demand(self.then, self.nodes_of(then))

    def nodes_of(self, ref: Ref) -> tuple[int, ...]:
        """The nodes that do a thing."""
        if split_ref(ref)[0] == "assembly":
            return tuple(
                index
                for index, node in enumerate(self.problem.nodes)
                if node.what == ref and node.parts and node.clears
            )
        return self.problem.providers.get(ref, ())

    def thing(self, ref: Ref) -> Thing:
        """A thing and its name."""
        return Thing(ref, self.problem.name(ref))

    def _add(self, ref: Ref) -> int:
        self.refs.append(ref)
        return self.graph.add()

    # -- what must not come after ---------------------------------------------------------------

    def _bind_orders(self) -> None:
        """Let what is too late after a thing come before it, where it is done in any case.

        Each order that binds may make more things unavoidable, so that more orders bind.
        """
        left = [*self._orders(), *self._borne()]
        binding = left
        while binding:
            near = self.graph.reached_from(self.nodes_of(self.asked))
            unavoidable = self.graph.unavoidable(self.grounds.goal)
            known: dict[tuple[int, ...], bool] = {}
            binding = []
            for each in left:
                then, firsts, _ = each
                if then in near:
                    if firsts not in known:
                        known[firsts] = not unavoidable.isdisjoint(firsts) or (
                            len(firsts) > 1 and self._is_unavoidable(firsts)
                        )
                    if known[firsts]:
                        binding.append(each)
            left = [each for each in left if each not in binding]
            for then, firsts, facts in binding:
                self.graph.demand(then, firsts, *facts)

    def _is_unavoidable(self, nodes: Iterable[int]) -> bool:
        return self.grounds.goal not in self.graph.possible(never=frozenset(nodes))

    def _orders(self) -> Iterator[tuple[int, tuple[int, ...], tuple[Fact, ...]]]:
        after: dict[tuple[int, Fact | None], list[int]] = {}
        for order in self.problem.orders:
            after.setdefault((order.then, order.cause.source), []).append(order.first)
        for (then, source), firsts in after.items():
            yield then, tuple(firsts), (source,) if source is not None else ()

    def _borne(self) -> Iterator[tuple[int, tuple[int, ...], tuple[Fact, ...]]]:
        """What is done only while the supports bear on a part comes before that part is off."""
        problem, nodes = self.problem, self.problem.nodes
        standings = [s.id for s in problem.vehicle.standings.values() if not s.wrong]
        choosy = [
            ways
            for ways in problem.providers.values()
            if ways and all(nodes[way].standings is not None for way in ways)
        ]
        borne = {part for s in standings for part in bears_on(problem.vehicle.standings[s])}
        for part in sorted(borne - problem.parts_off):
            taking = [i for i, node in enumerate(nodes) if node.clears and part in node.parts]
            for ways in choosy:
                reasons = [self._only_on(way, part) for way in ways]
                facts = [fact for each in reasons if each for fact in each]
                if all(each is not None for each in reasons):
                    for then in taking:
                        if then not in ways:
                            yield then, ways, tuple(dict.fromkeys(facts))

    def _only_on(self, way: int, part: PartId) -> list[Fact] | None:
        """The facts by which a node is done only in standings that bear on a part, if it is."""
        facts = []
        node = self.problem.nodes[way]
        if part in node.parts:
            return None
        for standing in self.problem.vehicle.standings:
            if part in bears_on(self.problem.vehicle.standings[standing]):
                facts.append(Fact(Sort.BEARS, standing, part))
            elif standing not in self.problem.usable:
                facts.append(next(closed_by(self.problem, standing)))
            elif (shut := self._shut(way, standing)) is not None:
                facts.append(shut)
            else:
                return None
        return facts

    def _shut(self, way: int, standing: StandingId) -> Fact | None:
        """A fact by which a node cannot be done in a standing."""
        if (way, standing) not in self.shut:
            node = self.problem.nodes[way]
            self.shut[way, standing] = next(iter(shut_in(self.problem, node, standing)), None)
        return self.shut[way, standing]

    # -- in words -----------------------------------------------------------------------------

    def links(self, proof: Proof, say: Wording) -> Iterator[Wait]:
        """Give the links of a proof from its end back to what it leads to."""
        demands = dict(proof.demands)
        for at, demand in proof.demands:
            if at != self.then and not self._is_place(at):
                ways, facts = self._through(demand, demands)
                what = self.thing(self.refs[at])
                names = dict.fromkeys(self.thing(self.refs[way]) for way in ways)
                words = "; ".join(map(say.is_so, facts))
                yield Wait(what, tuple(names), words or f"{what.name}: {self._said(at, demand)}")

    def _is_place(self, at: int) -> bool:
        """Whether a node only stands for doing a thing in one standing."""
        return at >= len(self.problem.nodes) and split_ref(self.refs[at])[0] != "standing"

    def _through(
        self, demand: Demand, demands: dict[int, Demand]
    ) -> tuple[tuple[int, ...], tuple[Fact, ...]]:
        """What a demand comes down to where it goes over the standings to do a thing in."""
        ways: list[int] = []
        facts = list(demand.facts)
        for way in demand.any_of:
            if self._is_place(way) and way in demands:
                ways += demands[way].any_of
                facts += demands[way].facts
            else:
                ways.append(way)
        return tuple(ways), tuple(dict.fromkeys(facts))

    def _said(self, at: int, demand: Demand) -> str:
        """The words of a rule that is no fact."""
        clauses = self.problem.nodes[at].clauses if at < len(self.problem.nodes) else ()
        return next((c.cause.words for c in clauses if c.any_of == demand.any_of), "")
