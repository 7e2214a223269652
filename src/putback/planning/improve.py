"""Improve a sequence by moving blocks: a stay in a zone joins another stay in the same zone.

A *stay* is what is done in one zone without leaving it. As much of each stay as may is moved up
behind an earlier stay in its zone, or put off until a later one; the change is kept if all of the
sequence can still be done and costs less. The number of attempts is fixed, not the time, so that
the same problem gives the same plan everywhere.
"""

from collections.abc import Iterator, Sequence
from itertools import pairwise

from putback.planning.arrange import Bout, bouts_of
from putback.planning.field import Move, Rules
from putback.planning.plan import PlanSettings
from putback.planning.price import CannotBeDone, Priced, price, total_minutes
from putback.progress import NoProgress, Progress
from putback.vehicle.ids import StandingId

_ATTEMPTS = 150
"""How many changes are tried."""

_Placed = tuple[Move, StandingId | None]
_Stay = tuple[int, int]


def improve(
    rules: Rules,
    bouts: Sequence[Bout],
    settings: PlanSettings,
    attempts: int = _ATTEMPTS,
    progress: Progress = NoProgress(),
) -> tuple[Priced, ...]:
    """Move blocks as long as that saves time; gives the priced moves."""
    best = price(rules, bouts, settings)
    tried, found_better = 0, True
    while found_better:
        found_better = False
        for change in _changes(rules, [(each.move, each.standing) for each in best]):
            if tried == attempts:
                return best
            progress.step(tried, attempts, "improving the order")
            tried += 1
            try:
                priced = price(rules, bouts_of(change), settings)
            except CannotBeDone:
                continue
            if total_minutes(priced) < total_minutes(best) - 1e-9:
                best, found_better = priced, True
                break
    return best


def _changes(rules: Rules, placed: list[_Placed]) -> Iterator[list[_Placed]]:
    """Give sequences in which one stay has joined another."""
    needs, needed = _neighbours(rules, [move for move, _ in placed])
    stays: dict[str, list[_Stay]] = {}
    for zone, stay in _stays(rules, placed):
        stays.setdefault(zone, []).append(stay)
    for those in stays.values():
        for earlier, later in pairwise(those):
            up = _movable(range(*later), needs, range(earlier[1]))
            if up:
                yield _moved(placed, up, earlier[1], placed[earlier[1] - 1][1])
            off = _movable(range(*earlier)[::-1], needed, range(later[0], len(placed)))
            if off:
                yield _moved(placed, off, later[0], placed[later[0]][1])


def _stays(rules: Rules, placed: Sequence[_Placed]) -> Iterator[tuple[str, _Stay]]:
    """Where each stay begins and ends; what has no zone belongs to the stay it is done in."""
    begin, here = 0, None
    for at, (move, _) in enumerate(placed):
        zone = rules.nodes[max(move, ~move)].zone
        if zone is not None and zone != here:
            if here is not None:
                yield here, (begin, at)
            begin, here = at, zone
    if here is not None:
        yield here, (begin, len(placed))


def _neighbours(rules: Rules, moves: Sequence[Move]) -> tuple[list[list[int]], list[list[int]]]:
    """For each place, the places that must come before it and those that must come after."""
    place = {move: at for at, move in enumerate(moves)}
    needs: list[list[int]] = [[] for _ in moves]
    needed: list[list[int]] = [[] for _ in moves]
    for move, at in place.items():
        clauses = rules.steps_before(move) if move >= 0 else ()
        for any_of in (*clauses, (~move,)):
            first = min((place[by] for by in any_of if by in place), default=at)
            if first < at:
                needs[at].append(first)
                needed[first].append(at)
    return needs, needed


def _movable(places: range, bound_to: Sequence[Sequence[int]], clear: range) -> list[int]:
    """Of a stay, those places that may move together: bound to one another or to ``clear``."""
    moving: set[int] = set()
    for at in places:
        if all(other in moving or other in clear for other in bound_to[at]):
            moving.add(at)
    return sorted(moving)


def _moved(
    placed: Sequence[_Placed], these: Sequence[int], to: int, standing: StandingId | None
) -> list[_Placed]:
    """Put the moves at ``these`` places before place ``to``, in another standing."""
    taken = set(these)
    block = [(placed[at][0], standing) for at in these]
    before = [each for at, each in enumerate(placed[:to]) if at not in taken]
    after = [each for at, each in enumerate(placed[to:], to) if at not in taken]
    return before + block + after
