"""Exchanging a vehicle with a partner that is reached over the network."""

from collections.abc import Iterator
from contextlib import contextmanager

from putback.errors import BadInput, NotFound
from putback.logbook.entries.base import LogbookId, PersonId
from putback.workshop.exchange.course import Course, Exchange
from putback.workshop.exchange.over_https import PATIENCE_S, FarByApi, Wire
from putback.workshop.exchange.partners import Partner, Partners
from putback.workshop.logbooks.workshop import Workshop


@contextmanager
def reached(partner: Partner, patience_s: float = PATIENCE_S) -> Iterator[FarByApi]:
    """Keep a connection to a partner open until the block is left.

    Raises
    ------
    BadInput
        If it is reached by file alone.
    """
    if not partner.address:
        raise BadInput(
            f"{partner.name} is reached by file alone",
            mend=f"putback export FILE --for {partner.name!r}",
        )
    wire = Wire(partner.address, partner.token, partner.authority, patience_s)
    try:
        yield FarByApi(partner.name, wire)
    finally:
        wire.close()


def exchange_with(
    workshop: Workshop,
    kept: Partners,
    partner: Partner,
    far: FarByApi,
    logbook: LogbookId,
    who: PersonId,
) -> Exchange:
    """Take the exchange of a vehicle up where it was left, and keep how far it comes."""

    def keep(course: Course) -> None:
        kept.keep_course(partner.name, logbook, course)

    return Exchange(
        workshop,
        far,
        partner.name,
        logbook,
        partner.sender,
        who,
        kept.course(partner.name, logbook),
        keep,
    )


def vehicle_there(far: FarByApi, named: str = "") -> LogbookId:
    """Find a vehicle at a partner by its name or identity, or their only one.

    Raises
    ------
    NotFound
        If none is called so.
    BadInput
        If there is not one alone.
    """
    there = far.vehicles()
    wanted = named.casefold()
    found = [each for each in there if not named or wanted in {each[0], each[1].casefold()}]
    if len(found) == 1:
        return found[0][0]
    if named and not found:
        raise NotFound("vehicle at the partner", named, tuple(each[1] for each in there[:6]))
    raise BadInput(
        f"there are {len(found)} such vehicles at {far.partner}",
        mend=f"say which: {', '.join(each[0] for each in found[:6])}",
    )
