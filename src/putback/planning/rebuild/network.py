"""The steps of a rebuild by number: all that the scheduling asks of them again and again."""

from collections.abc import Iterable, Mapping, Sequence, Set

from putback.logbook.came_off import came_off
from putback.planning.bits import numbers_in
from putback.planning.plan import Action, Because, PlanSettings
from putback.planning.rebuild.edges import Edge
from putback.planning.rebuild.fastening import Fastenings
from putback.planning.rebuild.price import crew_of, minutes_of, place_of
from putback.planning.rebuild.stands import Stands
from putback.planning.rebuild.touch import Unit
from putback.planning.rebuild.work import Node, Work
from putback.vehicle.ids import JointId, PartId, Ref, StandingId, ZoneId, split_ref
from putback.vehicle.part import PartKind


def ranks(work: Work) -> dict[Node, float]:
    """Where each step stood in the strip, turned round; what the strip does not know, last."""
    place = {ref: index for index, ref in enumerate(reversed(came_off(work.state)))}
    last = float(len(place))
    found: dict[Node, float] = {}
    for node in work.nodes:
        match node.action:
            case Action.PUT_ON:
                parts = work.unit_parts(node.what)
                found[node] = min(place.get(Ref(f"part:{part}"), last) for part in parts)
            case Action.MAKE | Action.TIGHTEN:
                joint = work.joints[JointId(split_ref(node.what)[1])]
                known = [place.get(Ref(f"part:{part}"), 0.0) for part in joint.parts]
                at = place.get(node.what, max(known, default=last) + 0.1)
                found[node] = at + (0.3 if node.action is Action.TIGHTEN else 0.0)
            case _:
                found[node] = last + 1
    return found


class Network:
    """All steps by number, and what the scheduling asks of them again and again."""

    def __init__(
        self,
        work: Work,
        stands: Stands,
        units: Mapping[Node, Unit],
        edges: Iterable[Edge],
        settings: PlanSettings,
        late: frozenset[Node],
        trial: frozenset[Node],
        hold_points: Mapping[Node, frozenset[Node]],
    ) -> None:
        self.work = work
        self.stands = stands
        self.fastenings = Fastenings(work, stands)
        self.settings = settings
        self.nodes = work.nodes
        self.index = {node: number for number, node in enumerate(self.nodes)}
        count = len(self.nodes)
        pairs, firm = set[int](), set[int]()
        for edge in edges:
            pair = self.index[edge.first] * count + self.index[edge.then]
            pairs.add(pair)
            if edge.reason is None or edge.reason.because is not Because.STANDING:
                firm.add(pair)
        self.after: list[list[int]] = [[] for _ in range(count)]
        self.before: list[list[int]] = [[] for _ in range(count)]
        for first, then in (divmod(pair, count) for pair in sorted(pairs)):
            self.after[first].append(then)
            self.before[then].append(first)
        self.before_count = list(map(len, self.before))
        self.minutes = [minutes_of(work, node) for node in self.nodes]
        places = [place_of(work, node) for node in self.nodes]
        self.zone = [zone for zone, _ in places]
        self.tool = [tool for _, tool in places]
        self.helped = [crew_of(work, node) > 1 for node in self.nodes]
        """Whether a step wants more than one person."""
        self.after_near = [
            [then for then in thens if None in (here, self.zone[then]) or here == self.zone[then]]
            for here, thens in zip(self.zone, self.after, strict=True)
        ]
        """What comes directly after each step, but in another zone."""
        self.tools = [frozenset({tool} if tool else ()) for tool in self.tool]
        self.allowed = [stands.allowed(node) for node in self.nodes]
        self._close()
        self.hold_points = hold_points
        """Checks that something waits for, and what."""
        self.rank = self._ranks()
        by_rank = sorted(range(count), key=self.rank.__getitem__)
        self.place = dict(zip(by_rank, range(count), strict=True))
        """Where each step stands among all, by rank."""
        self.late = frozenset(self.index[node] for node in late)
        """What waits for something that is not here yet."""
        self.trial = {self.index[node] for node in trial}
        """The steps of the trial build."""
        self.only_in: dict[frozenset[StandingId], int] = {}
        """The steps that each set of standings allows, as sets of bits."""
        for node, allowed in enumerate(self.allowed):
            if allowed is not None:
                self.only_in[allowed] = self.only_in.get(allowed, 0) | 1 << node
        self._may_in: dict[StandingId | None, frozenset[int] | None] = {}
        self._barred: dict[StandingId | None, int] = {}
        self.units = {self.index[node]: unit for node, unit in units.items()}
        self.touching: dict[PartId, list[int]] = {}
        """The units that touch each part."""
        for number, unit in self.units.items():
            for part in unit.touches:
                self.touching.setdefault(part, []).append(number)
        self._up_to: dict[int, int] = {}
        self._all_up_to: dict[int, frozenset[int]] = {}
        firmly = self.leads_to
        if firm != pairs:  # to stand on a part is no reason to put it on where it touches nothing
            leads = [[then for then in thens if first * count + then in firm]
                     for first, thens in enumerate(self.after)]  # fmt: skip
            firmly = self._led_to(leads)
        self.free = {n for n, unit in self.units.items() if self._is_free(firmly[n], unit)}
        self.spans = tuple(self._spans())
        self.spans_of: dict[int, list[int]] = {}
        for span in self.spans:
            for node in numbers_in(span):
                self.spans_of.setdefault(node, []).append(span)
        self.zone_size: dict[ZoneId | None, int] = {}
        for zone in self.zone:
            self.zone_size[zone] = self.zone_size.get(zone, 0) + 1

    def _close(self) -> None:
        """Work out what comes after each step, however far, as sets of bits."""
        waiting = list(self.before_count)
        order = [node for node, count in enumerate(waiting) if not count]
        for node in order:
            for then in self.after[node]:
                waiting[then] -= 1
                if not waiting[then]:
                    order.append(then)
        self.topological = order
        self.led_by = [0] * len(self.nodes)
        """What comes before each step, however far, as sets of bits."""
        for node in order:
            for then in self.after[node]:
                self.led_by[then] |= self.led_by[node] | 1 << node
        self.leads_to = self._led_to(self.after)

    def _led_to(self, after: Sequence[Iterable[int]]) -> list[int]:
        """What comes after each step, however far, as sets of bits."""
        found = [0] * len(self.nodes)
        for node in reversed(self.topological):
            for then in after[node]:
                found[node] |= found[then] | 1 << then
        return found

    def _ranks(self) -> list[float]:
        """Follow the strip, turned round; a job comes when what leads to it is there.

        A hold point comes right before the first that waits for it.
        """
        known = ranks(self.work)
        found = [known[node] for node in self.nodes]
        ahead = [-1.0] * len(self.nodes)
        for node in self.topological:
            if self.nodes[node].action not in (Action.PUT_ON, Action.MAKE, Action.TIGHTEN):
                found[node] = ahead[node] + 0.5
            for then in self.after[node]:
                ahead[then] = max(ahead[then], found[node])
        for check, thens in self.hold_points.items():
            first = min(found[self.index[then]] for then in thens)
            found[self.index[check]] = max(found[self.index[check]], first - 0.1)
        return found

    def may_in(self, standing: StandingId | None) -> frozenset[int] | None:
        """The steps that a standing allows; ``None`` for all."""
        if standing is None:
            return None
        if standing not in self._may_in:
            self._may_in[standing] = frozenset(
                node
                for node, allowed in enumerate(self.allowed)
                if allowed is None or standing in allowed
            )
        return self._may_in[standing]

    def barred(self, standing: StandingId | None) -> int:
        """The steps that a standing does not allow, as sets of bits."""
        if standing not in self._barred:
            self._barred[standing] = 0
            for allowed, steps in self.only_in.items():
                if standing not in allowed:
                    self._barred[standing] |= steps
        return self._barred[standing]

    def up_to(self, steps: int) -> int:
        """These steps and all that leads to them, as sets of bits."""
        if steps not in self._up_to:
            todo = list(numbers_in(steps))
            found = set(todo)
            while todo:
                fresh = [first for first in self.before[todo.pop()] if first not in found]
                found.update(fresh)
                todo += fresh
            self._up_to[steps] = sum(1 << node for node in found)
        return self._up_to[steps]

    def all_up_to(self, steps: int) -> frozenset[int]:
        """The steps of a set of bits and all that leads to them, by number."""
        if steps not in self._all_up_to:
            self._all_up_to[steps] = frozenset(numbers_in(self.up_to(steps)))
        return self._all_up_to[steps]

    def _is_free(self, leads_to: int, unit: Unit) -> bool:
        """Whether it need touch nothing: the datum, or what goes on before all that it touches."""
        work = self.work
        return unit.is_datum or all(
            ((on := work.put_on(part)) is None and part in work.off)
            or (on is not None and leads_to >> self.index[on] & 1)
            for part in unit.touches
        )

    def leaves_a_way(self, unit: Unit, off: set[PartId], done: int) -> bool:
        """Whether a unit shuts no standing that something else has to be done in."""
        if self.stands.shut_by.isdisjoint(unit.parts):
            return True
        shut = self.stands.shut(off.difference(unit.parts))
        return not any(steps & ~done for allowed, steps in self.only_in.items() if allowed <= shut)

    def carries(self, number: int) -> tuple[bool, bool, float, float]:
        """How well a unit would carry the rest of its group: the least is the best."""
        unit = self.units[number]
        parts = [self.work.parts[part] for part in unit.parts]
        structure = any(part.kind is PartKind.STRUCTURE for part in parts)
        mass_kg = sum(part.mass_kg or 0 for part in parts)
        return not unit.is_datum, not structure, -mass_kg, self.rank[number]

    def tools_of(self, unit: Unit, off: Set[PartId]) -> frozenset[str]:
        """The tools of which any would fasten a unit, with these parts off before."""
        joints = self.work.joints
        return frozenset(
            tool
            for joint, tool in unit.fastens.items()
            if all(part not in off or part in unit.parts for part in joints[joint].parts)
        )

    # -- what hangs (8 of the strip) ----------------------------------------------------------

    def _spans(self) -> Iterable[int]:
        """Steps between which the standing must not change, as sets of bits."""
        vehicle = self.work.vehicle
        pairs = [(each.first, each.last) for each in vehicle.temporary_supports.values()]
        pairs += [
            (Ref(f"job:{job.id}"), Ref(f"job:{job.same_sitting_as}"))
            for job in vehicle.jobs.values()
            if job.same_sitting_as
        ]
        for one, other in pairs:
            ends = [self._bits(ref) for ref in (one, other)]
            if all(ends):
                yield ends[0] | ends[1]

    def can_be_let_down(
        self, span: int, node: int, standing: StandingId | None, done: int
    ) -> bool:
        """Nothing is hung up that cannot be let down again as the vehicle stands."""
        if span & done:
            return True  # it hangs already
        return not self.up_to(span & ~(1 << node)) & ~done & self.barred(standing)

    def _bits(self, ref: Ref) -> int:
        nodes = {self.work.begin(ref), self.work.done(ref)} - {None}
        return sum(1 << self.index[node] for node in nodes if node is not None)
