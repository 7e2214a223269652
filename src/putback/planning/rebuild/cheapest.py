"""The cheapest of the orders that several rules of thumb give, and what can be made of it."""

from collections.abc import Sequence

from putback.planning.held.lifting import Lifting
from putback.planning.rebuild.behind import behind_the_change
from putback.planning.rebuild.hands import Keep
from putback.planning.rebuild.improve import improve
from putback.planning.rebuild.network import Network
from putback.planning.rebuild.order import Scheduling, Thumb
from putback.planning.rebuild.pays import MANY_STEPS, PAYS
from putback.planning.rebuild.placed import Order
from putback.progress import Progress
from putback.vehicle.ids import StandingId


def find_order(network: Network, progress: Progress, *, quick: bool = False) -> Order:
    """Find the cheapest order that the rules of thumb give, and improve it.

    ``quick`` tries few of them, and improves little.

    Raises
    ------
    Stuck
        If no standing that can be entered allows what is left.
    """
    is_many = len(network.nodes) > MANY_STEPS
    rules = PAYS[2:] if quick else PAYS[:2] if is_many else PAYS
    first, *others = (Keep.TOOL,) if quick or is_many else (Keep.TOOL, Keep.TOOL_ALONE, Keep.ALONE)
    lifting, most = Lifting(network.work.vehicle), len(rules) + len(others)
    found: list[tuple[float, int, Order, Thumb]] = []

    def run(thumb: Thumb, begun: Sequence[tuple[int, StandingId | None]] = ()) -> Order:
        progress.step(min(len(found), most), most, "putting the steps in order")
        order = Scheduling(network, thumb, lifting).order(begun)
        found.append((order.setup_minutes, len(found), order, thumb))
        return order

    for pays in rules:
        run(Thumb(pays, first))
    pays = min(found)[3].pays
    for keep in others:
        run(Thumb(pays, keep))
    _, _, order, thumb = min(found)
    while begun := behind_the_change(network, order):
        order = run(thumb, begun)
    return improve(network, order, lifting, progress, quick=quick)


def first_order(network: Network) -> Order:
    """Find the order that the first of the rules of thumb gives.

    Raises
    ------
    Stuck
        If no standing that can be entered allows what is left.
    """
    lifting = Lifting(network.work.vehicle)
    return Scheduling(network, Thumb(PAYS[0], Keep.TOOL), lifting).order()
