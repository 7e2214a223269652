"""Do without a change of standing: make what a bout holds in the standing before or after it."""

from collections.abc import Sequence
from dataclasses import replace

from putback.planning.ordering.price import CannotBeDone, Priced, price, total_minutes
from putback.planning.ordering.settle import settle
from putback.planning.plan import PlanSettings
from putback.planning.search.arrange import Bout, bouts_of
from putback.planning.search.field import Move, Rules
from putback.vehicle.ids import StandingId


def with_fewer_changes(
    rules: Rules, priced: Sequence[Priced], settings: PlanSettings
) -> tuple[Priced, ...]:
    """Give moves that work without the bouts that can be spared and cost more than they save."""
    best = tuple(priced)
    number = 0
    while number < len(bouts := bouts_of([(each.move, each.standing) for each in best])):
        fewer = _without(rules, bouts, number, settings)
        if fewer is not None and total_minutes(fewer) < total_minutes(best) - 1e-9:
            best, number = fewer, 0
        else:
            number += 1
    return best


def _without(
    rules: Rules, bouts: Sequence[Bout], number: int, settings: PlanSettings
) -> tuple[Priced, ...] | None:
    """Give the moves with one bout's made in the standing of a neighbour; ``None`` if none can."""
    known = {move: at for at, bout in enumerate(bouts) for move in bout.moves}
    for other in (number - 1, number + 1):
        if not 0 <= other < len(bouts):
            continue
        standing = bouts[other].standing
        if not all(_allows(rules, move, standing) for move in bouts[number].moves):
            continue
        changed = [*bouts]
        changed[number] = replace(bouts[number], standing=standing)
        placed = [(move, bout.standing) for bout in changed for move in bout.moves]
        settled = settle(rules, bouts_of(placed), known)
        try:
            if settled.works:
                return price(rules, bouts_of(settled.made), settings)
        except CannotBeDone:
            continue
    return None


def _allows(rules: Rules, move: Move, standing: StandingId | None) -> bool:
    """Whether a move may be made in a standing, if that alone is looked at."""
    node = rules.nodes[max(move, ~move)]
    return node.crack_in == standing if move < 0 else node.allows(standing)
