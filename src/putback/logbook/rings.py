"""Strongly connected components, for references that may run in a ring.

Tarjan's algorithm (SIAM J. Computing 1, 1972), without recursion: a chain may be as long as the
logbook.
"""

from collections.abc import Callable, Iterable, Iterator
from typing import TypeVar

Node = TypeVar("Node", bound=str)


def components(
    starts: Iterable[Node], edges: Callable[[Node], Iterable[Node]]
) -> Iterator[tuple[Node, ...]]:
    """Give each component reachable from ``starts``, after all components that it points to."""
    index: dict[Node, int] = {}
    low: dict[Node, int] = {}
    stack: list[Node] = []
    on_stack: set[Node] = set()
    for start in starts:
        if start in index:
            continue
        calls: list[tuple[Node, Iterator[Node]]] = []
        entering: Node | None = start
        while entering is not None or calls:
            if entering is not None:
                index[entering] = low[entering] = len(index)
                stack.append(entering)
                on_stack.add(entering)
                calls.append((entering, iter(edges(entering))))
                entering = None
            node, ahead = calls[-1]
            for other in ahead:
                if other not in index:
                    entering = other
                    break
                if other in on_stack:
                    low[node] = min(low[node], index[other])
            if entering is not None:
                continue
            calls.pop()
            if calls:
                parent = calls[-1][0]
                low[parent] = min(low[parent], low[node])
            if low[node] == index[node]:
                position = stack.index(node)
                members = tuple(stack[position:])
                del stack[position:]
                on_stack.difference_update(members)
                yield members
