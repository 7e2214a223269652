"""One thing told differently by several people; none of them could see what the others wrote.

An entry of a phone does not say what the phone had seen. So tellings of one thing count as made
apart if they are of different people and lie near enough to each other, unless one says that it
corrects the other; a correction days later is one.
The last telling counts until somebody settles which is right.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

from putback.logbook.common import Said
from putback.logbook.entries.base import EntryId
from putback.logbook.entries.describing import OneAndSame

DESCRIBED_WITHIN_MS = 24 * 3_600_000
"""A day: so long phones may be away from each other, by what is common in a garage [ms]."""
STOOD_WITHIN_MS = 2 * 3_600_000
"""Nobody puts a vehicle on stands and takes it down again much sooner, and phones' clocks differ
by an hour at times [ms]."""


@dataclass(frozen=True, slots=True)
class Telling:
    """What one entry says of it, as text; a description's value as JSON."""

    said: Said
    value: str

    @property
    def happened_ms(self) -> int:
        """When it is said to have happened [ms since 1970]."""
        return self.said.key[-1][0]


@dataclass(frozen=True, slots=True)
class Contest:
    """A field of a description that several people gave otherwise; the last telling counts."""

    field: str
    tellings: tuple[Telling, ...]


def settled_in(bodies: Iterable[Any]) -> frozenset[EntryId]:
    """Name the entries that somebody settled as one and the same."""
    return frozenset(
        each for body in bodies if isinstance(body, OneAndSame) for each in body.entries
    )


def told_apart(
    tellings: Sequence[Telling], settled: frozenset[EntryId], within_ms: int
) -> tuple[Telling, ...]:
    """Give what different people told otherwise, the last word of each, near the last of all.

    Parameters
    ----------
    tellings : sequence of Telling
        In their order.
    within_ms : int
        How far from the last one they may lie [ms].

    Returns
    -------
    tuple of Telling
        None where all say the same, or one person says it all.
    """
    open_ones = [each for each in tellings if each.said.entry not in settled]
    if not open_ones:
        return ()
    last = open_ones[-1]
    by_person: dict[str, Telling] = {}
    for each in open_ones:
        if abs(last.happened_ms - each.happened_ms) <= within_ms:
            by_person.pop(each.said.who, None)
            by_person[each.said.who] = each
    if len({each.value for each in by_person.values()}) < 2:
        return ()
    return tuple(by_person.values())
