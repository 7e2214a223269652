"""What drops: before a joint is undone, what it lets go, and what to prop first.

Of one joint or of many, now or along a plan; `putback.planning.held.telling` puts it into words.
"""

from collections.abc import Iterable

from putback.errors import NotFound
from putback.logbook.fluids import fluids_in, pours_of
from putback.logbook.open_items.item import USUAL
from putback.logbook.state import State
from putback.planning.held.holding import Hold, Links
from putback.planning.held.telling import Drop, Ground, Telling, ground_of
from putback.planning.known import Known, made_joints
from putback.planning.plan import USUAL as USUAL_SETTINGS
from putback.planning.plan import Action, Step
from putback.planning.posing.pose import pose
from putback.planning.posing.problem import Kind
from putback.planning.search.field import Field, Rules
from putback.vehicle.ids import (
    AssemblyId,
    JobId,
    JointId,
    PartId,
    Ref,
    StandingId,
    part_ref,
    split_ref,
)
from putback.vehicle.vehicle import Vehicle


def what_drops(
    vehicle: Vehicle,
    state: State,
    joint: JointId,
    standing: StandingId | None = None,
    *,
    one_person_kg: float = USUAL.one_person_kg,
) -> Drop:
    """Say what becomes of things if a joint were undone now.

    Parameters
    ----------
    vehicle, state : Vehicle, State
        What it is made of, and what is done already.
    joint : JointId
        The joint; one that is undone already lets nothing go.
    standing : StandingId, optional
        How the vehicle would stand; as it stands now where not given.
    one_person_kg : float
        What one person lifts, [kg].

    Raises
    ------
    NotFound
        If the vehicle has no such joint.
    """
    if joint not in vehicle.joints:
        raise NotFound("joint", joint)
    return drops_of(vehicle, state, [joint], standing, one_person_kg=one_person_kg)[0]


def drops_of(
    vehicle: Vehicle,
    state: State,
    joints: Iterable[JointId],
    standing: StandingId | None = None,
    *,
    one_person_kg: float = USUAL.one_person_kg,
) -> tuple[Drop, ...]:
    """Say of several joints what each would let go if it were undone next [kg]."""
    now = _Now(Known(vehicle, state), one_person_kg)
    now.stand(standing or now.known.start)
    return tuple(now.drop(joint) for joint in joints)


def drops_at(vehicle: Vehicle, state: State, what: Ref) -> tuple[Drop, ...]:
    """Say what a joint would let go now, or of a part each of its joints that are made.

    Of an assembly those that hold it to what is no part of it.
    """
    kind, identity = split_ref(what)
    if kind == "joint":
        return (what_drops(vehicle, state, JointId(identity)),)
    whole = vehicle.assemblies.get(AssemblyId(identity)) if kind == "assembly" else None
    parts = whole.parts if whole else (PartId(identity),)
    made = frozenset(made_joints(vehicle, state))
    joints = dict.fromkeys(joint for part in parts for joint in vehicle.joints_of.get(part, ()))
    outward = [each for each in joints if not set(parts).issuperset(vehicle.joints[each].parts)]
    return drops_of(vehicle, state, [joint for joint in outward if joint in made])


def drops_along(
    vehicle: Vehicle,
    state: State,
    steps: Iterable[Step],
    *,
    one_person_kg: float = USUAL.one_person_kg,
) -> tuple[Drop, ...]:
    """Say what each joint lets go that the next steps of a strip undo, as things then are."""
    now = _Now(Known(vehicle, state), one_person_kg)
    found: list[Drop] = []
    for step in steps:
        now.stand(step.standing or now.known.start)
        kind, identity = split_ref(step.what)
        if step.action is Action.UNDO and kind == "joint":
            found.append(now.drop(JointId(identity)))
        now.do(step)
    return tuple(found)


def what_drops_next(
    vehicle: Vehicle, state: State, *, one_person_kg: float = USUAL.one_person_kg
) -> tuple[Drop, ...]:
    """Say what each joint lets go that could be undone as the vehicle stands now."""
    problem = pose(vehicle, state)
    field = Field(
        Rules(problem, [range(len(problem.nodes))], binding=False, settings=USUAL_SETTINGS)
    )
    joints = [
        JointId(split_ref(problem.nodes[index].what)[1])
        for index in sorted(field.ready)
        if problem.nodes[index].kind is Kind.UNDO and field.may(index, careful=False)
    ]
    return drops_of(vehicle, state, joints, one_person_kg=one_person_kg)


def not_spoken_of(vehicle: Vehicle, state: State) -> tuple[PartId, ...]:
    """Give the parts that are on and of which no joint is described: nothing is known of them."""
    off = Known(vehicle, state).off
    return tuple(p for p in vehicle.parts if p not in off and not vehicle.joints_of.get(p))


class _Now:
    """What holds as far as the work has got, and what it stands on."""

    def __init__(self, known: Known, one_person_kg: float) -> None:
        self.known = known
        self.vehicle = known.vehicle
        self.links = Links(known.vehicle, known.made, known.off)
        self.hold = Hold(self.links)
        self.off = set(known.off)
        self.cleared: set[Ref] = set()
        self.ground = Ground(frozenset())
        self.full = fluids_in(known.vehicle, known.state)
        self.pours = pours_of(known.vehicle)
        self.telling = Telling(
            known.vehicle, self.links, one_person_kg=one_person_kg, fluids=self.full
        )

    def stand(self, standing: StandingId | None) -> None:
        """Stand so."""
        self.ground = ground_of(self.vehicle, self.links, self.off, standing)
        self.hold.rest_on(self.links.numbers(self.ground.parts))
        self.hold.borne = self.links.numbers(
            each.bears_on
            for each in self.vehicle.temporary_supports.values()
            if self._is_cleared(each.first) and not self._is_cleared(each.last)
        )

    def _is_cleared(self, ref: Ref) -> bool:
        return ref in self.cleared or self.known.is_cleared(ref)

    def drop(self, joint: JointId) -> Drop:
        """Say what a joint lets go now."""
        return self.telling.of(self.hold, joint, self.ground)

    def do(self, step: Step) -> None:
        """Do a step."""
        kind, identity = split_ref(step.what)
        if step.action is Action.UNDO:
            self.hold.undo(JointId(identity))
        elif step.action is Action.TAKE_OFF:
            whole = self.vehicle.assemblies.get(AssemblyId(identity))
            parts = whole.parts if kind == "assembly" and whole else (PartId(identity),)
            self.hold.take_off(parts)
            self.off.update(parts)
            self.cleared.update(map(part_ref, parts))
        elif kind == "job":
            self.full = self.pours.after(JobId(identity), self.full)
            self.telling.lifting.hold(self.full)
        self.cleared.add(step.what)
