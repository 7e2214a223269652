"""Smallest hitting sets: the fewest facts that have something in common with each of many sets."""

from collections.abc import Collection, Iterable
from typing import NamedTuple

from putback.planning.posing.fact import Fact
from putback.progress import NoProgress, Progress
from putback.solvers import Choice

_EFFORT = 8.0
"""When the solver is asked to be content, in its own count of work [-]."""
_PATIENCE_S = 15.0
"""Seconds allowed for each unit of it, however slow the machine is [s]."""


class Hitting(NamedTuple):
    """Facts that meet every set; no fewer do if ``smallest``."""

    facts: frozenset[Fact]
    smallest: bool = True


def smallest_hitting_set(
    sets: Collection[Iterable[Fact]], progress: Progress = NoProgress()
) -> Hitting:
    """Choose the fewest facts so that each of the sets, none of them empty, has one of them."""
    choice = Choice()
    variables: dict[Fact, int] = {}
    for each in sets:
        for fact in sorted(each):
            if fact not in variables:
                variables[fact] = choice.variable()
        choice.any_of(variables[fact] for fact in sorted(each))
    if not variables:
        return Hitting(frozenset())
    choice.minimise(dict.fromkeys(variables.values(), 1))
    answer = choice.solve(effort=_EFFORT, seconds=_PATIENCE_S * _EFFORT, progress=progress)
    if not answer.feasible:  # all of them do, and nothing says that fewer would not
        return Hitting(frozenset(variables), smallest=False)
    chosen = frozenset(fact for fact, variable in variables.items() if variable in answer.chosen)
    return Hitting(chosen, answer.optimal)


def met_by(sets: Collection[frozenset[Fact]]) -> frozenset[Fact]:
    """Choose few facts so that each of the sets, none of them empty, has one of them; quickly."""
    chosen: set[Fact] = set()
    left = list(dict.fromkeys(sets))
    while left:
        count: dict[Fact, int] = {}
        for each in left:
            for fact in each:
                count[fact] = count.get(fact, 0) + 1
        best = min(count, key=lambda fact: (-count[fact], fact))
        chosen.add(best)
        left = [each for each in left if best not in each]
    return frozenset(chosen)
