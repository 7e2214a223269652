"""What the last plans changed, as a page tells it."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import islice

from putback.planning.again.changes import Change

LOOKED_AT = 5
"""So many of the last plans are looked at [plans]."""
_MOST = 6
"""So many changes are told [changes]."""


@dataclass(frozen=True, slots=True)
class ToldChange:
    """What changed from one plan to the next, and when that was planned."""

    at: str
    words: str
    why: str


def told_changes(plans: Iterable[tuple[str, Sequence[Change]]]) -> tuple[ToldChange, ...]:
    """Tell what plans changed, each once; ``plans`` with their moments, the newest first."""
    return tuple(islice(_each_once(plans), _MOST))


def _each_once(plans: Iterable[tuple[str, Sequence[Change]]]) -> Iterator[ToldChange]:
    seen: set[str] = set()
    for at, changes in plans:
        for each in changes:
            if str(each) not in seen:
                seen.add(str(each))
                yield ToldChange(at, each.words, each.why)
