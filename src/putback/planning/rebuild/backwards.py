"""What orders a rebuild, turned round: taking back is an AND/OR graph as a strip is.

A step may be taken back once all that comes after it is taken back, and for an `Either` one of its
ways suffices. So what comes before what in every rebuild, and what contradicts itself, is told by
the same graph and as exactly as in a strip (`putback.planning.impossible.andor`).
"""

from collections.abc import Iterable

from putback.planning.impossible.andor import Graph, Proof, smallest_proof
from putback.planning.plan import Action
from putback.planning.posing.fact import Fact, Sort
from putback.planning.rebuild.edges import Edge, Either, Facts, Strength
from putback.planning.rebuild.way_out import NoOrder, described
from putback.planning.rebuild.work import Node, Work
from putback.progress import NoProgress, Progress

_SAID = {
    Action.CRACK: "is cracked",
    Action.UNDO: "is undone",
    Action.TAKE_OFF: "comes off",
    Action.DO: "is done",
    Action.PUT_ON: "goes on",
    Action.MAKE: "is made",
    Action.TIGHTEN: "is tightened",
    Action.FINISH: "is tightened for good",
    Action.CHECK: "is checked",
    Action.FILL: "is filled",
    Action.BLEED: "is bled",
    Action.PREPARE: "is made ready",
}


def label(work: Work, node: Node) -> str:
    """Say a step: ``“lid” goes on``. In quotes, so that who tells it again sees the name."""
    return f"“{work.name(node.what)}” {_SAID[node.action]}"


class Backwards:
    """The graph of taking back, and which node stands for which step."""

    def __init__(self, work: Work, edges: Iterable[Edge], eithers: Iterable[Either]) -> None:
        """Lay out the steps; an edge without a reason goes without saying and is no fact."""
        self.work = work
        self.graph = Graph()
        self.why: dict[Fact, str] = {}
        """What the plan says of each fact."""
        self.rests_on: dict[Fact, tuple[Fact, ...]] = {}
        """What was described that each of them comes of."""
        self.node_of = {node: self.graph.add() for node in work.nodes}
        self.steps = tuple(self.node_of)
        for edge in edges:
            then = self.node_of[edge.then]
            self.graph.demand(self.node_of[edge.first], (then,), *self._facts([edge]))
        for either in eithers:
            ways = [self._way(way) for way in either.ways]
            every = [edge for way in either.ways for edge in way]
            self.graph.demand(self.node_of[either.of], ways, *self._facts(every))

    def _way(self, way: tuple[Edge, ...]) -> int:
        if len(way) == 1:
            return self.node_of[way[0].then]
        together = self.graph.add()
        for edge in way:
            self.graph.demand(together, (self.node_of[edge.then],))
        return together

    def _facts(self, edges: Iterable[Edge]) -> tuple[Fact, ...]:
        """The facts of edges: the described one, else the rule about just these two steps."""
        found = []
        for edge in edges:
            if edge.reason is not None and edge.reason.fact:
                fact = Fact(Sort.REBUILD, edge.reason.words, edge.reason.fact)
            elif edge.reason is not None:
                one, other = label(self.work, edge.first), label(self.work, edge.then)
                fact = Fact(Sort.REBUILD, f"{one} before {other} ({edge.reason.words})")
            else:
                continue
            self.why[fact] = edge.reason.words
            self.rests_on[fact] = tuple(described(self.work, edge))
            found.append(fact)
        return tuple(dict.fromkeys(found))

    def words(self, proof: Proof) -> tuple[str, ...]:
        """Say a proof link by link: which step comes before which, and why."""
        lines = []
        for at, demand in proof.demands:
            steps = [self.steps[way] for way in demand.any_of if way < len(self.steps)]
            if at < len(self.steps) and steps:
                names = " or ".join(dict.fromkeys(label(self.work, step) for step in steps))
                why = "; ".join(dict.fromkeys(self.why[fact] for fact in demand.facts))
                one = label(self.work, self.steps[at])
                lines.append(f"{one} before {names}{f' ({why})' if why else ''}")
        return tuple(dict.fromkeys(lines))


def what_contradicts(
    work: Work, facts: Facts, ring: Iterable[Edge], progress: Progress = NoProgress()
) -> NoOrder:
    """Say the smallest set of facts by which some step would come before itself.

    Only what never gives way counts; where that says nothing, a ring of edges does.
    """
    edges = [edge for edge in facts.edges if edge.strength is Strength.FACT]
    backwards = Backwards(work, edges, facts.eithers)
    all_back = backwards.graph.add()
    for node in backwards.node_of.values():
        backwards.graph.demand(all_back, (node,))
    proof = smallest_proof(backwards.graph, all_back, progress=progress)
    if proof is not None and (words := backwards.words(proof)):
        told = (each for fact in proof.facts for each in backwards.rests_on[fact])
        return NoOrder(words, told, proof.smallest)
    found = tuple(ring)
    told = (each for edge in found for each in described(work, edge))
    return NoOrder(tuple(_say(work, edge) for edge in found), told, smallest=True)


def _say(work: Work, edge: Edge) -> str:
    why = f" ({edge.reason.words})" if edge.reason else ""
    return f"{label(work, edge.first)} before {label(work, edge.then)}{why}"
