"""The order of the strip, turned round, for what only the logbook knows (rule 10 of the rebuild).

It is the one order proven to work. It is relaxed only where what is described proves that the
other way round is right.
"""

from collections.abc import Iterable, Iterator, Mapping

from putback.logbook.came_off import came_off
from putback.planning.plan import Because, Reason
from putback.planning.rebuild.edges import Edge, Either, Facts, Strength, after_of, reached_from
from putback.planning.rebuild.work import Node, Work
from putback.vehicle.ids import JointId, PartId, Ref, split_ref


def proven_order(
    work: Work, known: Iterable[Edge], eithers: Iterable[Either], *, pairwise: bool
) -> Iterator[Edge]:
    """Keep the order of the strip, turned round, for what nobody described.

    ``known`` and ``eithers`` are the facts. With ``pairwise``, each pair has an edge of its own.
    """
    return _Proven(work, tuple(known), tuple(eithers), pairwise).edges()


def way_to_take(facts: Facts, latest: Mapping[Node, float]) -> dict[Either, tuple[Edge, ...]]:
    """Of a choice all of whose ways the proven order bars, the way that was gone earliest.

    It is to hold as a fact: then the proven order gives way to it, as to any other. Nothing where
    no choice is barred so.
    """
    known = after_of(edge for edge in facts.edges if edge.strength is Strength.FACT)
    after = after_of(edge for edge in facts.edges if edge.strength <= Strength.PROVEN)
    for either in facts.eithers:
        open_ways = [way for way in either.ways if not _leads_back(either, way, known)]
        if open_ways and all(_leads_back(either, way, after) for way in open_ways):
            best = max(open_ways, key=lambda way: max(latest[edge.then] for edge in way))
            return {either: best}
    return {}


def _leads_back(either: Either, way: Iterable[Edge], after: Mapping[Node, Iterable[Node]]) -> bool:
    return either.of in reached_from([edge.then for edge in way], after)


class _Proven:
    def __init__(
        self, work: Work, known: tuple[Edge, ...], eithers: tuple[Either, ...], pairwise: bool
    ) -> None:
        self.work = work
        self.known = known
        self.eithers = eithers
        self.pairwise = pairwise

    def edges(self) -> Iterator[Edge]:
        """An edge for each pair whose order is kept."""
        things = [
            ref
            for ref in dict.fromkeys(reversed(came_off(self.work.state)))
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
        after = self._forced()
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

    def _forced(self) -> dict[Node, list[Node]]:
        """What facts put after each step, whichever of several ways holds; directly or further on.

        A way does not hold that leads back to the step it begins at.
        """
        after = after_of(edge for edge in self.known if edge.strength is Strength.FACT)
        growing = True
        while growing:
            growing = False
            for of, ways in self.eithers:
                led_to = [reached_from([edge.then for edge in way], after) for way in ways]
                hold = [each for each in led_to if of not in each] or led_to
                known = after.setdefault(of, [])
                new = set.intersection(*hold).difference(known) if hold else ()
                known += new
                growing |= bool(new)
        return after

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
