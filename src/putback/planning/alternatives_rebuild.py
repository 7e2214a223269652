"""Up to three other orders of the same rebuild, each with something to say for it.

The steps are those of the usual plan. They are put in order anew with helpers or walks counted
several times as dear, with what wants helpers left for last, or with one end of the vehicle first,
and are then priced as usual. `again.differ` tells from the plans alone what is gained.
"""

from collections.abc import Iterator
from contextlib import suppress
from dataclasses import dataclass, replace
from itertools import islice

from putback.logbook.state import State
from putback.planning.again.differ import differences, in_words
from putback.planning.alternatives import MOST, WORST, Alternative, offered
from putback.planning.plan import USUAL, Plan, PlanSettings
from putback.planning.rebuild.cheapest import find_order
from putback.planning.rebuild.edges import after_of, reached_from
from putback.planning.rebuild.network import Network
from putback.planning.rebuild.placed import Order, Placed, Stuck
from putback.planning.rebuild.planner import Posed, plan_rebuild, pose
from putback.planning.rebuild.work import Node
from putback.progress import NoProgress, Progress
from putback.vehicle.ids import ZoneId
from putback.vehicle.vehicle import Vehicle

_DEAR = 6.0
"""How many times as dear a thing counts of which less is wanted [-]."""
_TRIED = 6
"""Ways that are put in order, at the most."""


def rebuild_alternatives(
    vehicle: Vehicle,
    state: State,
    settings: PlanSettings = USUAL,
    progress: Progress = NoProgress(),
    *,
    usual: Plan | None = None,
) -> tuple[Alternative, ...]:
    """Give up to three plans of the rebuild that differ from the usual one, the quickest first.

    Parameters
    ----------
    vehicle, state, settings, progress
        As for `plan_rebuild`.
    usual : Plan, optional
        The plan to differ from, of the same steps; else that of `plan_rebuild`.

    Raises
    ------
    ImpossibleGoal, Stopped
        As `plan_rebuild` does.
    """
    base = usual or plan_rebuild(vehicle, state, settings, progress)
    posed = pose(vehicle, state, settings, progress)
    found: list[Alternative] = []
    orders: list[Order] = []
    for number, network in enumerate(islice(_ways(posed), _TRIED)):
        progress.step(number, _TRIED, "looking for other orders")
        with suppress(Stuck):
            order = find_order(network, progress, quick=True)
            order = _priced_as_usual(order, network, posed.network)
            plan = _sketched(base, order)
            told = differences(vehicle, base, plan)
            is_gain = any(each.is_gain for each in told)
            if is_gain and plan.total_minutes <= WORST * base.total_minutes:
                more = plan.total_minutes - base.total_minutes
                found.append(Alternative(plan, told, "", more))
                orders.append(order)
    best = offered(vehicle, found, MOST)
    return tuple(_in_full(posed, base, found[at], orders[at]) for at in best)


def _sketched(base: Plan, order: Order) -> Plan:
    """Put the steps of the usual plan in another order: enough to compare the two."""
    usual = {(step.action, step.what): step for step in base.steps}
    steps = tuple(
        replace(
            usual[each.node.action, each.node.what],
            standing=each.standing,
            setup_minutes=each.setup_minutes,
        )
        for each in order.placed
    )
    return replace(base, steps=steps, setup_minutes=order.setup_minutes, start=order.start)


def _in_full(posed: Posed, base: Plan, found: Alternative, order: Order) -> Alternative:
    """Write its plan down with all reasons, and what is to be said of it."""
    plan = posed.written(order)
    words = in_words(posed.network.work.vehicle, base, plan)
    return replace(found, plan=plan, words=words)


def _ways(posed: Posed) -> Iterator[Network]:
    """The same steps, asked for otherwise, one way after another.

    Where something is left for last already, as it is not here yet or put off, nothing else is.
    """
    usual = posed.network.settings
    late = frozenset(posed.network.nodes[each] for each in posed.network.late)
    helpers = replace(usual, helper_minutes=usual.helper_minutes * _DEAR)
    walks = replace(
        usual, zone_minutes=usual.zone_minutes * _DEAR, tool_minutes=usual.tool_minutes * _DEAR
    )
    for dear in (helpers, walks):
        yield posed.otherwise(dear, late)
    if late:
        return
    for last in (_with_helpers(posed), *_other_ends(posed)):
        last -= posed.trial  # the trial build comes first whatever is wanted
        if 0 < len(last) < len(posed.network.nodes):
            yield posed.otherwise(usual, last)


def _with_helpers(posed: Posed) -> frozenset[Node]:
    """What wants more than one person, and all that waits for it."""
    network = posed.network
    helped = [node for node, many in zip(network.nodes, network.helped, strict=True) if many]
    return frozenset(reached_from(helped, after_of(posed.edges)))


def _other_ends(posed: Posed) -> Iterator[frozenset[Node]]:
    """Of each zone, the one with most work first: all that it does not need."""
    network = posed.network
    work: dict[ZoneId, float] = {}
    in_it: dict[ZoneId, int] = {}
    for number, (zone, minutes) in enumerate(zip(network.zone, network.minutes, strict=True)):
        if zone is not None:
            work[zone] = work.get(zone, 0.0) + minutes
            in_it[zone] = in_it.get(zone, 0) | 1 << number
    for zone in sorted(work, key=lambda each: -work[each]):
        needed = network.all_up_to(in_it[zone])
        yield frozenset(n for at, n in enumerate(network.nodes) if at not in needed)


@dataclass(slots=True)
class _Walk:
    """Where the person is in an order, and what set-up each step was counted for."""

    zone: ZoneId | None = None
    tool: str = ""
    helped: bool = False

    def on_to(self, network: Network, at: int) -> tuple[bool, bool, bool]:
        """Go on to a step; tell whether zone and tool change and helpers are called."""
        zone, tool, helped = network.zone[at], network.tool[at], network.helped[at]
        told = (
            zone is not None and self.zone not in (None, zone),
            bool(tool) and self.tool not in ("", tool),
            helped and not self.helped,
        )
        self.zone = self.zone if zone is None else zone
        self.tool = tool or self.tool
        self.helped = helped
        return told


def _priced_as_usual(order: Order, asked: Network, usual: Network) -> Order:
    """The same order with its set-up as usual; to stand otherwise costs the same [minutes]."""
    walk = _Walk()
    placed = []
    dear, cheap = asked.settings, usual.settings
    for each in order.placed:
        walks, takes, calls = walk.on_to(usual, usual.index[each.node])
        over = (
            walks * (dear.zone_minutes - cheap.zone_minutes)
            + takes * (dear.tool_minutes - cheap.tool_minutes)
            + calls * (dear.helper_minutes - cheap.helper_minutes)
        )
        placed.append(Placed(each.node, each.standing, each.setup_minutes - over))
    setup = sum(each.setup_minutes for each in placed)
    return replace(order, placed=tuple(placed), setup_minutes=setup)
