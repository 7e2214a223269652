"""What moving and counting loose hardware does to the journal.

The books follow what somebody has in the hand: pieces that are moved or counted are there, and
are taken from where they were missed before they are taken for pieces nobody knew of.
"""

from collections.abc import Collection

from putback.logbook.accounts import (
    BACK_ON,
    FOUND,
    LOST,
    NOT_RECORDED,
    ON_VEHICLE,
    Account,
    in_tag,
)
from putback.logbook.cells.ledger import STOCK_OWNER, Ledger, account_of, by_spec
from putback.logbook.entries.base import Entry, Subject
from putback.logbook.entries.keeping import Counted, HardwareMoved


def move_pieces(ledger: Ledger, entry: Entry, body: HardwareMoved) -> None:
    """Move pieces of one joint, or whoever's they are where none is named."""
    source = account_of(body.source, body.source_tag)
    to = account_of(body.to, body.to_tag)
    for spec, count in by_spec(body.pieces).items():
        if body.joint is None:
            owners = _unnamed_owners(ledger, source, spec)
            elsewhere: list[Account] = []
        else:
            owners = [Subject(f"joint:{body.joint}")]
            laid_up = ledger.laid_up(owners[0])
            elsewhere = [NOT_RECORDED, LOST, *laid_up, ON_VEHICLE, BACK_ON]
            known = sum(ledger.held(account, owners[0], spec) for account in {source, to})
            _take_from_nobody(ledger, entry, spec, count - known, source)
        for owner in owners:
            count = ledger.take(entry, owner, spec, count, (source, *elsewhere), to)
        ledger.post(entry, owners[0], spec, count, FOUND, to)


def _unnamed_owners(ledger: Ledger, source: Account, spec: str) -> list[Subject]:
    """Name whose pieces may be meant where no joint is named, the likeliest first.

    Only a bag tells of which joints its pieces are; what lies about is of no known joint. What
    was lost from a bag is the bag's own: only where the bag is named is it known to be.
    """
    held = ledger.owners_in(source, spec)
    if source.startswith("tag:"):
        return held or [STOCK_OWNER]
    if source == LOST:
        return [STOCK_OWNER]
    return [STOCK_OWNER, *(owner for owner in held if owner.startswith("tag:"))]


def _take_from_nobody(
    ledger: Ledger, entry: Entry, spec: str, count: int, source: Account
) -> None:
    """Take pieces in a bag that were of no known joint off the books: now one was named."""
    if source.startswith("tag:"):
        for owner in ledger.owners_in(source, spec):
            if not owner.startswith("joint:"):
                count = ledger.take(entry, owner, spec, count, (source,), FOUND)


def take_stock(ledger: Ledger, entry: Entry, body: Counted, nameless: Collection[Subject]) -> None:
    """Set a bag's account to what was counted: what is short is lost from this day.

    ``nameless`` are joints with hardware in the bag of which nobody said what it is.
    """
    account = in_tag(body.tag)
    counted = by_spec(body.pieces)
    here = ledger.balances.get(account, {})
    specs = set(counted)
    if body.complete:
        specs |= {spec for _, spec in here}
    for spec in sorted(specs):
        owners = sorted(owner for owner, held in here if held == spec)
        surplus = counted.get(spec, 0) - sum(here.get((owner, spec), 0) for owner in owners)
        for owner in owners:
            if surplus < 0:
                gone = min(-surplus, ledger.held(account, owner, spec))
                ledger.post(entry, owner, spec, gone, account, LOST)
                surplus += gone
        for owner in owners:
            if surplus > 0:
                missed = (NOT_RECORDED, LOST)
                surplus = ledger.take(entry, owner, spec, surplus, missed, account)
        whose = owners or sorted(nameless)
        # Where several could be meant, what turned up belongs to the bag in which it was found.
        owner = whose[0] if len(whose) == 1 else Subject(account)
        ledger.post(entry, owner, spec, surplus, FOUND, account)
