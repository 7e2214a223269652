"""One order of all steps by rules of thumb: list scheduling with a look ahead.

Within one standing, zone and tool go on as long as there is something to do; where nothing is
left, look what each other zone and standing would yield before one had to leave again, and go
where it pays. Equal choices fall to the order of the strip, turned round, so that the same state
gives the same plan.

What is put on is fastened before anything else is taken up, and nothing is hung on a part that
nothing holds yet.
"""

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from itertools import product
from typing import NamedTuple

from putback.planning.bits import numbers_in
from putback.planning.held.lifting import Lifting
from putback.planning.plan import Action
from putback.planning.rebuild.bearing import Bearing
from putback.planning.rebuild.fasten_first import FastenFirst
from putback.planning.rebuild.hands import Hands, Keep
from putback.planning.rebuild.hold_points import HoldPoints, Place
from putback.planning.rebuild.network import Network
from putback.planning.rebuild.pays import Pays, Yield
from putback.planning.rebuild.placed import Airy, Choice, Forgiving, Order, Over, Placed, Stuck
from putback.planning.rebuild.touch import Unit
from putback.planning.rebuild.work import Node
from putback.vehicle.ids import JointId, PartId, StandingId, ZoneId, joint_ref

Steps = set[int] | frozenset[int]
"""Steps by number."""


FAR_ENOUGH = 200
"""So many steps are looked ahead in a place; what comes after them tells places apart no more."""

_ALL = tuple(product(Forgiving, Airy))
_UP_TO_TIGHT = tuple(product((Forgiving.NOTHING, Forgiving.TIGHT), Airy))
"""What is forgiven, and what may be left in the air, one after another."""


class Thumb(NamedTuple):
    """Rules of thumb: where to go next, and what is kept in hand there."""

    pays: Pays
    keep: Keep


class Scheduling:
    """One scheduling, by rules of thumb."""

    def __init__(self, network: Network, thumb: Thumb, lifting: Lifting) -> None:
        self.net = network
        self.pays = thumb.pays
        self.first = FastenFirst(network, lifting)
        self.opening: Steps = frozenset()
        """What may be left in the air, or hang, for the sake of what waits for it."""
        self.waits = list(network.before_count)
        self.done = 0
        self.off = set(network.work.off)
        self.touching = {
            node for node, unit in network.units.items() if not self.off.issuperset(unit.touches)
        }
        """Units of which something that they touch is on."""
        self.begun: set[frozenset[PartId]] = set()
        """Groups of which something is on."""
        self.tools = list(network.tools)
        """The tool of each step; of a unit that is ready, those of which any would fasten it."""
        self.hands = Hands(thumb.keep, network.helped, self.tools, network.place)
        self.ready: dict[ZoneId | None, set[int]] = {}
        """Steps that wait for nothing before them, by zone."""
        self.all_ready: set[int] = set()
        self.loose: dict[int, set[int]] = {}
        """What has to be made before each joint is tightened."""
        self.held_by: dict[int, list[int]] = {}
        self.in_the_air: dict[PartId, frozenset[int]] = {}
        """Parts put on that nothing holds yet, and the steps of which any one would."""
        self.would_hold: dict[int, set[PartId]] = {}
        """The same turned round."""
        self.hanging: list[int] = []
        """The spans that are begun and not done."""
        self.let_down: set[tuple[int, StandingId | None]] = set()
        """What may be hung up in a standing: the more is done, the less it could hang for ever."""
        self.placed: list[Placed] = []
        self.over: list[Over] = []
        self.told: dict[Node, tuple[JointId, ...]] = {}
        self.forgiving = Forgiving.NOTHING
        self.airy = Airy.NOTHING
        self.trial_left = set(network.trial)
        self.trial_only = False
        self.hold_points = HoldPoints(network)
        self.left_for_later: Mapping[int, Steps] = {}
        """Hold points that may be left for later, with what waits for hold points alone then."""
        self.zone: ZoneId | None = None
        self.tool = ""
        self.helped = False
        self.left_in = dict(network.zone_size)
        self.changes = dict.fromkeys((*network.zone_size, None), 0)
        """How often something changed in each zone."""
        self.seen: dict[
            tuple[StandingId | None, ZoneId | None], tuple[tuple[int, int], Yield]
        ] = {}
        """What looking at a place gave, and the changes up to then."""
        self._bearing: Bearing | None = None
        """How surely it stood when that was last asked: some orders never ask."""
        self._borne = 0
        """How many steps were done then."""
        self.enter = network.stands.can_enter(self.off)
        self.standing = network.stands.start
        self.start = self.standing
        for node, count in enumerate(self.waits):
            if not count:
                self._add_ready(node)
        for part, seen in network.work.state.parts.items():
            if seen.on and part not in self.off:
                self._loosen(network.work.vehicle.joints_of.get(part, ()))

    def order(self, given: Sequence[tuple[int, StandingId | None]] = ()) -> Order:
        """Place one step after another: those given in their standings, then by the rule."""
        net = self.net
        stands = net.stands
        if stands.all and self.standing is None:
            self.start = self.standing = self._first_standing()
            self.first.aloft.stand(self.standing)
        for node, standing in given:
            self._place(Choice(node, standing, self._ways()[standing]))
        while len(self.placed) < len(net.nodes):
            self._place(self._next())
        setup = sum(each.setup_minutes for each in self.placed)
        return Order(tuple(self.placed), self.start, setup, self.told, tuple(self.over))

    # -- choosing -----------------------------------------------------------------------------

    def _first_standing(self) -> StandingId:
        """Begin where there is most to do."""
        free = [each for each in self.net.stands.all if each in self.enter]
        if not free:
            return next(iter(self.net.stands.all))
        zones, after = self.net.zone_size, self.net.after
        looks = {each: self._look_at(each, zones, after) for each in free}
        return max(free, key=lambda at: (self._holds(at), looks[at].steps))

    def _next(self) -> Choice:
        """Choose the next step: what holds a part first, then what is at hand, then the rest."""
        self.left_for_later = {}
        if choice := self._fasten():
            return choice
        for self.forgiving, self.airy in _ALL:
            self._open_the_way(self.all_ready)
            if self.in_the_air:
                holding = self.all_ready.intersection(self.would_hold)
                holding = holding - self._rather_not_hung(self.standing)
                if choice := self._here(self._may_now(holding, self.standing)):
                    return choice
            for late, trial_only, left_for_later in self._kinds_of_step():
                self.trial_only, self.left_for_later = trial_only, left_for_later
                choice = self._hanging(late) if self.hanging else self._anywhere(late)
                if choice is not None:
                    return self._leave(choice)
        left = [node for i, node in enumerate(self.net.nodes) if not self.done >> i & 1]
        ready = [self.net.nodes[node] for node in sorted(self.all_ready)]
        raise Stuck(left, ready)

    def _fasten(self, *, as_left: bool = False) -> Choice | None:
        """Fasten what is in hand before anything else, or do what leads there (19)."""
        if not self.first.is_anything_in_air(as_left=as_left):
            return None
        self.trial_only = False
        steps = self.first.fastening(self.all_ready, self.done, as_left=as_left)
        if choice := self._here(self._may_now(steps - self.loose.keys(), self.standing)):
            return choice
        wanted = self.first.wanted(self.done, self.loose.items(), as_left=as_left)
        if wanted:
            ready = self.all_ready.intersection(numbers_in(wanted))
            for self.forgiving, self.airy in _UP_TO_TIGHT:
                self._open_the_way(ready)
                if choice := self._here(self._open(ready, True, self.standing)):
                    return choice
        return None

    def _open_the_way(self, these: Steps) -> None:
        self.opening = frozenset()
        if self.airy is Airy.OPENING:
            airy = self.first.would_hang(self.done, self.standing).union(self.net.units)
            self.opening = self.first.opening(airy.intersection(these), self.done)

    def _rather_not_hung(self, standing: StandingId | None) -> Steps:
        if self.airy is Airy.ANYTHING or not self.first.would_hang(self.done, self.standing):
            return frozenset()
        return self.first.would_hang(self.done, standing) - self.opening

    def _leave(self, choice: Choice) -> Choice:
        """Go elsewhere once no check is left that would cost a way back, and all is fastened."""
        checks, self.left_for_later = self.left_for_later, {}
        if checks:
            then = Place(choice.standing, self.net.zone[choice.node] or self.zone)
            calls = self.hold_points.last_call(checks, self.zone, then, self.done)
            if check := self._here(self._open(calls, True, self.standing)):
                return check
        return choice if choice.standing == self.standing else self._stand_otherwise(choice)

    def _stand_otherwise(self, choice: Choice) -> Choice:
        """Stand otherwise, but only once all is fastened that can be (19)."""
        if fastened := self._fasten(as_left=True):
            return fastened
        steps = self.first.slack(self.all_ready) - self.loose.keys()
        return self._here(self._may_now(steps, self.standing)) or choice

    def _kinds_of_step(self) -> Iterator[tuple[bool, bool, Mapping[int, Steps]]]:
        """Whether what waits for parts may be, only the trial build, and what may be left."""
        left_for_later = self.hold_points.ready(self.all_ready, self.done)
        for late in (False, True) if self.net.late else (True,):
            if self.trial_left:
                yield late, True, {}
            yield late, False, left_for_later
            if left_for_later:
                yield late, False, {}

    def _open(self, these: Steps, late: bool, standing: StandingId | None) -> Steps:
        """Which of these steps a standing allows, before it is asked what a unit would touch."""
        if self.forgiving < Forgiving.TIGHT:
            these = these.difference(self.loose)
        these = these - self._rather_not_hung(standing) - self._not_yet(these, late, standing)
        if not late:
            these = these - self.net.late
        if self.trial_only:
            these = these & self.net.trial
        return self._may_now(these, standing)

    def _not_yet(self, these: Steps, late: bool, standing: StandingId | None) -> Steps:
        """The hold points of which nothing that waits for them could be done at once."""
        checks = self.left_for_later.keys() & these
        also = sum(1 << check for check in checks)
        return frozenset(
            check
            for check in checks
            if not any(
                self._goes_on(then, standing, also)
                for then in self._open(self.left_for_later[check], late, standing)
            )
        )

    def _may_now(self, nodes: Steps, standing: StandingId | None) -> Steps:
        """Of these steps, those that a standing allows, and that hang nothing up for ever."""
        may = self.net.may_in(standing)
        allowed = nodes if may is None else nodes & may
        for node in self.net.spans_of.keys() & allowed:
            if (node, standing) not in self.let_down:
                spans = self.net.spans_of[node]
                if all(
                    self.net.can_be_let_down(each, node, standing, self.done) for each in spans
                ):
                    self.let_down.add((node, standing))
                else:
                    allowed = allowed - {node}
        return allowed

    def _goes_on(self, node: int, standing: StandingId | None, also: int = 0) -> bool:
        """Whether a step puts nothing on, or what may go on then, but for what is forgiven.

        ``also`` is taken for done as well, as sets of bits.
        """
        unit = self.net.units.get(node)
        if unit is None:
            return True
        leaves_a_way = self.net.leaves_a_way(unit, self.off, self.done)
        may_shut = leaves_a_way or self.forgiving >= Forgiving.SHUT
        if not may_shut or not self._touches(node, unit):
            return False
        may_be_airy = self.airy >= Airy.PROPPED or node in self.opening
        return may_be_airy or self.first.will_be_fastened(node, standing, self.done | also)

    def _touches(self, node: int, unit: Unit) -> bool:
        if node in self.net.free or not unit.joints or self.forgiving is Forgiving.APART:
            return True
        airy = () if self.forgiving or self.airy else self.in_the_air
        if node in self.touching and (
            not airy or any(p not in self.off and p not in airy for p in unit.touches)
        ):
            return True
        if unit.group in self.begun or not self.off.issuperset(unit.group):
            self.begun.add(unit.group)
            return False
        return node == self._beginning(node, unit.group)

    def _beginning(self, unit: int, group: frozenset[PartId]) -> int:
        """Of a group of which nothing is on, the unit that carries the rest; it may be this."""
        ready = (node for these in self.ready.values() for node in these if node in self.net.units)
        return min(
            (unit, *(n for n in ready if self.net.units[n].group is group)), key=self.net.carries
        )

    # -- choosing where -----------------------------------------------------------------------

    def _hanging(self, late: bool) -> Choice | None:
        """While something hangs, do what lets it down first; the standing does not change."""
        wanted = 0
        for span in self.hanging:
            wanted |= span & ~self.done
        up_to = self.net.all_up_to(wanted)
        return self._here(self._open(self.all_ready & up_to, late, self.standing)) or self._here(
            self._open(self.all_ready, late, self.standing)
        )

    def _here(self, steps: Collection[int]) -> Choice | None:
        """Choose among steps that can be done as it stands, in this zone if there is any."""
        near = [node for node in steps if self.net.zone[node] in (None, self.zone)]
        node = self._by_hand(near, self.standing)
        if node is None and len(near) < len(steps):
            node = self._by_hand(steps, self.standing)
        return None if node is None else Choice(node, self.standing, 0.0)

    def _anywhere(self, late: bool) -> Choice | None:
        """Go on here, else go where it pays."""
        here = frozenset[int]().union(*(self.ready.get(zone, ()) for zone in (self.zone, None)))
        node = self._by_hand(self._open(here, late, self.standing), self.standing)
        if node is not None:
            return Choice(node, self.standing, 0.0)
        best: tuple[bool, float, float, float, str, str] | None = None
        found: tuple[Steps, StandingId | None, float] = frozenset[int](), self.standing, 0.0
        for standing, minutes in self._ways().items():
            shaky = standing != self.standing and not self._holds(standing)
            for zone, ready in self.ready.items():
                steps = self._open(ready, late, standing)
                first = self._first(steps, standing)
                if first is None:
                    continue
                moved = zone is not None and self.zone not in (None, zone)
                cost = minutes + self.net.settings.zone_minutes * moved
                what = self._look(standing, zone or self.zone)
                key = (shaky, self.pays(cost, what), cost, first, str(standing), str(zone))
                if best is None or key < best:
                    best, found = key, (steps, standing, minutes)
        steps, standing, minutes = found
        node = self._by_hand(steps, standing)
        return None if node is None else Choice(node, standing, minutes)

    def _first(self, steps: Iterable[int], standing: StandingId | None) -> float | None:
        """The rank of the first of these steps that can be done; none if none can."""
        rank = self.net.rank
        by_rank = sorted(steps, key=rank.__getitem__)
        return next((rank[node] for node in by_rank if self._goes_on(node, standing)), None)

    def _by_hand(self, steps: Collection[int], standing: StandingId | None) -> int | None:
        """Of what goes on keep what is in hand."""
        return self.hands.next(
            steps, self.tool, self.helped, lambda node: self._goes_on(node, standing)
        )

    def _holds(self, standing: StandingId | None) -> bool:
        """Whether it would stand with margin, and no support overloaded."""
        if self._bearing is None:
            self._bearing = Bearing(self.net.work, self.net.settings.least_margin_m)
        for each in self.placed[self._borne :]:
            self._bearing.do(each.node)
        self._borne = len(self.placed)
        return self._bearing.holds(standing)

    def _ways(self) -> Mapping[StandingId | None, float]:
        if self.standing is None:
            return {None: 0.0}
        ways = self.net.stands.ways(self.standing, self.enter)
        return {standing: ways[standing] for standing in self.net.stands.all if standing in ways}

    def _look(self, standing: StandingId | None, zone: ZoneId | None) -> Yield:
        """What could be done there before one had to leave again."""
        known = self.seen.get((standing, zone))
        now = self.changes[zone], self.changes[None]
        if known is None or known[0] != now:
            zones = dict.fromkeys((zone, None))
            found = self._look_at(standing, zones, self.net.after_near)
            known = self.seen[standing, zone] = now, found
        return known[1]

    def _look_at(
        self,
        standing: StandingId | None,
        zones: Collection[ZoneId | None],
        after: Sequence[Iterable[int]],
    ) -> Yield:
        net = self.net
        may = net.may_in(standing)
        count, minutes = 0, 0.0
        left: dict[int, int] = {}
        todo = [node for zone in zones for node in self.ready.get(zone, ())]
        while todo:
            node = todo.pop()
            if may is not None and node not in may:
                continue
            count += 1
            minutes += net.minutes[node]
            for then in after[node]:
                if net.zone[then] in zones:
                    left[then] = left.get(then, self.waits[then]) - 1
                    if not left[then]:
                        todo.append(then)
            if count >= FAR_ENOUGH:
                break
        size = sum(self.left_in.get(zone, 0) for zone in zones)
        return Yield(minutes, count, count / size if size else 1.0)

    # -- doing --------------------------------------------------------------------------------

    def _place(self, choice: Choice) -> None:
        net = self.net
        node, standing, minutes = choice
        zone, tool = net.zone[node], net.tool[node]
        setup = minutes if standing != self.standing else 0.0
        if zone is not None:
            setup += net.settings.zone_minutes * (self.zone not in (None, zone))
            self.zone = zone
        if tool:
            setup += net.settings.tool_minutes * (self.tool not in ("", tool))
            self.tool = tool
        setup += net.settings.helper_minutes * (net.helped[node] and not self.helped)
        self.helped = net.helped[node]
        if standing != self.standing:
            air = self.first.aloft.in_air
            self.first.aloft.stand(standing)
            self.over.append(Over(len(self.placed), air | self.first.aloft.in_air))
        self.standing = standing
        self.placed.append(Placed(net.nodes[node], standing, setup))
        self.done |= 1 << node
        if node in net.spans_of:
            self.hanging = [span for span in net.spans if 0 < span & self.done < span]
        self.first.aloft.do(node, net.nodes[node])
        self.trial_left.discard(node)
        self.ready[self.hold_points.zone_of(node)].discard(node)
        self.all_ready.discard(node)
        self.left_in[zone] -= 1
        self.changes[zone] += 1
        for tightened in self.held_by.pop(node, ()):
            first = self.loose.get(tightened, set())
            first.discard(node)
            if not first:
                self.loose.pop(tightened, None)
        for part in self.would_hold.pop(node, ()):
            for other in self.in_the_air.pop(part) - {node}:
                self.would_hold[other].discard(part)
                if not self.would_hold[other]:
                    del self.would_hold[other]
        if node in net.units:
            self._put_on(net.units[node])
        for then in net.after[node]:
            left = self.waits[then] = self.waits[then] - 1
            if left < FAR_ENOUGH:  # what waits for more is not reached by looking ahead
                self.changes[net.zone[then]] += 1
            if not left:
                self._add_ready(then)

    def _add_ready(self, node: int) -> None:
        self.ready.setdefault(self.hold_points.zone_of(node), set()).add(node)
        self.all_ready.add(node)
        if node in self.net.units:
            self.tools[node] = self.net.tools_of(self.net.units[node], self.off)

    def _put_on(self, unit: Unit) -> None:
        net = self.net
        self.off.difference_update(unit.parts)
        for node in (node for part in unit.parts for node in net.touching.get(part, ())):
            self.touching.add(node)
            if node in self.all_ready:
                self.tools[node] = net.tools_of(net.units[node], self.off)
        self.enter = net.stands.can_enter(self.off)
        holding = frozenset(self._loosen(unit.joints))
        if holding:
            self.in_the_air |= dict.fromkeys(unit.parts, holding)
            for node in holding:
                self.would_hold.setdefault(node, set()).update(unit.parts)

    def _loosen(self, joints: Iterable[JointId]) -> Iterable[int]:
        """Give the joints that hold a part now: all are made before one is tightened (6)."""
        net = self.net
        made = {
            joint: net.index[node]
            for joint in joints
            if (node := Node(Action.MAKE, joint_ref(joint))) in net.index
            and self.off.isdisjoint(net.work.joints[joint].parts)
            and not self.done >> net.index[node] & 1
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
        return made.values()
