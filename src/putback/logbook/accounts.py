"""Hardware accounts: double entry for nuts and bolts.

Every piece is in exactly one account, and moves from one to another by a movement that an entry
causes; so the sum over all accounts never changes, and at the end of a rebuild nothing may be left
in a bag. An owner (the joint whose piece it is, or ``stock``) stays with a piece wherever it goes.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import NewType

from putback.logbook.entries.base import EntryId, Subject

Account = NewType("Account", str)
"""``on vehicle``, ``tag:3CAH``, ``own hole`` ...; the constants below and `in_tag`."""

AS_BUILT = Account("as built")  # where pieces come from that were there from the beginning
ON_VEHICLE = Account("on vehicle")
OWN_HOLE = Account("own hole")  # back in its own hole, slack
ON_PART = Account("on part")  # stays on the part that came away
SCRAP = Account("scrap")
PATTERN = Account("pattern")
LOST = Account("lost")
NOT_RECORDED = Account("not recorded")  # nobody said where it went
STOCK = Account("new stock")
BOUGHT = Account("bought")  # where new pieces come from
FOUND = Account("found")  # turned up in a count without having been missed
BACK_ON = Account("back on")
OUT = Account("out")  # at the plater

AT_REST = frozenset({ON_VEHICLE, BACK_ON, SCRAP, PATTERN, LOST, AS_BUILT, BOUGHT, FOUND, STOCK})
"""Accounts that may hold something when all work is done."""


def in_tag(tag: str) -> Account:
    """Name the account of a tagged bag or box."""
    return Account(f"tag:{tag}")


@dataclass(frozen=True, slots=True)
class Movement:
    """So many pieces of one specification went from one account to another.

    ``entry`` is ``None`` for what the description alone says was there as built. ``counted`` is
    false where nobody counted: the figure is then what the description leads one to expect.
    """

    entry: EntryId | None
    owner: Subject
    spec: str
    count: int
    source: Account
    to: Account
    counted: bool = True


def trial_balance(movements: Iterable[Movement]) -> dict[Account, int]:
    """Sum every account; the sums of all accounts together are zero, or the books are wrong."""
    total: dict[Account, int] = {}
    for each in movements:
        total[each.source] = total.get(each.source, 0) - each.count
        total[each.to] = total.get(each.to, 0) + each.count
    return total
