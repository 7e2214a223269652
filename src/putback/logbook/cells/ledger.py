"""The journal of one cluster of joints and bags while it is folded, and its balances."""

from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

from putback.logbook.accounts import (
    LOST,
    NOT_RECORDED,
    ON_PART,
    OUT,
    OWN_HOLE,
    PATTERN,
    SCRAP,
    Account,
    Movement,
    in_tag,
)
from putback.logbook.entries.base import Entry, Subject, TagCode
from putback.logbook.entries.keeping import Pieces
from putback.logbook.entries.working import Whither
from putback.vehicle.fastener import parse
from putback.vehicle.fastener_kind import Form

STOCK_OWNER = Subject("stock")
"""Pieces of no known joint belong to the garage's stock."""

_ACCOUNT_OF: Mapping[Whither, Account] = {
    Whither.OWN_HOLE: OWN_HOLE,
    Whither.ON_PART: ON_PART,
    Whither.SCRAP: SCRAP,
    Whither.PATTERN: PATTERN,
    Whither.LOST: LOST,
    Whither.NOT_RECORDED: NOT_RECORDED,
}


def account_of(whither: Whither, tag: TagCode | None) -> Account:
    """Give the account that an entry means by a place and a tag."""
    return in_tag(tag) if tag is not None else _ACCOUNT_OF[whither]


@dataclass(slots=True)
class Ledger:
    """The journal of one cluster and its balances, while it is folded."""

    movements: dict[Subject, list[Movement]] = field(default_factory=dict)
    balances: dict[Account, dict[tuple[Subject, str], int]] = field(
        default_factory=lambda: defaultdict(lambda: defaultdict(int))
    )

    def post(
        self,
        entry: Entry | None,
        owner: Subject,
        spec: str,
        count: int,
        source: Account,
        to: Account,
        *,
        counted: bool = True,
    ) -> None:
        """Move so many pieces; nothing is written for none."""
        if count <= 0 or source == to:
            return
        self.movements.setdefault(owner, []).append(
            Movement(entry.id if entry else None, owner, spec, count, source, to, counted)
        )
        self.balances[source][owner, spec] -= count
        self.balances[to][owner, spec] += count

    def held(self, account: Account, owner: Subject, spec: str) -> int:
        """Pieces in an account; never below none."""
        return max(0, self.balances[account][owner, spec]) if account in self.balances else 0

    def take(
        self,
        entry: Entry,
        owner: Subject,
        spec: str,
        count: int,
        sources: Iterable[Account],
        to: Account,
        *,
        counted: bool = True,
    ) -> int:
        """Move up to ``count`` pieces from the sources in turn; say how many were not there."""
        for source in sources:
            here = min(count, self.held(source, owner, spec))
            self.post(entry, owner, spec, here, source, to, counted=counted)
            count -= here
        return count

    def owners_in(self, account: Account, spec: str) -> list[Subject]:
        """Name whose pieces of a specification an account holds."""
        here = self.balances.get(account, {})
        return sorted(owner for (owner, each), count in here.items() if each == spec and count > 0)

    def specs_of(self, owner: Subject, accounts: Iterable[Account]) -> list[str]:
        """Name the specifications of which the accounts hold pieces of the owner."""
        return sorted(
            {
                spec
                for account in accounts
                for (whose, spec), count in self.balances.get(account, {}).items()
                if whose == owner and count > 0
            }
        )

    def laid_up(self, owner: Subject) -> list[Account]:
        """Accounts that hold something of the owner while it is off the vehicle."""
        bags = sorted(
            account
            for account, held in self.balances.items()
            if account.startswith("tag:") and any(whose == owner for whose, _ in held)
        )
        return [OWN_HOLE, ON_PART, *bags, OUT, NOT_RECORDED]


def by_spec(pieces: Iterable[Pieces]) -> dict[str, int]:
    """Add up what is listed, by specification: a list may name one twice."""
    total: dict[str, int] = defaultdict(int)
    for each in pieces:
        total[each.spec] += each.count
    return total


def fixings_among(pieces: Mapping[str, int]) -> int:
    """Say how many fixings these pieces are, where nobody described what a fixing has.

    Bolts, screws, studs and pins tell, one a fixing; where there are none, nuts and the like do.
    Washers alone tell nothing.
    """
    told: Counter[Form] = Counter()
    for spec, count in pieces.items():
        told[parse(spec).kind.form] += count
    return told[Form.STEM] + told[Form.PIN] or told[Form.RING]
