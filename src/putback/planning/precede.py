"""What must precede each step of a strip, so that somebody may take them in another order.

For whoever cannot plan where they stand: a phone without a connection. Every order that keeps to
what is said here breaks no rule of ``docs/planning-rules.md``, its costs apart. Three things are
said of a step: its *stint* (the steps between two changes of standing, which stay in their
order), what must be done before it by the facts of the vehicle, one of several where one
suffices, and what must be before it so that whatever its plan lets go is let go by no other step.

The last rests on this. Let H be the parts that a step of the plan lets go. If every other step
that touches H, or a run on it, keeps its place before or after that step, then by induction over
the plan, backwards, each part is let go by the same step in every order: as long as that step is
not done, the joints by which the part led to it stand, and so do those on its other side. So what
was to be propped is, and nothing else comes down.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

from putback.logbook.fluids import pours_of
from putback.logbook.state import State
from putback.planning.held.holding import Hold, Links
from putback.planning.known import Known
from putback.planning.plan import USUAL, Action, Because, PlanSettings, Step
from putback.planning.posing.pose import pose
from putback.planning.posing.problem import Clause, Kind, Problem
from putback.planning.weight.poise import Poise, is_overloaded
from putback.vehicle.goal import Goal
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
from putback.vehicle.masses import Heft
from putback.vehicle.vehicle import Vehicle

Needs = tuple[tuple[int, ...], ...]
"""Of each of these, one step at least is done before; of an empty one none can be."""


@dataclass(frozen=True, slots=True)
class Precedence:
    """What must precede a step; steps are counted from 0."""

    stint: int
    """All steps of the stints before are done first."""
    needs: Needs
    visit: int | None = None
    """Steps of one visit are done one after another: once begun, nothing comes between them."""


def precede_strip(
    vehicle: Vehicle,
    state: State,
    goal: Goal,
    steps: Sequence[Step],
    settings: PlanSettings = USUAL,
) -> tuple[Precedence, ...]:
    """Say of each step of a strip what must precede it.

    Parameters
    ----------
    vehicle : Vehicle
        What the vehicle is made of.
    state : State
        What is done.
    goal : Goal
        Where the strip goes.
    steps : sequence of Step
        Of its plan, those that are still to be done.
    settings : PlanSettings
        How surely the vehicle is to stand.
    """
    problem = pose(vehicle, state, {*goal.on, goal.datum})
    at = _Nodes(problem, state, steps)
    touches = tuple(_touches(vehicle, state, steps))
    stints = tuple(stints_of(steps))
    needs: list[dict[tuple[int, ...], None]] = [dict.fromkeys(at.facts(n)) for n in at.numbers]
    for first, then in (
        *_turning(vehicle, steps, stints),
        *_let_go(touches, stints),
        *_weighty(problem, steps, stints, touches, settings),
    ):
        needs[then].setdefault((first,))
    return tuple(Precedence(stint, tuple(of)) for stint, of in zip(stints, needs, strict=True))


def stints_of(steps: Iterable[Step]) -> Iterator[int]:
    """Number the stretches between two changes of standing, step by step."""
    stint, before = 0, None
    for at, step in enumerate(steps):
        stint += bool(at) and step.standing != before
        before = step.standing
        yield stint


# -- facts ----------------------------------------------------------------------------------------


class _Nodes:
    """Which node of the problem each step is, and what facts ask for before it."""

    def __init__(self, problem: Problem, state: State, steps: Sequence[Step]) -> None:
        self.problem = problem
        self.steps = steps
        self.numbers = range(len(steps))
        self.step_of: dict[int, int] = {}
        """The step that does what a node stands for."""
        self.node_of: dict[int, int] = {}
        self.cracks = {s.what: n for n, s in enumerate(steps) if s.action is Action.CRACK}
        taken: set[Ref] = set()
        off = {part: each.whole for part, each in state.parts.items() if each.is_off}
        for number, step in enumerate(steps):
            if step.action is Action.CRACK:
                continue
            node = self._node(step, taken, off)
            if node is not None:
                self.step_of[node] = number
                self.node_of[number] = node
                if step.action is Action.TAKE_OFF:
                    taken.add(step.what)

    def _node(
        self, step: Step, taken: set[Ref], off: dict[PartId, AssemblyId | None]
    ) -> int | None:
        """The node of a step; a joint is undone on the bench once its whole is out."""
        kind, identity = split_ref(step.what)
        nodes = self.problem.nodes
        if kind == "assembly":
            members = self.problem.vehicle.assemblies.get(AssemblyId(identity))
            left = [p for p in members.parts if p not in off] if members else []
            found = self.problem.providers.get(part_ref(left[0]), ()) if left else ()
            return next((at for at in found if nodes[at].what == step.what), None)
        found = self.problem.providers.get(step.what, ())
        if kind == "part":
            return next((at for at in found if nodes[at].kind is Kind.PART), None)
        if kind == "joint":
            bench = (at for at in found if nodes[at].kind is Kind.BENCH)
            out = next((at for at in bench if nodes[at].unit in {None, *taken}), None)
            on = next((at for at in found if nodes[at].kind is Kind.UNDO), None)
            return on if out is None else out
        return next(iter(found), None)

    def facts(self, number: int) -> Iterator[tuple[int, ...]]:
        """What facts ask for before a step."""
        node = self.node_of.get(number)
        if node is None:
            return
        for clause in self.problem.nodes[node].clauses:
            yield from self._clause(number, clause)
        for order in self.problem.orders_onto.get(node, ()):
            if order.first in self.step_of and self.step_of[order.first] != number:
                yield (self.step_of[order.first],)
        if self.steps[number].what in self.cracks:
            yield (self.cracks[self.steps[number].what],)

    def _clause(self, number: int, clause: Clause) -> Iterator[tuple[int, ...]]:
        if clause.cause.because in (Because.STANDING, Because.CRACK_FIRST):
            return  # by the stints, and by the step that cracks it
        parted = [at for at in clause.any_of if self.problem.nodes[at].kind is Kind.PARTED]
        if not parted:
            yield tuple(sorted({self.step_of[at] for at in clause.any_of if at in self.step_of}))
            return
        ways = [
            [
                way
                for inner in self.problem.nodes[at].clauses
                for way in self._clause(number, inner)
            ]
            for at in parted
        ]
        in_time = [way for way in ways if all(min(each, default=number) < number for each in way)]
        yield from next(iter(in_time), [()])


# -- temporary supports ---------------------------------------------------------------------------


def _turning(
    vehicle: Vehicle, steps: Sequence[Step], stints: Sequence[int]
) -> Iterator[tuple[int, int]]:
    """Where something begins or ends to bear for a while, all stays before or behind it."""
    ends = {ref for each in vehicle.temporary_supports.values() for ref in (each.first, each.last)}
    turning = [n for n, step in enumerate(steps) if not ends.isdisjoint(_clears(vehicle, step))]
    for number in turning:
        for other in range(len(steps)):
            if other != number and stints[other] == stints[number]:
                yield (other, number) if other < number else (number, other)


def _clears(vehicle: Vehicle, step: Step) -> Iterator[Ref]:
    """All that a step clears."""
    if step.action is Action.CRACK:
        return
    yield step.what
    yield from map(part_ref, _parts_off(vehicle, step))


def _parts_off(vehicle: Vehicle, step: Step) -> tuple[PartId, ...]:
    """The parts that a step takes off."""
    kind, identity = split_ref(step.what)
    if step.action is not Action.TAKE_OFF:
        return ()
    if kind == "part":
        return (PartId(identity),)
    whole = vehicle.assemblies.get(AssemblyId(identity))
    return whole.parts if whole is not None else ()


# -- what is let go -------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class _Touch:
    """The parts that a step touches, by number, and whether it lets something go."""

    parts: frozenset[int]
    lets_go: bool
    frees_feet: bool = False
    """Whether something that carries it is no longer one with the rest."""


def _let_go(touches: Sequence[_Touch], stints: Sequence[int]) -> Iterator[tuple[int, int]]:
    """Keep what touches the same things in order, where one of the two lets something go."""
    by_part: dict[int, list[int]] = {}
    for then, touch in enumerate(touches):
        before = {
            first
            for part in touch.parts
            for first in by_part.get(part, ())
            if stints[first] == stints[then] and (touch.lets_go or touches[first].lets_go)
        }
        yield from ((first, then) for first in sorted(before))
        for part in touch.parts:
            by_part.setdefault(part, []).append(then)


def _touches(vehicle: Vehicle, state: State, steps: Sequence[Step]) -> Iterator[_Touch]:
    """Go through the steps, and find what each touches and lets go."""
    known = Known(vehicle, state)
    links = Links(vehicle, known.made, known.off)
    supports = vehicle.temporary_supports.values()
    cleared: set[Ref] = {
        ref for each in supports for ref in (each.first, each.last) if known.is_cleared(ref)
    }
    holds = (Hold(links), Hold(links))  # by what stands under it, and by the anchor
    poise = Poise(vehicle, known.off)
    standing: StandingId | None = None
    for at, step in enumerate(steps):
        if not at or step.standing != standing:
            standing = step.standing
            holds[0].rest_on(links.under(standing))
        anchor = poise.anchor
        ground = links.numbers([anchor] if anchor is not None else [])
        if holds[1].ground != ground:
            holds[1].rest_on(ground)
        borne = [e.bears_on for e in supports if e.first in cleared and e.last not in cleared]
        if holds[0].borne != links.numbers(borne):
            holds[0].borne = links.numbers(borne)
        kind, identity = split_ref(step.what)
        parts = _parts_off(vehicle, step)
        touched = set(links.numbers(parts))
        frees_feet = False
        lets_go = anchor is not None and anchor in parts
        joint = links.joint_at.get(JointId(identity)) if kind == "joint" else None
        if joint is not None and step.action is not Action.CRACK:
            touched |= set(links.parts_of[joint])
            for hold in holds:
                gone = _released(hold, joint)
                lets_go = lets_go or bool(gone)
                frees_feet = hold is holds[1] and not gone.isdisjoint(links.under(standing))
                touched |= gone
                hold.undo(JointId(identity))
            touched |= _runs_on(holds[0], touched) if lets_go else set()
        for hold in holds:
            hold.take_off(parts)
        for part in parts:
            poise.take_off(part)
        cleared.update(_clears(vehicle, step))
        yield _Touch(frozenset(touched), lets_go, frees_feet)


def _released(hold: Hold, joint: int) -> set[int]:
    """The parts that a joint lets go, or that swing on one other joint once it is undone."""
    links = hold.links
    if links.is_loose[joint] or not hold.made[joint]:
        return set()
    gone = set[int]().union(*hold.copy().lets_go(joint))
    for part in links.parts_of[joint]:
        if hold.on[part] and part not in gone and hold.is_held(part):
            for hinge in hold.copy().hinges(joint, part, range(len(links.joints))):
                gone |= {part, *links.parts_of[hinge]}
    return gone


def _runs_on(hold: Hold, parts: Iterable[int]) -> set[int]:
    """The runs that share a joint with parts."""
    links = hold.links
    return {
        other
        for part in parts
        for joint in links.loose_of[part]
        for other in links.parts_of[joint]
        if links.is_run[other]
    }


# -- how it stands --------------------------------------------------------------------------------


def _weighty(
    problem: Problem,
    steps: Sequence[Step],
    stints: Sequence[int],
    touches: Sequence[_Touch],
    settings: PlanSettings,
) -> Iterator[tuple[int, int]]:
    """Keep what takes weight away in order, in stints in which another order might tip it."""
    if problem.poise is None:
        return
    vehicle, poise = problem.vehicle, problem.poise.copy()
    drains = pours_of(vehicle).drains
    for stint in range(max(stints, default=-1) + 1):
        here = [n for n, each in enumerate(stints) if each == stint]
        hefts: list[Heft] = []
        chained: list[int] = []
        after = poise.copy()
        for number in here:
            parts = [p for p in _parts_off(vehicle, steps[number]) if after.is_on(p)]
            kind, identity = split_ref(steps[number].what)
            fluids = list(drains.get(JobId(identity), ())) if kind == "job" else []
            held = [f for f, each in vehicle.fluids.items() if each.part in parts]
            hefts += [poise.hefts.parts[part] for part in parts]
            hefts += poise.fluid_hefts((*fluids, *held))
            if parts or fluids or touches[number].frees_feet:
                chained.append(number)
            for part in parts:
                after.take_off(part)
            for fluid in fluids:
                after.drain(fluid)
        told = [n for n in here if steps[n].add_support]
        frees = any(touches[n].frees_feet for n in here)
        standing = steps[here[0]].standing
        if frees or told or not is_steady(poise, standing, hefts, settings.least_margin_m):
            yield from pairwise(chained)
        for number in told:
            yield from ((min(n, number), max(n, number)) for n in here if n != number)
        poise = after


def is_steady(
    poise: Poise, standing: StandingId | None, hefts: Sequence[Heft], least_margin_m: float
) -> bool:
    """Whether it stands so, whatever of these weights is gone by then and whatever is not.

    Of each edge of the polygon round the feet: the moment about a line ``least_margin_m`` inside
    it stays positive though all is gone that helps to keep it so. Of each foot: what it carries
    stays within its rating though all is gone that relieves it, and it does not lift off.
    """
    footing, at = poise.footing(standing), poise.cg_m
    if footing.margin_m is None or at is None:
        return True
    if not footing.holds(least_margin_m):
        return False
    feet, mass = poise.feet(footing.supports), poise.mass_kg
    for edge in feet.edges:
        inside = [(h.mass_kg, edge.inside_m(h.cg_m[:2]) - least_margin_m) for h in hefts]
        moment = mass * (edge.inside_m(at[:2]) - least_margin_m)
        if moment < sum(kg * arm for kg, arm in inside if arm > 0):
            return False
    if all(each.rating_kg is None for each in footing.supports):
        return True
    rates = feet.load_rates(at[:2])
    for support, load, (own, by_x, by_y) in zip(
        footing.supports, footing.loads_kg, rates, strict=True
    ):
        shares = [h.mass_kg * (own + by_x * h.cg_m[0] + by_y * h.cg_m[1]) for h in hefts]
        most = load - sum(share for share in shares if share < 0)
        least = load - sum(share for share in shares if share > 0)
        if least < 0 or is_overloaded(most, support.rating_kg):
            return False
    return True
