"""Plan how everything goes back: not the strip turned round, but built from what still holds true.

`read_work` says what has to be done, `find_facts` what comes before what, `settle` which of it
gives way and which way is taken, `find_order` puts it in one order, `StepWriter` writes it down.
"""

from collections.abc import Callable, Collection, Mapping
from dataclasses import dataclass, replace
from functools import partial
from math import fsum

from putback.errors import ImpossibleGoal
from putback.logbook.state import State
from putback.planning.ordering.put_off import in_force
from putback.planning.plan import USUAL, Plan, PlanSettings
from putback.planning.posing.fact import Fact, Wording
from putback.planning.rebuild.backwards import label, what_contradicts
from putback.planning.rebuild.bound import least_setup
from putback.planning.rebuild.cheapest import find_order, first_order
from putback.planning.rebuild.edges import Edge, Either, Strength, after_of, reached_from
from putback.planning.rebuild.facts import find_facts
from putback.planning.rebuild.graph import Contradiction, Settled, settle
from putback.planning.rebuild.hold_points import find_hold_points
from putback.planning.rebuild.network import Network, ranks
from putback.planning.rebuild.placed import Order, Stuck
from putback.planning.rebuild.proven import way_to_take
from putback.planning.rebuild.put_off import put_off_nodes, saying_so
from putback.planning.rebuild.reading import read_work
from putback.planning.rebuild.stages import trial_build
from putback.planning.rebuild.stands import Stands
from putback.planning.rebuild.steps import StepWriter, waits_for
from putback.planning.rebuild.touch import Unit, find_units
from putback.planning.rebuild.way_out import NoOrder, shut_out, ways_out
from putback.planning.rebuild.work import Node, Work
from putback.planning.weight.contradicted import saying_what_contradicts
from putback.progress import NoProgress, Progress
from putback.vehicle.ids import JointId, Ref, split_ref
from putback.vehicle.vehicle import Vehicle

GOAL = "everything back on"


@dataclass(frozen=True, slots=True)
class Posed:
    """What has to be done and what orders it: to be put in order, and written down."""

    state: State
    units: Mapping[Node, Unit]
    edges: tuple[Edge, ...]
    trial: frozenset[Node]
    put_off: Collection[Ref]
    network: Network

    def otherwise(self, settings: PlanSettings, late: frozenset[Node]) -> Network:
        """Give the same steps at other prices, or with other steps left for late."""
        return Network(
            self.network.work,
            self.network.stands,
            self.units,
            self.edges,
            settings,
            late,
            self.trial,
            self.network.hold_points,
        )

    def written(self, order: Order) -> Plan:
        """Write an order down as a plan; its set-up is priced as usual."""
        network = self.network
        work, vehicle = network.work, network.work.vehicle
        writer = StepWriter(
            work, self.edges, order, self.trial, network.settings, network.fastenings
        )
        steps = saying_so(vehicle, self.state, writer.steps(), self.put_off)
        steps = saying_what_contradicts(vehicle, self.state, steps)
        minutes = fsum(step.minutes for step in steps)  # the same in whatever order
        unavoidable = minutes + least_setup(network)
        return Plan(
            goal=None,
            steps=steps,
            work_minutes=minutes,
            setup_minutes=order.setup_minutes,
            bound_minutes=unavoidable,
            waiting=work.waiting,
            start=order.start,
            unavoidable_minutes=unavoidable,
        )


def plan_rebuild(
    vehicle: Vehicle,
    state: State,
    settings: PlanSettings = USUAL,
    progress: Progress = NoProgress(),
) -> Plan:
    """Plan how everything that is off, undone or unfinished is put back.

    Parameters
    ----------
    vehicle : Vehicle
        What the vehicle is made of.
    state : State
        What the logbook says is done; a rebuild begun goes on from where it stands.
    settings : PlanSettings
        What set-up costs, [minutes], how surely the vehicle is to stand, [m], and the day.
    progress : Progress
        Told how far the work is; may stop it.

    Returns
    -------
    Plan
        Steps under the rules of the rebuild in ``docs/planning-rules.md``, times in [minutes].

    Raises
    ------
    ImpossibleGoal
        If the facts contradict each other; it names those that do, and what would free it.
    """
    try:
        posed = _posed(vehicle, state, settings, progress)
        return posed.written(_ordered(posed.network, partial(find_order, progress=progress)))
    except NoOrder as none:
        raise _refusal(vehicle, state, settings, progress, none) from none


def pose(vehicle: Vehicle, state: State, settings: PlanSettings, progress: Progress) -> Posed:
    """Find what has to be done and what comes before what; all as for `plan_rebuild`.

    Raises
    ------
    ImpossibleGoal
        If the facts contradict each other.
    """
    try:
        return _posed(vehicle, state, settings, progress)
    except NoOrder as none:
        raise _refusal(vehicle, state, settings, progress, none) from none


def what_orders(vehicle: Vehicle, state: State) -> tuple[Work, Settled]:
    """Give what has to be done, and what orders it once all that gives way has done so.

    Raises
    ------
    ImpossibleGoal
        If the facts contradict each other.
    """
    work = read_work(vehicle, state)
    try:
        return work, _settle(work, Stands(work), find_units(work))
    except NoOrder as none:
        raise _refusal(vehicle, state, USUAL, NoProgress(), none) from none


def _posed(vehicle: Vehicle, state: State, settings: PlanSettings, progress: Progress) -> Posed:
    """Do as `pose`, but leave it to others to say what would have to be otherwise.

    Raises
    ------
    NoOrder
        If the facts contradict each other.
    """
    work = read_work(vehicle, state)
    progress.step(0, None, "finding what comes before what")
    stands = Stands(work)
    units = find_units(work)
    settled = _settle(work, stands, units)
    put_off = in_force(state, settings.today)
    late = _late(work, settled.edges, put_off)
    trial = trial_build(work, settled.edges)
    holds = find_hold_points(work, settled.edges, trial)
    network = Network(work, stands, units, settled.edges, settings, late, trial, holds)
    return Posed(state, units, settled.edges, trial, put_off, network)


def _ordered(network: Network, find: Callable[[Network], Order]) -> Order:
    """Put the steps in order.

    Raises
    ------
    NoOrder
        If no standing that can be entered allows what is left.
    """
    try:
        return find(network)
    except Stuck as stuck:
        facts = shut_out(network.work, network.stands, stuck.ready)
        raise NoOrder(tuple(_why_stuck(stuck, network)), facts, smallest=True) from stuck


def _refusal(
    vehicle: Vehicle, state: State, settings: PlanSettings, progress: Progress, none: NoOrder
) -> ImpossibleGoal:
    """Say why there is no order, and what would have to be otherwise."""

    def bars(other: Vehicle) -> frozenset[Fact] | None:
        try:
            posed = _posed(other, replace(state, vehicle=other), settings, progress)
            _ordered(posed.network, first_order)
        except NoOrder as more:
            return more.facts
        return None

    say = Wording(vehicle, going_back=True)
    changes = ways_out(vehicle, none.facts, bars, progress)
    told = tuple(map(say.all_otherwise, changes))
    return ImpossibleGoal(none.reasons, GOAL, none.smallest, told)


def _settle(work: Work, stands: Stands, units: Mapping[Node, Unit]) -> Settled:
    """Settle the facts; a joint that cannot be made on the bench is made on the vehicle.

    Raises
    ------
    NoOrder
        If they contradict each other.
    """
    latest = ranks(work)
    off_bench: frozenset[JointId] = frozenset()
    pairwise = False
    taken: dict[Either, tuple[Edge, ...]] = {}
    while True:
        facts = find_facts(work, stands, off_bench, pairwise=pairwise, taken=taken)
        try:
            settled = settle(work, facts, latest, units)
            if all(edge.strength is not Strength.PROVEN for edge in settled.given_way):
                return settled
            way = way_to_take(facts, latest) if pairwise else {}
            if pairwise and not way:
                return settled
            taken |= way
            pairwise = True
        except Contradiction as contradiction:
            moved = {
                JointId(split_ref(edge.first.what)[1])
                for edge in contradiction.edges
                if edge.strength is Strength.BENCH
            }
            if not moved:
                raise what_contradicts(work, facts, contradiction.edges) from contradiction
            off_bench |= moved


def _late(work: Work, edges: tuple[Edge, ...], put_off: Collection[Ref]) -> frozenset[Node]:
    """What waits for something not here yet, or is put off, and all that follows it."""
    waiting = [node for node in work.nodes if waits_for(work, node)]
    waiting += put_off_nodes(work, put_off)
    return frozenset(reached_from(waiting, after_of(edges) if waiting else {}))


def _why_stuck(stuck: Stuck, network: Network) -> list[str]:
    """Say of each step that waits for nothing else how the vehicle would have to stand for it."""
    work, stands = network.work, network.stands
    told = []
    for node in stuck.ready:
        allowed = stands.allowed(node)
        names = " or ".join(f"“{stands.all[each].name}”" for each in sorted(allowed or ()))
        where = f"only {names}, which cannot be entered then" if names else "in no standing"
        told.append(f"{label(work, node)}: {where}")
    return told or [f"{label(work, node)}: left over" for node in stuck.left[:5]]
