"""The cheapest cut: the least minutes of joints to undo so that nothing ties two groups.

By the theorem of Ford and Fulkerson (*Maximal flow through a network*, 1956) the cheapest cut
costs what the greatest flow carries. A joint is a node that lets through what it costs: it is
laid out as two, with one edge between them; parts let through anything. The greatest flow is
found by Dinic's way: shortest ways first, as many at a time as do not get in each other's way.
"""

from collections.abc import Mapping

from putback.planning.tying.tied import GROUP, OTHER, Web
from putback.vehicle.ids import JointId, joint_ref


def cheapest_cut(web: Web, costs: Mapping[JointId, int]) -> frozenset[JointId]:
    """Give the joints to undo; of several cuts that cost the same, the nearest to the one group.

    ``costs`` has every joint of the web, in whole numbers above zero, so that the result is
    exact. No part of the one group is next to one of the other but by a joint.
    """
    net = _Net(web, costs)
    while net.measure():
        net.fill()
    return net.cut()


class _Net:
    """The web as a network: edges in pairs, each with what it lets through still, and back."""

    def __init__(self, web: Web, costs: Mapping[JointId, int]) -> None:
        self.joints = tuple(costs)
        endless = sum(costs.values()) + 1
        number = {node: at for at, node in enumerate(web)}
        self.source, self.sink = number[GROUP], number[OTHER]
        self.inner = [number[joint_ref(joint)] for joint in self.joints]
        self.outer = [len(number) + at for at in range(len(self.joints))]
        self.edges: list[list[int]] = [[] for _ in range(len(number) + len(self.joints))]
        self.ends: list[int] = []
        self.room: list[int] = []
        for joint, inner, outer in zip(self.joints, self.inner, self.outer, strict=True):
            self._lay(inner, outer, costs[joint])
            for part in web[joint_ref(joint)]:
                self._lay(number[part], inner, endless)
                self._lay(outer, number[part], endless)
        self.depth: list[int] = []
        self.next_edge: list[int] = []

    def _lay(self, start: int, end: int, room: int) -> None:
        for here, there, lets_through in ((start, end, room), (end, start, 0)):
            self.edges[here].append(len(self.ends))
            self.ends.append(there)
            self.room.append(lets_through)

    def measure(self) -> bool:
        """Measure how far each node is from the source; say whether the sink is reached."""
        self.depth = [-1] * len(self.edges)
        self.depth[self.source] = 0
        queue = [self.source]
        for here in queue:
            for edge in self.edges[here]:
                there = self.ends[edge]
                if self.room[edge] and self.depth[there] < 0:
                    self.depth[there] = self.depth[here] + 1
                    queue.append(there)
        return self.depth[self.sink] >= 0

    def fill(self) -> None:
        """Send as much as shortest ways carry, until each of them is full somewhere."""
        self.next_edge = [0] * len(self.edges)
        way: list[int] = []
        here = self.source
        while True:
            if here == self.sink:
                carried = min(self.room[edge] for edge in way)
                for edge in way:
                    self.room[edge] -= carried
                    self.room[edge ^ 1] += carried
                full = next(at for at, edge in enumerate(way) if not self.room[edge])
                here = self.ends[way[full] ^ 1]
                del way[full:]
            elif (onward := self._onward(here)) is not None:
                way.append(onward)
                here = self.ends[onward]
            elif not way:
                return
            else:
                here = self.ends[way.pop() ^ 1]
                self.next_edge[here] += 1

    def _onward(self, here: int) -> int | None:
        edges = self.edges[here]
        while self.next_edge[here] < len(edges):
            edge = edges[self.next_edge[here]]
            if self.room[edge] and self.depth[self.ends[edge]] == self.depth[here] + 1:
                return edge
            self.next_edge[here] += 1
        return None

    def cut(self) -> frozenset[JointId]:
        """Give the joints between what the last measure reached and what it did not."""
        return frozenset(
            joint
            for joint, inner, outer in zip(self.joints, self.inner, self.outer, strict=True)
            if self.depth[inner] >= 0 > self.depth[outer]
        )
