"""Wholes of which a piece hangs before they come off, whatever the order.

A joint inside a whole that is undone on the vehicle parts it into pieces. If all that holds a
piece is undone in standings other than those in which the whole may be lifted, the piece is in the
air while the vehicle is stood otherwise (rule 11): it had better come off by itself.
"""

from collections.abc import Collection, Iterator

from putback.planning.held.watch import Watch
from putback.planning.posing.problem import Kind, Problem
from putback.vehicle.ids import StandingId


def left_hanging(problem: Problem, chosen: Collection[int]) -> frozenset[int]:
    """Give the wholes among chosen nodes of which a piece would hang at a change of standing.

    What the vehicle stands on, what a temporary support bears on, and runs are left aside.
    """
    wholes = [index for index in chosen if problem.nodes[index].kind is Kind.WHOLE]
    if not wholes or len(problem.usable) < 2:
        return frozenset()
    watch = Watch(problem, chosen)
    borne = frozenset().union(*map(watch.links.under, problem.usable))
    borne |= {bearing.part for bearing in watch.bearings}

    def lifted_in(index: int) -> frozenset[StandingId]:
        """In which standings a whole may be lifted, and be held until then."""
        may = _standings(problem, index)
        for piece in _pieces(watch, watch.links.numbers(problem.nodes[index].parts)):
            ties = [_standings(problem, each) for each in _ties(watch, piece)]
            if ties and borne.isdisjoint(piece):
                may &= frozenset().union(*ties)
        return may

    return frozenset(index for index in wholes if not lifted_in(index))


def _standings(problem: Problem, index: int) -> frozenset[StandingId]:
    standings = problem.nodes[index].standings
    usable = frozenset(problem.usable)
    return usable if standings is None else usable & standings


def _pieces(watch: Watch, parts: frozenset[int]) -> Iterator[frozenset[int]]:
    """The pieces into which joints undone on the vehicle part a whole, but for its runs."""
    left = {part for part in parts if not watch.links.is_run[part]}
    while left:
        piece = {left.pop()}
        todo = list(piece)
        for part in todo:  # grows as it is gone through
            for joint, other in watch.links.stiff_of[part]:
                if other in left and joint not in watch.undone_by:
                    left.remove(other)
                    piece.add(other)
                    todo.append(other)
        yield frozenset(piece)


def _ties(watch: Watch, piece: Collection[int]) -> Iterator[int]:
    """The nodes that undo what holds a piece."""
    for part in piece:
        for joint, other in watch.links.stiff_of[part]:
            if other not in piece and joint in watch.undone_by:
                yield watch.undone_by[joint]
