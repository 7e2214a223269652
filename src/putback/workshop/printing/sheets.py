"""What the lists have in common: under which vehicle and day, in what columns."""

from putback.logbook.state import State
from putback.paper.sheets import Column, Kind, Section, Sheet, sheet_pdf
from putback.paper.words import Own
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
    signatures: tuple[str, ...] | None = None,
) -> bytes:
    """Print a list of this vehicle, today; whoever did it signs, where nobody else does."""
    signed = (wanted.words.done_by,) if signatures is None else signatures
    name = Own(state.vehicle.about.name)
    sheet = Sheet(title, name, wanted.day(), sections, lead, cautions, signed)
    return sheet_pdf(sheet, wanted.page, wanted.words)


def upper_first(said: str) -> str:
    """Begin with a capital; what a person called something is still their own."""
    return type(said)(said[:1].upper() + said[1:])
