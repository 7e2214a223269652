"""The order of the strip, turned round, for what only the logbook knows (rule 10 of the rebuild).

It is the one order proven to work. It is relaxed only where what is described proves that the
other way round is right.
"""

from collections.abc import Iterable, Iterator

from putback.planning.plan import Because, Reason
from putback.planning.rebuild.edges import Edge, Strength, after_of, reached_from
from putback.planning.rebuild.work import Work
from putback.vehicle.ids import JointId, PartId, Ref, split_ref


def proven_order(work: Work, known: Iterable[Edge], *, pairwise: bool) -> Iterator[Edge]:
    """Keep the order of the strip, turned round, for what nobody described.

    ``known`` are the edges of the facts. With ``pairwise``, each pair has an edge of its own.
    """
    return _Proven(work, tuple(known), pairwise).edges()


class _Proven:
    def __init__(self, work: Work, known: tuple[Edge, ...], pairwise: bool) -> None:
        self.work = work
        self.known = known
        self.pairwise = pairwise

    def edges(self) -> Iterator[Edge]:
        """An edge for each pair whose order is kept."""
        things = [
            ref
            for ref in dict.fromkeys(reversed(self.work.state.came_off))
            if self.work.done(ref) is not None
        ]
        unknown = {ref for ref in things if not self._is_described(ref)}
        pairs = self._pairs(things, unknown) if self.pairwise else _chain(things, unknown)
        for before, ref in pairs:
            done, begun = self.work.done(before), self.work.begin(ref)
            if done is not None and begun is not None:
                words = f"the {self.work.name(before)} came off after it; only that order is known"
                reason = Reason(Because.ONLY_KNOWN_ORDER, before, words)
                yield Edge(done, begun, reason, Strength.PROVEN)

    def _pairs(self, things: list[Ref], unknown: set[Ref]) -> Iterator[tuple[Ref, Ref]]:
        """Every pair of which one is unknown, but those that facts turn.

        Facts turn a pair if they put its second, or what came off before that, before its first.
        """
        after = after_of(edge for edge in self.known if edge.strength is Strength.FACT)
        bit = {self.work.done(ref): 1 << at for at, ref in enumerate(things)}
        begun = [self.work.begin(ref) for ref in things]
        reached = [
            sum(bit.get(each, 0) for each in reached_from([node] if node else [], after))
            for node in begun
        ]
        behind = 0
        for at in reversed(range(len(things))):
            behind |= reached[at]
            for before in range(at):
                known = unknown.isdisjoint((things[before], things[at]))
                if not known and not behind >> before & 1:
                    yield things[before], things[at]

    def _is_described(self, ref: Ref) -> bool:
        kind, identity = split_ref(ref)
        if kind == "joint":
            described = self.work.vehicle.joints.get(JointId(identity))
            return described is not None and bool(described.parts)
        return bool(self.work.vehicle.joints_of.get(PartId(identity)))


def _chain(things: list[Ref], unknown: set[Ref]) -> Iterator[tuple[Ref, Ref]]:
    """What is unknown, and all between it and the next: the other pairs follow from these."""
    last: list[Ref] = []
    since: list[Ref] = []
    for ref in things:
        if ref in unknown:
            yield from ((before, ref) for before in since or last)
            last, since = [ref], []
        else:
            yield from ((before, ref) for before in last)
            since.append(ref)
