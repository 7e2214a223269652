"""The problem: what can be done, what must be done before it, and what the goal asks for.

Precedence here is an AND/OR graph. A `Node` is one thing that can be done in one way (undo a
joint, take a part off alone, take a whole out, do a job); each of its clauses asks for at least
one of several nodes before it. Which of two ways is taken (whole or piecewise, this cover or that
one) is therefore open, and left to `putback.planning.search.choose`.

Everything is a fact of vehicle, state and goal under ``docs/planning-rules.md``, so a problem is
immutable, and every clause carries its cause in words. `putback.planning.posing.pose` poses it.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from functools import cached_property

from putback.planning.plan import Action, Because
from putback.planning.posing.fact import Fact
from putback.planning.weight.poise import Poise
from putback.vehicle.ids import FluidId, PartId, Ref, StandingId, ZoneId
from putback.vehicle.vehicle import Vehicle

CRACK_SHARE = 0.2
"""Of a joint's minutes, what cracking it first takes [-]."""


class Kind(StrEnum):
    """What a node is."""

    UNDO = "undo"
    BENCH = "undo on the bench"
    PART = "take a part off"
    WHOLE = "take a whole out"
    JOB = "do a job"
    STANDING = "stand so"  # no step: what must be off before the vehicle can stand so
    PARTED = "parted on the bench"  # no step: nothing inside the whole holds the part any more

    @property
    def is_step(self) -> bool:
        """Whether it is work, and becomes a step of the plan."""
        return self not in (Kind.STANDING, Kind.PARTED)


ACTIONS = {
    Kind.UNDO: Action.UNDO,
    Kind.BENCH: Action.UNDO,
    Kind.PART: Action.TAKE_OFF,
    Kind.WHOLE: Action.TAKE_OFF,
    Kind.JOB: Action.DO,
}


@dataclass(frozen=True, slots=True)
class Cause:
    """The fact behind a clause, in words; ``fact`` is its identity where it has one.

    ``source`` is the same fact wherever it counts, ``None`` for what the rules themselves say.
    """

    because: Because
    words: str
    fact: str = ""
    source: Fact | None = None


@dataclass(frozen=True, slots=True)
class Clause:
    """At least one node of ``any_of`` is done before; of none at all, it is impossible."""

    any_of: tuple[int, ...]
    cause: Cause


def as_one(whole: int) -> Clause:
    """Ask for a whole to be taken out as one."""
    return Clause((whole,), Cause(Because.GOAL, "as one"))


@dataclass(frozen=True, slots=True)
class Node:
    """One thing to do in one way; times in [minutes].

    ``minutes`` is likely, with the factors of what the state has made harder already; ``least``
    is what it can come down to. ``standings`` are those it may be done in, ``None`` for any.
    ``parts`` are those it takes off; for `Kind.BENCH` and `Kind.PARTED` those of the whole.
    """

    kind: Kind
    what: Ref
    clears: tuple[Ref, ...] = ()
    clauses: tuple[Clause, ...] = ()
    minutes: float = 0.0
    least: float = 0.0
    standings: frozenset[StandingId] | None = None
    zone: ZoneId | None = None
    tool: str = ""
    crew: int = 1
    crack_in: StandingId | None = None
    """Crack it in this standing, or undo it there."""
    parts: frozenset[PartId] = frozenset()
    unit: Ref | None = None
    """As what those parts come off: the part alone, or the assembly."""

    def allows(self, standing: StandingId | None) -> bool:
        """Whether it may be done in this standing."""
        return self.standings is None or standing in self.standings

    def excludes(self, other: "Node") -> bool:
        """Whether no plan can do both: one part would come off in two ways."""
        return self.unit != other.unit and not self.parts.isdisjoint(other.parts)


@dataclass(frozen=True, slots=True)
class Order:
    """If both nodes are done, ``first`` comes before ``then``; neither asks for the other."""

    first: int
    then: int
    cause: Cause


@dataclass(frozen=True, slots=True)
class Harder:
    """Each of ``jobs`` takes ``factor`` times as long once any of ``after`` is done."""

    jobs: tuple[int, ...]
    after: tuple[int, ...]
    factor: float
    cause: Cause


@dataclass(frozen=True, slots=True)
class Span:
    """From one thing to another, either by several nodes, the standing does not change."""

    first: tuple[int, ...]
    last: tuple[int, ...]
    words: str
    source: Fact


@dataclass(frozen=True)
class Problem:
    """All that can be done from here, and the facts that order it.

    ``start`` is the standing now, ``None`` if nobody said or the vehicle has none. ``usable``
    are the standings that may be entered, or worked in where they are the start.
    """

    vehicle: Vehicle
    nodes: tuple[Node, ...]
    providers: Mapping[Ref, tuple[int, ...]]
    """The nodes that clear a thing; none for what is cleared already."""
    orders: tuple[Order, ...] = ()
    harder: tuple[Harder, ...] = ()
    spans: tuple[Span, ...] = ()
    start: StandingId | None = None
    usable: tuple[StandingId, ...] = ()
    parts_off: frozenset[PartId] = frozenset()
    cracking: Mapping[Ref, tuple[int, ...]] = field(default_factory=dict)
    """The declared jobs that crack a joint where they are done in the standing it asks for."""
    kept: frozenset[PartId] = frozenset()
    """Parts that the goal keeps on."""
    put_off: frozenset[Ref] = frozenset()
    """What is to be done as late as it can be."""
    fluids: frozenset[FluidId] = frozenset()
    """The fluids that are in at the start."""
    poise: Poise | None = None
    """What is on at the start, as a weight; ``None`` where nobody asks how it stands."""

    @cached_property
    def orders_onto(self) -> Mapping[int, tuple[Order, ...]]:
        """What comes before each node if it is done at all."""
        found: dict[int, list[Order]] = {}
        for order in self.orders:
            found.setdefault(order.then, []).append(order)
        return {node: tuple(orders) for node, orders in found.items()}

    @cached_property
    def never_both(self) -> tuple[tuple[int, int], ...]:
        """Pairs that no plan does both: the standing would have to change between, and may not."""
        both_ways = {(span.last, span.first) for span in self.spans}
        return tuple(
            (first, last)
            for span in self.spans
            for first in span.first
            for last in span.last
            if not self._in_one_standing(first, last)
            and ((span.first, span.last) in both_ways or self._asks_for(last, span.first))
        )

    def _in_one_standing(self, one: int, other: int) -> bool:
        here, there = self.nodes[one].standings, self.nodes[other].standings
        return here is None or there is None or not here.isdisjoint(there)

    def _asks_for(self, index: int, some: tuple[int, ...]) -> bool:
        """Whether one of some nodes always comes before a node."""
        clauses = [clause.any_of for clause in self.nodes[index].clauses]
        clauses += [(order.first,) for order in self.orders_onto.get(index, ())]
        return any(some and set(any_of) <= set(some) for any_of in clauses)

    def name(self, ref: Ref) -> str:
        """Say what a reference stands for."""
        return self.vehicle.name_of(ref)
