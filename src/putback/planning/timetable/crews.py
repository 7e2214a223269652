"""Who can do a block, and how long so many of them are ever there at once."""

from collections.abc import Sequence, Set

from putback.planning.planned_days import Person
from putback.solvers.weekly import Weekly, longest_together


def able_for(kinds: Set[str], people: Sequence[Person]) -> tuple[int, ...]:
    """Who can do work of these kinds: whoever has the skills that anybody here has for it."""
    wanted = kinds & frozenset[str]().union(*(each.skills for each in people))
    return tuple(n for n, each in enumerate(people) if wanted <= each.skills)


def crew_for(able: Sequence[int], wants: int, people: Sequence[Person]) -> int:
    """How many of those able do it: no more than are ever there at once; of few, one."""
    hours = [Weekly(each.hours) for each in people]
    crew = wants
    while crew > 1 and not longest_together(hours, able, crew):
        crew -= 1
    return crew
