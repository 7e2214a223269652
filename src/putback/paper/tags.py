"""Tags: for bags, boxes and parts, blank ones to hang on a ring, and red ones that warn."""

from collections.abc import Sequence
from dataclasses import dataclass

from putback.errors import BadInput
from putback.logbook.tags import Tag
from putback.paper.qr import qr_drawing
from putback.paper.stock import AS_IT_IS, STOCKS, Calibration, Stock
from putback.paper.typeset import Drawing, typeset
from putback.paper.words import ENGLISH, Words

MOST_SHIFT_MM = 20.0
"""A printer that is further off has another fault [mm]."""


@dataclass(frozen=True, slots=True)
class Held:
    """What is in a bag of one joint, or one part: ``of`` is where it belongs."""

    of: str
    what: str = ""
    side: str = ""
    """*left* or *right*, as seen from the driving seat; empty where it has none."""


@dataclass(frozen=True, slots=True)
class TagLabel:
    """One tag. Without ``held`` and ``kind`` it is blank, to be written on."""

    tag: Tag
    vehicle: str
    kind: str = ""
    """Bag, box, crate ...; empty on a blank tag."""
    name: str = ""
    held: tuple[Held, ...] = ()
    zone: str = ""
    day: str = ""
    """When it was made, in words."""


@dataclass(frozen=True, slots=True)
class RedTag:
    """A warning that is tied on; what is empty is left to be written."""

    heading: str
    why: str
    vehicle: str
    what: str = ""
    needs: str = ""


@dataclass(frozen=True, slots=True)
class _Printed:
    """A tag as the template takes it."""

    code: str
    qr: Drawing
    label: TagLabel


@dataclass(frozen=True, slots=True)
class _Sheets:
    """What the template is given."""

    stock: Stock
    module_mm: float
    is_upright: bool
    at: Calibration
    words: Words
    labels: tuple[_Printed, ...] = ()
    red: tuple[RedTag, ...] = ()


def tags_pdf(
    labels: Sequence[TagLabel],
    stock: Stock,
    at: Calibration = AS_IT_IS,
    words: Words = ENGLISH,
) -> bytes:
    """Print tags, in the order given.

    Raises
    ------
    BadInput
        If there is none, or the calibration cannot be meant.
    """
    if not labels:
        mend = "log something into a bag, or ask for blank ones"
        raise BadInput("there is no tag to print", mend=mend)
    printed = tuple(_Printed(str(each.tag), qr_drawing(each.tag), each) for each in labels)
    return typeset("tags", _sheets(stock, at, words, printed), respell=words.respell)


def red_tags_pdf(
    tags: Sequence[RedTag],
    stock: Stock,
    at: Calibration = AS_IT_IS,
    words: Words = ENGLISH,
) -> bytes:
    """Print red tags, in the order given.

    Raises
    ------
    BadInput
        If there is none, or they cannot be tied on as the stock is.
    """
    if not tags:
        raise BadInput("there is no tag to print", mend="ask for blank ones")
    if not stock.is_upright:
        fit = ", ".join(each.name for each in STOCKS if each.is_upright)
        raise BadInput(f"a red tag does not fit on {stock.name}", mend=f"take one of {fit}")
    return typeset("tags", _sheets(stock, at, words, red=tuple(tags)), respell=words.respell)


def _sheets(
    stock: Stock,
    at: Calibration,
    words: Words,
    labels: tuple[_Printed, ...] = (),
    red: tuple[RedTag, ...] = (),
) -> _Sheets:
    if max(abs(at.right_mm), abs(at.down_mm)) > MOST_SHIFT_MM:
        raise BadInput(
            f"a shift of {at.right_mm:g} and {at.down_mm:g} mm is off the label",
            mend=f"measure it again; {MOST_SHIFT_MM:g} mm is the most",
        )
    if not 0 <= at.used < stock.per_page:
        raise BadInput(
            f"{at.used} labels cannot be gone from a sheet of {stock.per_page}",
            mend=f"say how many are gone from the sheet begun: 0 to {stock.per_page - 1}",
        )
    return _Sheets(stock, stock.module_mm, stock.is_upright, at, words, labels, red)
