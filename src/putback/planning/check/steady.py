"""Replays how a plan stands: margin and ratings after every step, and into every standing.

Rule 12 of the strip and 14 of the rebuild, worked out anew at each step from all that is on: the
edge of the supports by half-planes over every two feet, loads by elimination, and what is one
with the vehicle by walking from the anchor.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import combinations
from math import hypot, inf

from putback.logbook.state import State
from putback.planning.check.ground import Ground
from putback.planning.check.heft import Things, solve
from putback.planning.check.lasting import still_cracked
from putback.planning.check.limp import is_limp, runs_among
from putback.planning.check.pours import is_out
from putback.planning.plan import Action, Plan, PlanSettings, Step
from putback.vehicle.facts import Phase
from putback.vehicle.ids import (
    AssemblyId,
    FluidId,
    JobId,
    JointId,
    PartId,
    StandingId,
    split_ref,
)
from putback.vehicle.job import JobKind
from putback.vehicle.part import PartKind
from putback.vehicle.standing import Support
from putback.vehicle.vehicle import Vehicle

_SAME_M = 1e-6
_SAME_KG = 1e-4
"""Differences no larger than these are let pass."""

_FLAT_M = 1e-9
_NOTHING = 1e-9

Spot = tuple[float, float]


@dataclass(frozen=True, slots=True)
class _Look:
    """One look: the margin, ``None`` where nothing can be said, and who carries too much."""

    margin: float | None = None
    over: frozenset[str] = frozenset()

    def is_good(self, least: float) -> bool:
        wide = self.margin is None or self.margin >= least - _SAME_M
        return wide and not self.over


def steady_faults(
    vehicle: Vehicle, state: State, plan: Plan, settings: PlanSettings, phase: Phase
) -> Iterator[tuple[int, str]]:
    """Give the steps that leave the vehicle too near to tipping, or a support overloaded.

    Parameters
    ----------
    vehicle : Vehicle
        What it is made of.
    state : State
        What was done before the plan.
    plan : Plan
        A strip or a rebuild.
    settings : PlanSettings
        The least margin, [m].
    phase : Phase
        Strip or rebuild.

    Yields
    ------
    tuple of int and str
        The step, from 0, and what is wrong.
    """
    return _Steady(vehicle, state, plan, settings, phase).faults()


class _Steady:
    """Where the vehicle stands, and what is on, in and made, step by step."""

    def __init__(
        self, vehicle: Vehicle, state: State, plan: Plan, settings: PlanSettings, phase: Phase
    ) -> None:
        self.vehicle = vehicle
        self.state = state
        self.plan = plan
        self.least = settings.least_margin_m
        self.strips = phase is Phase.STRIP
        self.things = Things(vehicle, state.weighings)
        self.part_weights = {part: thing.corrected for part, thing in self.things.parts.items()}
        self.fluid_weights = {f: thing.corrected for f, thing in self.things.fluids.items()}
        self.off = set(state.parts_off)
        self.wholes = {part: state.parts[part].whole for part in self.off}
        self.made = {j for j in vehicle.joints if j not in state.undone_joints and self._joins(j)}
        self.dry = {fluid for fluid in vehicle.fluids if self._is_drained(fluid)}
        self.cracked = still_cracked(vehicle, state)
        self.jointed = {p for joint in vehicle.joints.values() for p in joint.parts}
        self.ways: dict[PartId, list[tuple[JointId, PartId]]] = {}
        runs = runs_among(vehicle, vehicle.joints)
        for joint in vehicle.joints.values():
            if not is_limp(joint, runs):
                for one in joint.parts:
                    self.ways.setdefault(one, []).extend(
                        (joint.id, other) for other in joint.parts if other != one
                    )
        self.trail: dict[PartId, list[tuple[JointId, PartId]]] = {}
        """By which joints, over which parts, the anchor was last reached from a part."""
        self.anchor: PartId | None = None

    def _joins(self, joint: JointId) -> bool:
        """Whether two of its parts are both on, or off with one whole."""
        parts = self.vehicle.joints[joint].parts
        if len(parts) < 2:
            return True
        return any(
            (one not in self.off and other not in self.off)
            or (
                one in self.off
                and other in self.off
                and self.wholes[one] is not None
                and self.wholes[one] == self.wholes[other]
            )
            for one, other in combinations(parts, 2)
        )

    def _is_drained(self, fluid: FluidId) -> bool:
        """Whether it was let out, by itself or by its job, and not filled since."""
        return is_out(self.vehicle, self.state, fluid)

    # -- from step to step --------------------------------------------------------------------

    def faults(self) -> Iterator[tuple[int, str]]:
        """Go through all the steps."""
        at = self.state.standing.standing
        if at not in self.vehicle.standings:
            at = self.plan.start
        after = self._look(at)
        for index, step in enumerate(self.plan.steps):
            came_from, at = at, step.standing
            changed = came_from is not None and at != came_from
            before = after if at == came_from else self._look(at)
            if changed and not before.is_good(self.least):
                better = self._better(step, came_from)
                if better is not None:
                    words = f"it would stand {self._tell(before)}; {self._name(better)} holds it"
                    yield index, words
            self._do(step)
            after = self._look(at)
            if self._must_say(before, after, changed=changed) and not step.add_support:
                yield index, f"it stands {self._tell(after)}, and nothing is said to add"

    def _must_say(self, before: _Look, after: _Look, *, changed: bool) -> bool:
        if after.is_good(self.least):
            return False
        if changed and not before.is_good(self.least):
            return True
        if after.over - before.over:
            return True
        if after.margin is None or after.margin >= self.least - _SAME_M:
            return False
        was = inf if before.margin is None else before.margin
        return was >= self.least - _SAME_M or after.margin < was - 2 * _SAME_M

    def _do(self, step: Step) -> None:
        """Change what the step changes."""
        kind, identity = split_ref(step.what)
        if step.action is Action.UNDO:
            self.made.discard(JointId(identity))
        elif step.action is Action.MAKE:
            self.made.add(JointId(identity))
        elif step.action is Action.CRACK:
            self.cracked.add(JointId(identity))
        elif step.action is Action.TAKE_OFF:
            self.off.update(self._members(kind, identity))
        elif step.action is Action.PUT_ON:
            back = [PartId(identity)]
            if kind == "assembly":
                back = [part for part in self.off if self.wholes.get(part) == identity]
            self.off.difference_update(back)
        elif kind == "fluid" and step.action is Action.FILL:
            self.dry.discard(FluidId(identity))
        elif kind == "job" and step.action in (Action.DO, Action.FILL):
            self._do_job(JobId(identity), step.standing)

    def _members(self, kind: str, identity: str) -> tuple[PartId, ...]:
        if kind != "assembly":
            return (PartId(identity),)
        record = self.vehicle.assemblies.get(AssemblyId(identity))
        return record.parts if record else ()

    def _do_job(self, job: JobId, standing: StandingId | None) -> None:
        record = self.vehicle.jobs.get(job)
        own = record.fluid if record else None
        for fluid in self.vehicle.fluids.values():
            drains = record is not None and record.kind is JobKind.DRAIN and own == fluid.id
            if drains or fluid.drained_by == job:
                self.dry.add(fluid.id)
            if record is not None and record.kind is JobKind.FILL and own == fluid.id:
                self.dry.discard(fluid.id)
        if record is not None and record.kind is JobKind.CRACK:
            self.cracked.update(
                joint
                for joint in record.joints
                if self.vehicle.joints[joint].crack_in in (None, standing)
            )

    # -- one look -----------------------------------------------------------------------------

    def _look(self, standing: StandingId | None) -> _Look:
        """Add up all that is on, and see how it stands."""
        record = self.vehicle.standings.get(standing) if standing else None
        supports = [each for each in record.supports if not each.beside] if record else []
        on = [part for part in self.vehicle.parts if part not in self.off]
        if not supports or all(self.vehicle.parts[part].cg_m is None for part in on):
            return _Look()
        weights = [self.part_weights[part] for part in on]
        weights += [
            weight
            for fluid, weight in self.fluid_weights.items()
            if fluid not in self.dry and self.vehicle.fluids[fluid].part not in self.off
        ]
        mass = sum(weight for weight, _ in weights)
        if mass <= 1e-6:
            return _Look()
        spot = (
            sum(weight * at[0] for weight, at in weights) / mass,
            sum(weight * at[1] for weight, at in weights) / mass,
        )
        self.anchor = self._anchor(on)
        counting = [each for each in supports if self._counts(each.bears_on)]
        if not counting:
            return _Look(-inf)
        margin = _inside(spot, [each.at_m for each in counting])
        loads = _loads(spot, [each.at_m for each in counting]) if margin > 0 else []
        return _Look(margin, _too_much(counting, [share * mass for share in loads]))

    def _anchor(self, on: list[PartId]) -> PartId | None:
        there = set(on)
        for goal in self.vehicle.goals.values():
            if goal.datum in there:
                return goal.datum
        structure = [p for p in on if self.vehicle.parts[p].kind is PartKind.STRUCTURE]
        return max(structure or on, key=lambda part: self.things.parts[part].mass, default=None)

    def _counts(self, part: PartId) -> bool:
        """Whether a part is on, and one with the vehicle."""
        if part in self.off or part not in self.vehicle.parts:
            return False
        if part not in self.jointed or part == self.anchor:
            return True
        known = self.trail.get(part)
        if known and known[-1][1] == self.anchor and all(self._leads(*each) for each in known):
            return True
        self.trail[part] = self._walk(part)
        return bool(self.trail[part])

    def _leads(self, joint: JointId, other: PartId) -> bool:
        return joint in self.made and other not in self.off

    def _walk(self, part: PartId) -> list[tuple[JointId, PartId]]:
        """Walk stiff joints from a part until the anchor is met; gives the way, none if none."""
        came: dict[PartId, tuple[JointId, PartId]] = {}
        queue = [part]
        for here in queue:
            for joint, other in self.ways.get(here, ()):
                if other not in came and other != part and self._leads(joint, other):
                    came[other] = joint, here
                    queue.append(other)
                    if other == self.anchor:
                        return self._way_back(part, other, came)
        return []

    def _way_back(
        self, part: PartId, end: PartId, came: dict[PartId, tuple[JointId, PartId]]
    ) -> list[tuple[JointId, PartId]]:
        way = []
        while end != part:
            joint, before = came[end]
            way.append((joint, end))
            end = before
        return way[::-1]

    # -- changes of standing ------------------------------------------------------------------

    def _better(self, step: Step, came_from: StandingId | None) -> StandingId | None:
        """Find a standing that the step can be done in, that can be got to, and that holds it."""
        for standing in self.vehicle.standings:
            if standing != step.standing and self._suits(step, standing):
                ground = Ground(self.vehicle, came_from, Plan(None, (), 0.0, 0.0))
                _, troubles = ground.change(replace(step, standing=standing), self.off)
                if not troubles and self._look(standing).is_good(self.least):
                    return standing
        return None

    def _suits(self, step: Step, standing: StandingId) -> bool:
        """Whether what is described lets the step be done like this."""
        kind, identity = split_ref(step.what)
        supports = self.vehicle.standings[standing].supports
        hidden = {part for support in supports for part in support.hides}
        if kind == "job":
            job = self.vehicle.jobs.get(JobId(identity))
            return job is None or not job.standings or standing in job.standings
        if kind == "joint":
            joint = self.vehicle.joints.get(JointId(identity))
            if joint is None or all(part in self.off for part in joint.parts):
                return True
            if not hidden.isdisjoint(part for part in joint.parts if part not in self.off):
                return False
            first = joint.crack_in if self.strips and joint.id not in self.cracked else None
            if step.action is Action.CRACK or first is not None:
                return joint.crack_in == standing
            return not joint.standings or standing in joint.standings
        parts = self._members(kind, identity) if kind in ("part", "assembly") else ()
        records = [self.vehicle.parts[part] for part in parts if part in self.vehicle.parts]
        borne = {support.bears_on for support in supports if not support.beside}
        return all(
            (not part.standings or standing in part.standings)
            and part.id not in hidden
            and (part.id not in borne or not self.strips)
            for part in records
        )

    # -- words --------------------------------------------------------------------------------

    def _name(self, standing: StandingId) -> str:
        return f'"{self.vehicle.standings[standing].name}"'

    def _tell(self, look: _Look) -> str:
        if look.over:
            return f"with too much on {' and '.join(sorted(look.over))}"
        if look.margin is None or look.margin == -inf:
            return "on nothing that is one with the vehicle"
        where = "inside" if look.margin >= 0 else "outside"
        return f"{abs(look.margin):.3f} m {where} its supports"


def _too_much(supports: Sequence[Support], loads: Sequence[float]) -> frozenset[str]:
    return frozenset(
        support.id
        for support, load in zip(supports, loads, strict=False)
        if support.rating_kg is not None and load > support.rating_kg + _SAME_KG
    )


def _inside(spot: Spot, feet: list[Spot]) -> float:
    """Give how far a spot is inside the feet: the least distance to a line with all on one side.

    Outside, the distance to the nearest stretch between two feet, as a negative number.
    """
    lines: list[float] = []
    stretches = [hypot(spot[0] - x, spot[1] - y) for x, y in feet]
    for a, b in combinations(feet, 2):
        along = (b[0] - a[0], b[1] - a[1])
        length = hypot(*along)
        if not length:
            continue
        aside = [_aside(a, along, foot) / length for foot in feet]
        here = _aside(a, along, spot) / length
        if max(aside) > _FLAT_M and min(aside) > -_FLAT_M:
            lines.append(here)
        elif min(aside) < -_FLAT_M and max(aside) < _FLAT_M:
            lines.append(-here)
        share = ((spot[0] - a[0]) * along[0] + (spot[1] - a[1]) * along[1]) / length**2
        if 0 < share < 1:
            stretches.append(abs(here))
    if lines and min(lines) >= 0:
        return min(lines)
    return -min(stretches)


def _aside(a: Spot, along: Spot, point: Spot) -> float:
    return along[0] * (point[1] - a[1]) - along[1] * (point[0] - a[0])


def _loads(spot: Spot, feet: list[Spot]) -> list[float]:
    """Share the weight out as a plane over the feet that press; what would pull lifts off [-]."""
    tried: set[frozenset[int]] = set()
    pressing = frozenset(range(len(feet)))
    while pressing not in tried and len(pressing) > 2:
        tried.add(pressing)
        shares = _plane_shares(spot, feet, pressing)
        now = frozenset(at for at, share in enumerate(shares) if share >= -_NOTHING)
        if now == pressing and _balances(spot, feet, shares, now):
            return [max(0.0, share) for share in shares]
        pressing = now
    for count in range(len(feet), 2, -1):
        for some in map(frozenset, combinations(range(len(feet)), count)):
            shares = _plane_shares(spot, feet, some)
            now = frozenset(at for at, share in enumerate(shares) if share >= -_NOTHING)
            if some == now and _balances(spot, feet, shares, now):
                return [max(0.0, share) for share in shares]
    return []


def _balances(spot: Spot, feet: list[Spot], shares: list[float], some: frozenset[int]) -> bool:
    """Whether these shares carry all of it, and its moments: feet in a line may not."""
    sums = [sum(shares[at] for at in some)]
    sums += [sum(shares[at] * feet[at][axis] for at in some) for axis in (0, 1)]
    return all(abs(a - b) <= _SAME_M for a, b in zip(sums, (1.0, *spot), strict=True))


def _plane_shares(spot: Spot, feet: list[Spot], pressing: frozenset[int]) -> list[float]:
    """Solve the three balances for a plane of loads over some feet; read it off at all."""
    rows = [(1.0, *feet[at]) for at in sorted(pressing)]
    wanted = (1.0, *spot)
    plane = solve(
        [[sum(row[i] * row[j] for row in rows) for j in range(3)] + [wanted[i]] for i in range(3)]
    )
    return [plane[0] + plane[1] * x + plane[2] * y for x, y in feet]
