"""What puts one step before another: an `Edge`, or one of several (`Either`)."""

from collections.abc import Iterable, Mapping
from enum import IntEnum
from typing import NamedTuple

from putback.planning.plan import Reason
from putback.planning.rebuild.work import Node


class Strength(IntEnum):
    """How firmly an edge stands: the higher, the sooner it gives way."""

    FACT = 0  # never
    BENCH = 1  # made on the bench, unless facts want the whole on first
    PROVEN = 2  # the order of the strip, turned round
    LOOSE = 3  # both ends of a pipe started before one is tightened
    CUSTOM = 4  # what is usual where nobody said anything


class Edge(NamedTuple):
    """``first`` before ``then``; without a reason where it goes without saying."""

    first: Node
    then: Node
    reason: Reason | None = None
    strength: Strength = Strength.FACT


class Either(NamedTuple):
    """At least one of the ways holds, each of them one edge or several that begin at ``of``."""

    of: Node
    ways: tuple[tuple[Edge, ...], ...]


class Facts(NamedTuple):
    """All that orders the steps."""

    edges: tuple[Edge, ...]
    eithers: tuple[Either, ...]


def after_of(edges: Iterable[Edge]) -> dict[Node, list[Node]]:
    """What comes directly after each step."""
    after: dict[Node, list[Node]] = {}
    for edge in edges:
        after.setdefault(edge.first, []).append(edge.then)
    return after


def reached_from(start: Iterable[Node], after: Mapping[Node, Iterable[Node]]) -> set[Node]:
    """These steps and all that comes after them, however far."""
    todo = list(start)
    found = set(todo)
    while todo:
        for then in after.get(todo.pop(), ()):
            if then not in found:
                found.add(then)
                todo.append(then)
    return found
