"""The steps of a rebuild by number: all that the scheduling asks of them again and again."""

from collections.abc import Iterable, Iterator, Mapping
from typing import NamedTuple

from putback.planning.plan import Action, PlanSettings
from putback.planning.rebuild.facts import Edge
from putback.planning.rebuild.stands import Stands
from putback.planning.rebuild.work import Node, Work
from putback.vehicle.ids import (
    JobId,
    JointId,
    PartId,
    Ref,
    StandingId,
    ZoneId,
    split_ref,
)

FINISH_SHARE = 0.5
"""Of a joint's minutes: one visit with a spanner, to make, to tighten or to finish it [-]."""
CHECK_SHARE = 0.2
"""Of a joint's minutes: a second person's look at it [-]."""


def minutes_of(work: Work, node: Node) -> float:
    """The likely minutes of a step [minutes]."""
    kind, identity = split_ref(node.what)
    vehicle = work.vehicle
    match kind:
        case "joint":
            share = CHECK_SHARE if node.action is Action.CHECK else FINISH_SHARE
            return work.joints[JointId(identity)].minutes.likely * share
        case "part":
            return work.parts[PartId(identity)].minutes.likely
        case "assembly":
            return next(a.minutes.likely for a in vehicle.assemblies.values() if a.id == identity)
        case "job":
            return vehicle.jobs[JobId(identity)].minutes.likely
        case _:
            fluid = next(each for each in vehicle.fluids.values() if each.id == identity)
            if node.action is Action.FILL:
                drained = vehicle.jobs.get(fluid.drained_by) if fluid.drained_by else None
                return drained.minutes.likely if drained else 0.0
            bleeding = (job for job in vehicle.jobs.values() if job.fluid == fluid.id)
            return max((j.minutes.likely for j in bleeding if j.kind == "bleed"), default=0.0)


def place_of(work: Work, node: Node) -> tuple[ZoneId | None, str]:
    """The zone and the tool of a step."""
    kind, identity = split_ref(node.what)
    match kind:
        case "joint":
            joint = work.joints[JointId(identity)]
            return joint.zone, "" if node.action is Action.CHECK else joint.tool
        case "part":
            return work.parts[PartId(identity)].zone or None, ""
        case "assembly":
            first = next(a for a in work.vehicle.assemblies.values() if a.id == identity).parts[0]
            return work.parts[first].zone or None, ""
        case "job":
            job = work.vehicle.jobs[JobId(identity)]
            return job.zone, job.tool
        case _:
            return None, ""


def ranks(work: Work) -> dict[Node, float]:
    """Where each step stood in the strip, turned round; what the strip does not know, last."""
    place = {ref: index for index, ref in enumerate(reversed(work.state.came_off))}
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
        edges: Iterable[Edge],
        settings: PlanSettings,
        late: frozenset[Node],
    ) -> None:
        self.work = work
        self.stands = stands
        self.settings = settings
        self.nodes = work.nodes
        self.index = {node: number for number, node in enumerate(self.nodes)}
        count = len(self.nodes)
        pairs = {(self.index[edge.first], self.index[edge.then]) for edge in edges}
        self.after: list[list[int]] = [[] for _ in range(count)]
        self.before_count = [0] * count
        for first, then in sorted(pairs):
            self.after[first].append(then)
            self.before_count[then] += 1
        self.minutes = [minutes_of(work, node) for node in self.nodes]
        places = [place_of(work, node) for node in self.nodes]
        self.zone = [zone for zone, _ in places]
        self.tool = [tool for _, tool in places]
        self.tools = [frozenset({tool} if tool else ()) for tool in self.tool]
        self.allowed = [stands.allowed(node) for node in self.nodes]
        self._close()
        self.rank = self._ranks()
        self.late = [node in late for node in self.nodes]
        self.has_late = any(self.late)
        self.only_in: dict[frozenset[StandingId], int] = {}
        """The steps that each set of standings allows, as sets of bits."""
        for node, allowed in enumerate(self.allowed):
            if allowed is not None:
                self.only_in[allowed] = self.only_in.get(allowed, 0) | 1 << node
        self.units = self._units()
        self.spans = tuple(self._spans())
        self.spans_of: dict[int, list[int]] = {}
        for span in self.spans:
            for node in bits(span):
                self.spans_of.setdefault(node, []).append(span)
        self.zone_size: dict[ZoneId | None, int] = {}
        for zone in self.zone:
            self.zone_size[zone] = self.zone_size.get(zone, 0) + 1

    def _close(self) -> None:
        """Work out what leads to each step, and from it, however far, as sets of bits."""
        waiting = list(self.before_count)
        order = [node for node, count in enumerate(waiting) if not count]
        for node in order:
            for then in self.after[node]:
                waiting[then] -= 1
                if not waiting[then]:
                    order.append(then)
        self.topological = order
        self.leads_to = [0] * len(self.nodes)
        self.led_to_by = [0] * len(self.nodes)
        for node in reversed(order):
            for then in self.after[node]:
                self.leads_to[node] |= self.leads_to[then] | 1 << then
        for node in order:
            for then in self.after[node]:
                self.led_to_by[then] |= self.led_to_by[node] | 1 << node

    def _ranks(self) -> list[float]:
        """Follow the strip, turned round; a job comes when what leads to it is there."""
        known = ranks(self.work)
        found = [known[node] for node in self.nodes]
        ahead = [-1.0] * len(self.nodes)
        for node in self.topological:
            if self.nodes[node].action not in (Action.PUT_ON, Action.MAKE, Action.TIGHTEN):
                found[node] = ahead[node] + 0.5
            for then in self.after[node]:
                ahead[then] = max(ahead[then], found[node])
        return found

    # -- what touches what (3) ----------------------------------------------------------------

    def _units(self) -> dict[int, "Unit"]:
        work = self.work
        groups = _groups(work)
        datums = {goal.datum for goal in work.vehicle.goals.values()}
        found = {}
        for number, node in enumerate(self.nodes):
            if node.action is not Action.PUT_ON:
                continue
            parts = work.unit_parts(node.what)
            joints = dict.fromkeys(
                joint for part in parts for joint in work.vehicle.joints_of.get(part, ())
            )
            touched = {other for joint in joints for other in work.joints[joint].parts} - {*parts}
            later = all(
                ((on := work.put_on(part)) is None and part in work.off)
                or (on is not None and self.leads_to[number] >> self.index[on] & 1)
                for part in touched
            )
            found[number] = Unit(
                parts,
                tuple(joints),
                {
                    joint: work.joints[joint].tool
                    for joint in joints
                    if joint in work.make and work.whole_of(joint) is None
                },
                frozenset(touched),
                not datums.isdisjoint(parts) or later,
                groups.get(parts[0], frozenset()),
            )
        return found

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

    def _bits(self, ref: Ref) -> int:
        nodes = {self.work.begin(ref), self.work.done(ref)} - {None}
        return sum(1 << self.index[node] for node in nodes if node is not None)


class Unit(NamedTuple):
    """What is put on as one: its joints, and whatever they hold it to."""

    parts: tuple[PartId, ...]
    joints: tuple[JointId, ...]
    fastens: Mapping[JointId, str]
    """The open ones that hold it to something else, each with its tool."""
    touches: frozenset[PartId]
    is_free: bool
    """It need touch nothing: the datum, or something that goes on before all that it touches."""
    group: frozenset[PartId]


def _groups(work: Work) -> dict[PartId, frozenset[PartId]]:
    """The parts that joints connect with each part, near or far."""
    found: dict[PartId, set[PartId]] = {}
    for joint in work.joints.values():
        together: set[PartId] = set()
        for part in joint.parts:
            together |= found.get(part, {part})
        for part in together:
            found[part] = together
    frozen = {id(group): frozenset(group) for group in found.values()}
    return {part: frozen[id(group)] for part, group in found.items()}


def bits(number: int) -> Iterator[int]:
    """The numbers of the bits that are set."""
    while number:
        low = number & -number
        yield low.bit_length() - 1
        number ^= low
