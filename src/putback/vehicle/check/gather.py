"""Faults as a person reads them: what one rule finds of many records is said once."""

import re
from collections.abc import Callable, Iterable, Iterator
from itertools import groupby

from putback.vehicle.check.fault import Fault
from putback.vehicle.ids import Ref

_ONE_BY_ONE = 3
"""So many of one sort are said one by one."""
_NAMED = 4
"""Of more, so many are named after the first."""
_RECORD = re.compile(r"'[^']*'(?: \([^)]*\))?")
"""A record as `named` says it."""


def gathered(faults: Iterable[Fault], name: Callable[[Ref], str]) -> Iterator[str]:
    """Say faults in their order, each line with how sure it is.

    Examples
    --------
    >>> from putback.vehicle.check.fault import doubt
    >>> five = [doubt("part", each, f"part {each!r} has no joint", "mend") for each in "abcde"]
    >>> list(gathered(five, lambda ref: ref.removeprefix("part:")))
    ["doubt: part 'a' has no joint, and so of 4 more: b, c, d, e; mend"]
    """
    for _, alike in groupby(faults, _sort_of):
        first, *others = alike
        if len(others) < _ONE_BY_ONE:
            yield from (f"{e.severity}: {e.message}; {e.mend}" for e in (first, *others))
            continue
        names = ", ".join(name(each.ref) for each in others[:_NAMED])
        more = len(others) - _NAMED
        rest = f" and {more} more" if more > 0 else ""
        told = f"{first.message}, and so of {len(others)} more: {names}{rest}"
        yield f"{first.severity}: {told}; {first.mend}"


def _sort_of(fault: Fault) -> tuple[str, str, str]:
    """What faults have in common of which only the record differs that each begins with."""
    return fault.severity, _RECORD.sub("", fault.message, count=1), fault.mend
