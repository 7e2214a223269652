"""What the standing need not change over goes on behind the change: rule 19 (d) of the rebuild."""

from collections.abc import Sequence

from putback.planning.plan import Action
from putback.planning.rebuild.network import Network
from putback.planning.rebuild.placed import Order
from putback.vehicle.ids import StandingId

_PLAIN = frozenset({Action.PUT_ON, Action.MAKE, Action.TIGHTEN})


def behind_the_change(
    network: Network, order: Order
) -> Sequence[tuple[int, StandingId | None]] | None:
    """Move one unit behind a change of standing that it is in the air at; none if none can.

    Gives the steps by number up to that unit, and how the vehicle stands for each; what comes
    then is to be found anew, for it may be fastened there and then.
    """
    steps = [(network.index[each.node], each.standing) for each in order.placed]
    for at, air in order.over:
        for number in range(at):
            unit = network.units.get(steps[number][0])
            if unit and not air.isdisjoint(unit.parts) and _could_wait(network, steps, number, at):
                moved = steps[number][0], steps[at][1]
                return [*steps[:number], *steps[number + 1 : at], moved]
    return None


def _could_wait(
    network: Network, steps: Sequence[tuple[int, StandingId | None]], number: int, at: int
) -> bool:
    """Whether a unit could go on after all up to a change, as the vehicle stands then."""
    node, standing = steps[number][0], steps[at][1]
    unit, between = network.units[node], [each for each, _ in steps[number + 1 : at]]
    may, leads_to = network.may_in(standing), network.leads_to[node]
    if (may is not None and node not in may) or any(leads_to >> each & 1 for each in between):
        return False
    off = set(network.work.off)
    for each, _ in steps[:number]:
        if each in network.units:
            off.difference_update(network.units[each].parts)
    for each in between:
        other = network.units.get(each)
        if network.nodes[each].action not in _PLAIN:
            return False
        if other is not None:
            if not unit.touches.isdisjoint(other.parts) or off.issuperset(other.touches):
                return False
            off.difference_update(other.parts)
    here, stands = steps[at - 1][1], network.stands
    return here is None or standing in stands.ways(here, stands.can_enter(off))
