"""What the lists have in common: under which vehicle and day, in what columns."""

from putback.logbook.state import State
from putback.paper.sheets import Column, Kind, Section, Sheet, sheet_pdf
from putback.paper.words import ENGLISH as WORDS
from putback.workshop.printing.wanted import Wanted

TICK = Column("", Kind.TICK)


def printed(
    wanted: Wanted,
    state: State,
    title: str,
    sections: tuple[Section, ...],
    *,
    lead: tuple[str, ...] = (),
    cautions: tuple[str, ...] = (),
    signatures: tuple[str, ...] = (WORDS.done_by,),
) -> bytes:
    """Print a list of this vehicle, today."""
    sheet = Sheet(
        title, state.vehicle.about.name, wanted.day(), sections, lead, cautions, signatures
    )
    return sheet_pdf(sheet, wanted.page)


def upper_first(said: str) -> str:
    """Begin with a capital."""
    return said[:1].upper() + said[1:]
