"""Ties: what still connects what is to be lifted with what stays, before the lift.

A list to walk round with, zone by zone: joints that still hold, and joints that the logbook has
as undone and that somebody should look at, since a tie believed undone is what hurts. With it
what goes along with the lift, and as advice the cheapest joints to undo.
"""

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property

from putback.errors import BadInput, NotFound
from putback.logbook.fluids import is_fluid_out
from putback.logbook.state import FitState, PartState, State
from putback.planning.known import Known, with_why
from putback.planning.tying.cut import cheapest_cut
from putback.planning.tying.tied import (
    GROUP,
    OTHER,
    between,
    drawn_together,
    reached,
    web_of,
)
from putback.planning.tying.walk import Stop, Tick, Tie, Walk
from putback.vehicle.facts import Before, Phase
from putback.vehicle.fastener_kind import FastenerKind
from putback.vehicle.ids import (
    AssemblyId,
    FluidId,
    JointId,
    PartId,
    Ref,
    joint_ref,
    part_ref,
    split_ref,
)
from putback.vehicle.joint import Joint
from putback.vehicle.part import Part, PartKind
from putback.vehicle.vehicle import Vehicle

NEVER_UNDONE = frozenset({FastenerKind.WELDED, FastenerKind.BONDED})
"""What holds so is cut, not undone."""
_NEVER_MINUTES = 1e6
"""Added to what cannot be undone before the lift: advised only where nothing else will do."""
_PER_MINUTE = 1000
"""Minutes are compared to a thousandth; of cuts as quick the one with fewer joints is better."""


@dataclass(frozen=True, slots=True)
class Along:
    """A part that goes along with what is lifted; mass of all of a set [kg]."""

    part: PartId
    mass_kg: float | None
    rests: bool
    """It merely sits there: nothing that is fastened leads from it to what is lifted."""
    listed: bool
    """Somebody said so: an assembly with what is lifted, or a goal, names it as well."""


@dataclass(frozen=True, slots=True)
class FirstOff:
    """What must be done before some joints of the cut, any one of it, in words with all reasons.

    Where the same comes first for several reasons it is said once.
    """

    what: tuple[Ref, ...]
    words: str
    joints: tuple[JointId, ...]


@dataclass(frozen=True, slots=True)
class Cut:
    """The cheapest joints to undo so that nothing ties the two any more: advice, no more.

    ``minutes`` are of undoing them, without what is in the way [minutes]. ``then_along`` are the
    parts that go along as well once these joints are undone: a cable that is cut at its far end.
    """

    joints: tuple[JointId, ...]
    minutes: float
    first_off: tuple[FirstOff, ...]
    then_along: tuple[PartId, ...]


@dataclass(frozen=True, slots=True)
class Ties:
    """What ties a lift, what goes along with it, and what to undo; masses in [kg]."""

    lift: tuple[Ref, ...]
    parts: tuple[PartId, ...]
    """What is lifted and still on."""
    apart_from: tuple[PartId, ...]
    walk: tuple[Stop, ...]
    along: tuple[Along, ...]
    loose: tuple[PartId, ...]
    """Parts that are on with nothing described that holds them: look where they lie."""
    unknown: tuple[JointId, ...]
    """Joints that hold, of which nobody said what they join: each may be a tie."""
    hung: tuple[PartId, ...]
    """Parts hung aside: look on what."""
    fits: tuple[str, ...]
    """Temporary fits still in: on what is lifted or goes along, or nobody knows on what."""
    fluids: tuple[FluidId, ...]
    """Still in what is lifted or goes along."""
    cut: Cut
    mass_kg: float
    """Of what is lifted and goes along, fluids included, as far as it is known."""
    unweighed: tuple[PartId, ...]
    """Those among them whose mass nobody knows."""

    @property
    def ties(self) -> tuple[Tie, ...]:
        """Every line of the walk-round."""
        return tuple(tie for stop in self.walk for tie in stop.ties)

    @property
    def left(self) -> tuple[Tie, ...]:
        """The ties that still hold."""
        return tuple(tie for tie in self.ties if tie.holds)

    @property
    def to_look_at(self) -> tuple[Tie, ...]:
        """The ties that are undone in the logbook, and that nobody saw free since."""
        return tuple(tie for tie in self.ties if tie.tick is Tick.UNDONE)

    @property
    def unlisted(self) -> tuple[Along, ...]:
        """What goes along and is on no list: not to be forgotten."""
        return tuple(each for each in self.along if not each.listed)


def ties(vehicle: Vehicle, state: State, *lift: Ref, apart_from: Collection[PartId] = ()) -> Ties:
    """Find what still ties a lift: parts and assemblies, named one by one.

    Parameters
    ----------
    vehicle : Vehicle
        What it is made of.
    state : State
        How far it is; neither is changed.
    *lift : Ref
        The parts and assemblies that are lifted together.
    apart_from : collection of PartId, optional
        What they are lifted off; else the datum of the goals, else what the vehicle stands on,
        else its heaviest structure, else what most is joined to, else all the rest.

    Raises
    ------
    NotFound
        If a part or assembly of the lift is not described.
    BadInput
        If all of the lift is off already, or nothing is left to lift it off.
    """
    return _Finder(vehicle, state, lift, apart_from).found()


class _Finder:
    """The graphs of one lift, and what is read from them."""

    def __init__(
        self, vehicle: Vehicle, state: State, lift: Sequence[Ref], apart_from: Collection[PartId]
    ) -> None:
        self.vehicle = vehicle
        self.state = state
        self.known = Known(vehicle, state)
        self.lift = tuple(lift)
        self.group = self._lifted()
        self.other = self._rest(apart_from)
        merged = drawn_together(self.group, self.other)
        on = [joint for joint, record in vehicle.joints.items() if len(self._on(record)) > 1]
        made = frozenset(self.known.made)
        self.made = [joint for joint in on if joint in made]
        self.undone = [joint for joint in on if joint not in made]
        self.web = web_of(vehicle, self.made, merged)
        self.held = between(self.web)
        hanging = reached(self.web, [GROUP]) - reached(self.web, [OTHER], closed=[GROUP])
        self.along = self._parts_of(hanging)
        self.ours = frozenset((*self.group, *self.along))

    # -- the two groups ---------------------------------------------------------------------

    def _lifted(self) -> tuple[PartId, ...]:
        named: dict[PartId, None] = {}
        for ref in self.lift:
            kind, identity = split_ref(ref)
            if kind == "assembly" and identity in self.vehicle.assemblies:
                named |= dict.fromkeys(self.vehicle.assemblies[AssemblyId(identity)].parts)
            elif kind == "part" and identity in self.vehicle.parts:
                named[PartId(identity)] = None
            else:
                raise NotFound("part or assembly", identity)
        on = tuple(part for part in named if part not in self.known.off)
        if not on:
            names = ", ".join(self.vehicle.name_of(ref) for ref in self.lift)
            raise BadInput(
                f"{names or 'what is to be lifted'} is off already", mend="name what is still on"
            )
        return on

    def _rest(self, apart_from: Collection[PartId]) -> tuple[PartId, ...]:
        for candidates in (apart_from,) if apart_from else self._usual_rests():
            rest = [part for part in candidates if part not in {*self.group, *self.known.off}]
            if rest:
                return tuple(dict.fromkeys(rest))
        raise BadInput(
            "nothing is left to lift it off", mend="say which part that is on it is lifted off"
        )

    def _usual_rests(self) -> Iterator[Collection[PartId]]:
        goals = self.vehicle.goals.values()
        yield [goal.datum for goal in goals if goal.datum in self.vehicle.parts]
        standing = self.vehicle.standings.get(self.known.start) if self.known.start else None
        yield [
            each.bears_on for each in (standing.supports if standing else ()) if not each.beside
        ]
        others = [
            part
            for part in self.vehicle.parts.values()
            if part.id not in self.group and part.id not in self.known.off
        ]

        def carries(part: Part) -> tuple[float, int]:
            heavy = (part.mass_kg or 0.0) + 1.0 if part.kind is PartKind.STRUCTURE else 0.0
            return heavy, len(self.vehicle.joints_of[part.id])

        most = max(others, key=carries, default=None)
        yield [most.id] if most and any(carries(most)) else [part.id for part in others]

    # -- what is read from the graphs -------------------------------------------------------

    def found(self) -> Ties:
        """Put it all together."""
        cut = self._cut()
        listed = self._listed()
        fastened = self._parts_of(
            reached(
                self.web, [GROUP], closed=[OTHER, *map(joint_ref, filter(self._sits, self.made))]
            )
        )
        along = tuple(
            Along(
                part,
                self.vehicle.parts[part].mass_kg if part in self.vehicle.parts else None,
                rests=part not in fastened,
                listed=part in listed,
            )
            for part in self.along
        )
        masses = {
            part: record.mass_kg if (record := self.vehicle.parts.get(part)) else None
            for part in (*self.group, *self.along)
        }
        fluids = tuple(self._fluids())
        full_kg = sum(self.vehicle.fluids[each].mass_kg for each in fluids)
        return Ties(
            lift=self.lift,
            parts=self.group,
            apart_from=self.other,
            walk=self._walk(cut.joints),
            along=along,
            loose=self._loose(),
            unknown=tuple(self._unknown()),
            hung=tuple(part for part, seen in self.state.parts.items() if self._hangs(seen)),
            fits=tuple(fit for fit, seen in self.state.fits.items() if self._is_in(seen)),
            fluids=fluids,
            cut=cut,
            mass_kg=sum(filter(None, masses.values())) + full_kg,
            unweighed=tuple(part for part, mass_kg in masses.items() if mass_kg is None),
        )

    def _on(self, joint: Joint) -> tuple[PartId, ...]:
        return tuple(part for part in joint.parts if part not in self.known.off)

    def _parts_of(self, nodes: Collection[Ref]) -> tuple[PartId, ...]:
        """The parts among nodes, in the order in which they were described."""
        found = {PartId(each) for kind, each in map(split_ref, nodes) if kind == "part"}
        described = [part for part in self.vehicle.parts if part in found]
        return (*described, *sorted(found.difference(described)))

    def _sits(self, joint: JointId) -> bool:
        return self.vehicle.joints[joint].holds() == {FastenerKind.SITS_IN.value}

    def _undone_ties(self) -> frozenset[JointId]:
        """The joints that are undone and would tie, were they not.

        What the made joints but for the ties hold together is drawn together, so that a joint
        between two parts that both stay is none, and both ends of a cable that hangs free are.
        """
        inner = web_of(
            self.vehicle,
            (joint for joint in self.made if joint not in self.held),
            drawn_together(self.group, self.other),
        )
        cluster_of: dict[Ref, Ref] = {}
        for start in (GROUP, OTHER, *inner):
            if start not in cluster_of and split_ref(start)[0] != "joint":
                cluster_of |= dict.fromkeys(reached(inner, [start]), start)
        merged = {
            part: cluster_of.get(node, node)
            for part in self.vehicle.joints_of
            for node in (self._node(part),)
        }
        return between(web_of(self.vehicle, [*self.held, *self.undone], merged)) - self.held

    def _walk(self, advised: Collection[JointId]) -> tuple[Stop, ...]:
        undone = self._undone_ties()
        return Walk(
            self.vehicle,
            self.state,
            held=self.held,
            undone=undone,
            ours=self.ours,
            near=self._near([*self.held, *undone]),
            advised=advised,
        ).stops()

    def _near(self, joints: Collection[JointId]) -> frozenset[JointId]:
        """The joints on what is lifted or goes along, and on runs that lead on from there."""
        web = web_of(self.vehicle, joints, drawn_together(self.group, self.other))
        ours = {GROUP, *map(part_ref, self.along)}
        others = (node for node in web if split_ref(node)[0] == "part" and node not in ours)
        closed = [OTHER, *(node for node in others if not self._is_run(node))]
        found = map(split_ref, reached(web, ours, closed))
        return frozenset(JointId(identity) for kind, identity in found if kind == "joint")

    def _is_run(self, node: Ref) -> bool:
        return PartId(split_ref(node)[1]) in self.vehicle.loose.runs

    def _node(self, part: PartId) -> Ref:
        if part in self.group:
            return GROUP
        return OTHER if part in self.other else part_ref(part)

    def _loose(self) -> tuple[PartId, ...]:
        """Parts that nothing made joins to anything, and that nobody said are off."""
        joined = {part for joint in self.made for part in self._on(self.vehicle.joints[joint])}
        return tuple(
            part
            for part in self.vehicle.parts
            if part not in joined
            and part not in self.known.off
            and part not in self.group
            and part not in self.other
        )

    def _unknown(self) -> Iterator[JointId]:
        """Joints that were only named, in the description or by somebody who touched them."""
        for joint in dict.fromkeys((*self.vehicle.joints, *self.state.joints)):
            record = self.vehicle.joints.get(joint)
            parts = record.parts if record is not None else ()
            if len(parts) < 2 and joint not in self.state.undone_joints:
                yield joint

    def _hangs(self, seen: PartState) -> bool:
        return seen.hung is not None and seen.part not in self.group

    def _is_in(self, seen: FitState) -> bool:
        """Whether a temporary fit is still in that may go along, or tie."""
        if seen.off is not None or seen.fitted is None:
            return False
        kind, identity = split_ref(Ref(seen.on or ""))
        joint = self.vehicle.joints.get(JointId(identity)) if kind == "joint" else None
        whole = self.vehicle.assemblies.get(AssemblyId(identity)) if kind == "assembly" else None
        parts = joint.parts if joint else whole.parts if whole else (PartId(identity),)
        return seen.on is None or not self.ours.isdisjoint(parts)

    def _fluids(self) -> Iterator[FluidId]:
        for fluid in self.vehicle.fluids.values():
            if fluid.part in self.ours and not is_fluid_out(self.vehicle, self.state, fluid.id):
                yield fluid.id

    def _listed(self) -> frozenset[PartId]:
        """What an assembly that has all of the lift names, and what a goal wants off."""
        wholes = [
            each.parts
            for each in self.vehicle.assemblies.values()
            if set(self.group) <= set(each.parts)
        ]
        goals = [goal.off for goal in self.vehicle.goals.values()]
        return frozenset(part for parts in (*wholes, *goals) for part in parts)

    # -- the cut ----------------------------------------------------------------------------

    def _cut(self) -> Cut:
        web = {
            node: [each for each in next_to if self._is_of_a_tie(node, each)]
            for node, next_to in self.web.items()
        }
        costs = {joint: self._cost(joint) for joint in self.made if joint in self.held}
        chosen = cheapest_cut(web, costs) if costs else frozenset()
        closed = [OTHER, *map(joint_ref, chosen)]
        then = self._parts_of(reached(self.web, [GROUP], closed=closed))
        order = [joint for joint in self.vehicle.joints if joint in chosen]
        return Cut(
            joints=tuple(order),
            minutes=sum(self.vehicle.joints[joint].minutes.likely for joint in order),
            first_off=tuple(self._first_off(order)),
            then_along=tuple(part for part in then if part not in self.ours),
        )

    def _first_off(self, joints: Sequence[JointId]) -> Iterator[FirstOff]:
        """Gather what comes first by what it is: joints and reasons of the same thing together."""
        waiting: dict[tuple[Ref, ...], dict[JointId, None]] = {}
        reasons: dict[tuple[Ref, ...], dict[str, None]] = {}
        for joint in joints:
            for what, why in self._asked_first(joint):
                waiting.setdefault(what, {})[joint] = None
                reasons.setdefault(what, {}).update({why: None} if why else {})
        for what, these in waiting.items():
            names = " or ".join(map(self.known.name, what))
            yield FirstOff(what, with_why(_first(names), "; ".join(reasons[what])), tuple(these))

    def _is_of_a_tie(self, *ends: Ref) -> bool:
        """Whether one of two nodes next to each other is a joint that ties."""
        return any(
            kind == "joint" and identity in self.held for kind, identity in map(split_ref, ends)
        )

    def _cost(self, joint: JointId) -> int:
        record = self.vehicle.joints[joint]
        lifted = frozenset(map(part_ref, self.group))
        never = not NEVER_UNDONE.isdisjoint(record.holds()) or any(
            lifted.issuperset(any_of) for any_of, _ in self._asked_first(joint)
        )
        minutes = record.minutes.likely + (_NEVER_MINUTES if never else 0.0)
        # One joint more must never outweigh a thousandth of a minute.
        return round(minutes * _PER_MINUTE) * (len(self.made) + 1) + 1

    def _asked_first(self, joint: JointId) -> Iterator[tuple[tuple[Ref, ...], str]]:
        """Give what is to be cleared before a joint, any one of each, and why."""
        for fact in self.vehicle.obstructions_of.get(joint_ref(joint), ()):
            if fact.any_of and self.known.off.isdisjoint(fact.any_of):
                yield tuple(map(part_ref, fact.any_of)), fact.why
        for before in self.befores_of.get(joint_ref(joint), ()):
            if not self.known.is_cleared(before.first):
                yield (before.first,), before.why

    @cached_property
    def befores_of(self) -> dict[Ref, list[Before]]:
        """What the strip asks for before each thing."""
        found: dict[Ref, list[Before]] = {}
        for before in self.vehicle.befores.values():
            if before.phase is not Phase.REBUILD:
                found.setdefault(before.then, []).append(before)
        return found


def _first(names: str) -> str:
    return names if names.endswith(" first") else f"{names} first"
