"""One order of all steps, with little walking about: list scheduling with a look ahead.

Within one standing, zone and tool go on as long as there is something to do; where nothing is left,
look what each other zone and standing would yield before one had to leave again, and go
where it pays. Several rules of thumb for what pays are tried, and the cheapest order wins. Equal
choices fall to the order of the strip, turned round, so that the same state gives the same plan.
"""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from putback.planning.plan import Action
from putback.planning.rebuild.network import Network, Unit, bits
from putback.planning.rebuild.work import Node
from putback.progress import Progress
from putback.vehicle.ids import JointId, PartId, StandingId, ZoneId, joint_ref
from putback.vehicle.part import PartKind


class Placed(NamedTuple):
    """A step in its place; what getting there costs [minutes]."""

    node: Node
    standing: StandingId | None
    setup_minutes: float


@dataclass(frozen=True)
class Order:
    """Steps in an order, and where the vehicle stands at its beginning."""

    placed: tuple[Placed, ...]
    start: StandingId | None
    setup_minutes: float
    loose: Mapping[Node, tuple[JointId, ...]]
    """What was made loose before a joint was tightened."""


class Stuck(Exception):
    """Nothing of what is left can be done; ``ready`` waits for nothing but its standing."""

    def __init__(
        self, left: Sequence[Node], ready: Sequence[Node], off: frozenset[PartId]
    ) -> None:
        super().__init__(left, ready, off)
        self.left = left
        self.ready = ready
        self.off = off


class Yield(NamedTuple):
    """What a place gives before it must be left: work [minutes], steps, share of all it has."""

    minutes: float
    steps: int
    share: float


_PAYS: tuple[Callable[[float, Yield], float], ...] = (
    lambda cost, what: (1 - what.share) * 100 + cost,
    lambda cost, what: -what.steps / (cost + 1),
    lambda cost, what: -what.minutes / (cost + 1),
    lambda cost, what: cost - what.steps,
)
"""Rules of thumb for where to go next, the lower the better."""


def find_order(network: Network, progress: Progress) -> Order:
    """Find the cheapest order that the rules of thumb give.

    Raises
    ------
    Stuck
        If no standing that can be entered allows what is left.
    """
    best: Order | None = None
    for number, pays in enumerate(_PAYS):
        progress.step(number, len(_PAYS), "putting the steps in order")
        found = _Run(network, pays).order()
        if best is None or found.setup_minutes < best.setup_minutes:
            best = found
    assert best is not None
    return best


class _Run:
    """One scheduling, by one rule of thumb."""

    def __init__(self, network: Network, pays: Callable[[float, Yield], float]) -> None:
        self.net = network
        self.pays = pays
        self.waits = list(network.before_count)
        self.done = 0
        self.off = set(network.work.off)
        self.ready: dict[ZoneId | None, set[int]] = {}
        self.loose: dict[int, set[int]] = {}
        """What has to be made before each joint is tightened."""
        self.held_by: dict[int, list[int]] = {}
        self.placed: list[Placed] = []
        self.told: dict[Node, tuple[JointId, ...]] = {}
        self.zone: ZoneId | None = None
        self.tool = ""
        self.left_in = dict(network.zone_size)
        self.enter = network.stands.can_enter(self.off)
        self.standing = network.stands.start
        self.start = self.standing
        for node, count in enumerate(self.waits):
            if not count:
                self._is_ready(node)
        for part, seen in network.work.state.parts.items():
            if seen.on and part not in self.off:
                self._loosen(network.work.vehicle.joints_of.get(part, ()))

    def order(self) -> Order:
        """Place one step after another."""
        net = self.net
        stands = net.stands
        if stands.all and self.standing is None:
            self.start = self.standing = self._first_standing()
        while len(self.placed) < len(net.nodes):
            step = self._next()
            self._place(*step)
        setup = sum(each.setup_minutes for each in self.placed)
        return Order(tuple(self.placed), self.start, setup, self.told)

    # -- choosing -----------------------------------------------------------------------------

    def _first_standing(self) -> StandingId:
        """Begin where there is most to do."""
        free = [each for each in self.net.stands.all if each in self.enter]
        if not free:
            return next(iter(self.net.stands.all))
        return max(free, key=lambda each: self._look(each, self.net.zone_size.keys()).steps)

    def _next(self) -> tuple[int, StandingId | None, float]:
        for forgiving in (False, True):
            able = self._able(forgiving)
            if not able:
                continue
            on_time = {node for node in able if not self.net.late[node]} or able
            spans = [span for span in self.net.spans if span & self.done and span & ~self.done]
            if spans:
                choice = self._choose_hanging(on_time, able, spans)
            else:
                choice = self._choose(on_time) or self._choose(able)
            if choice is not None:
                return choice
        left = [n for i, n in enumerate(self.net.nodes) if not self.done >> i & 1]
        ready = [self.net.nodes[n] for n in sorted(self._able(True))]
        raise Stuck(left, ready, frozenset(self.off))

    def _able(self, forgiving: bool) -> set[int]:
        """Steps that wait for nothing but their standing.

        ``forgiving`` lets a joint be tightened though another of its part cannot be made yet, a
        part go on before anything that it touches, or shut a standing: where nothing else is left.
        """
        able = set()
        for these in self.ready.values():
            for node in these:
                if forgiving or (
                    not self.loose.get(node) and self._touches(node) and self._leaves_a_way(node)
                ):
                    able.add(node)
        return self._one_beginning(able)

    def _leaves_a_way(self, node: int) -> bool:
        """Nothing goes on that would shut the only standings something else is done in."""
        unit = self.net.units.get(node)
        if unit is None or self.net.stands.shut_by.isdisjoint(unit.parts):
            return True
        shut = self.net.stands.shut(self.off.difference(unit.parts))
        return not any(
            steps & ~self.done for allowed, steps in self.net.only_in.items() if allowed <= shut
        )

    def _touches(self, node: int) -> bool:
        unit = self.net.units.get(node)
        if unit is None or unit.is_free or not unit.joints:
            return True
        return not self.off.issuperset(unit.touches) or self.off.issuperset(unit.group)

    def _one_beginning(self, able: set[int]) -> set[int]:
        """Of a group of which nothing is on, begin with the one part that carries it."""
        begins: dict[frozenset[PartId], list[int]] = {}
        for node in able:
            unit = self.net.units.get(node)
            if unit and unit.joints and self.off.issuperset(unit.group):
                begins.setdefault(unit.group, []).append(node)
        for these in begins.values():
            able -= {*these} - {min(these, key=self._carries)}
        return able

    def _carries(self, node: int) -> tuple[bool, float, float]:
        parts = [self.net.work.parts[part] for part in self.net.units[node].parts]
        structure = any(part.kind is PartKind.STRUCTURE for part in parts)
        return not structure, -sum(part.mass_kg or 0 for part in parts), self.net.rank[node]

    def _choose_hanging(
        self, on_time: set[int], able: set[int], spans: list[int]
    ) -> tuple[int, StandingId | None, float] | None:
        """While something hangs, do what lets it down first; the standing does not change."""
        wanted = 0
        for span in spans:
            for node in bits(span & ~self.done):
                wanted |= self.net.led_to_by[node] | 1 << node
        urgent = {node for node in able if wanted >> node & 1}
        for these in (urgent, on_time, able):
            choice = self._choose_here(these)
            if choice is not None:
                return choice
        return None

    def _choose(self, able: set[int]) -> tuple[int, StandingId | None, float] | None:
        here = self._choose_here({n for n in able if self.net.zone[n] in (None, self.zone)})
        if here is not None:
            return here
        ways = self._ways()
        best: tuple[float, float, float, str, str] | None = None
        found: tuple[StandingId | None, ZoneId | None, float] | None = None
        for standing, minutes in ways.items():
            able_so = [node for node in able if self._may(node, standing)]
            for zone in {self.net.zone[node] for node in able_so}:
                moved = zone not in (None, self.zone) and self.zone is not None
                cost = minutes + self.net.settings.zone_minutes * moved
                rank = min(self.net.rank[node] for node in able_so if self.net.zone[node] == zone)
                what = self._look(standing, (zone or self.zone, None))
                key = (self.pays(cost, what), cost, rank, str(standing), str(zone))
                if best is None or key < best:
                    best, found = key, (standing, zone, minutes)
        if found is None:
            return None
        standing, zone, minutes = found
        fit = {n for n in able if self.net.zone[n] == zone and self._may(n, standing)}
        return self._by_tool(fit), standing, minutes

    def _choose_here(self, able: set[int]) -> tuple[int, StandingId | None, float] | None:
        """Go on in this standing, in this zone if there is anything to do."""
        fit = {node for node in able if self._may(node, self.standing)}
        fit = {node for node in fit if self.net.zone[node] in (None, self.zone)} or fit
        return (self._by_tool(fit), self.standing, 0.0) if fit else None

    def _by_tool(self, fit: set[int]) -> int:
        """Keep the tool in the hand, else take the one with most to do."""
        tools: dict[str, int] = {}
        for node in fit:
            tools[self.net.tool[node]] = tools.get(self.net.tool[node], 0) + 1

        def key(node: int) -> tuple[bool, int, float, int]:
            tool = self.net.tool[node]
            change = tool not in ("", self.tool)
            return change, -tools[tool] if change else 0, self.net.rank[node], node

        return min(fit, key=key)

    def _ways(self) -> Mapping[StandingId | None, float]:
        if self.standing is None:
            return {None: 0.0}
        ways = self.net.stands.ways(self.standing, self.enter)
        return {standing: ways[standing] for standing in self.net.stands.all if standing in ways}

    def _may(self, node: int, standing: StandingId | None) -> bool:
        allowed = self.net.allowed[node]
        if allowed is not None and standing not in allowed:
            return False
        return all(self._will_be_let_down(span, node, standing) for span in self.net.spans)

    def _will_be_let_down(self, span: int, node: int, standing: StandingId | None) -> bool:
        """Nothing is hung up that cannot be let down again as the vehicle stands."""
        if not span >> node & 1 or span & self.done:
            return True
        needed = 0
        for other in bits(span & ~(1 << node)):
            needed |= self.net.led_to_by[other] | 1 << other
        for other in bits(needed & ~self.done):
            allowed = self.net.allowed[other]
            if allowed is not None and standing not in allowed:
                return False
        return True

    def _look(self, standing: StandingId | None, zones: Iterable[ZoneId | None]) -> Yield:
        """What could be done there before one had to leave again."""
        net = self.net
        zones = frozenset(zones)
        count, minutes = 0, 0.0
        fewer: dict[int, int] = {}
        todo = [node for zone in zones for node in self.ready.get(zone, ())]
        while todo:
            node = todo.pop()
            allowed = net.allowed[node]
            if allowed is not None and standing not in allowed:
                continue
            count += 1
            minutes += net.minutes[node]
            for then in net.after[node]:
                fewer[then] = fewer.get(then, 0) + 1
                if self.waits[then] == fewer[then] and net.zone[then] in zones:
                    todo.append(then)
        size = sum(self.left_in.get(zone, 0) for zone in zones)
        return Yield(minutes, count, count / size if size else 1.0)

    # -- doing --------------------------------------------------------------------------------

    def _place(self, node: int, standing: StandingId | None, minutes: float) -> None:
        net = self.net
        zone, tool = net.zone[node], net.tool[node]
        setup = minutes if standing != self.standing else 0.0
        if zone is not None:
            setup += net.settings.zone_minutes * (self.zone not in (None, zone))
            self.zone = zone
        if tool:
            setup += net.settings.tool_minutes * (self.tool not in ("", tool))
            self.tool = tool
        self.standing = standing
        self.placed.append(Placed(net.nodes[node], standing, setup))
        self.done |= 1 << node
        self.ready[zone].discard(node)
        self.left_in[zone] -= 1
        for tightened in self.held_by.pop(node, ()):
            self.loose[tightened].discard(node)
        if node in net.units:
            self._put_on(net.units[node])
        for then in net.after[node]:
            self.waits[then] -= 1
            if not self.waits[then]:
                self._is_ready(then)

    def _is_ready(self, node: int) -> None:
        self.ready.setdefault(self.net.zone[node], set()).add(node)

    def _put_on(self, unit: Unit) -> None:
        self.off.difference_update(unit.parts)
        self.enter = self.net.stands.can_enter(self.off)
        self._loosen(unit.joints)

    def _loosen(self, joints: Iterable[JointId]) -> None:
        """Of the joints that hold a part now, all are made before one is tightened (6)."""
        net = self.net
        made = {
            joint: net.index[node]
            for joint in joints
            if (node := Node(Action.MAKE, joint_ref(joint))) in net.index
            and self.off.isdisjoint(net.work.joints[joint].parts)
            and net.work.whole_of(joint) is None
        }
        for joint in made:
            last = net.index[Node(Action.TIGHTEN, joint_ref(joint))]
            first = {
                making
                for other, making in made.items()
                if other != joint and not net.leads_to[last] >> making & 1
            }
            if first:
                self.loose.setdefault(last, set()).update(first)
                self.told[net.nodes[last]] = tuple(made)
                for other in first:
                    self.held_by.setdefault(other, []).append(last)
