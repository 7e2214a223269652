"""What tags are printed on: sheets of labels, card to be cut, and rolls for a label printer.

Sizes of labels are those that are sold for the two sheets (common practice, from memory); printers
and makers differ by a millimetre or two, which `Calibration` evens out.
"""

from dataclasses import dataclass
from typing import Literal

from putback.errors import NotFound
from putback.paper.qr import WHOLE_MODULES

A4_MM = (210.0, 297.0)
LETTER_MM = (215.9, 279.4)
INCH_MM = 25.4
LEAST_DOTS = 4
"""Dots of a printer in a module of a QR code that phones read well, at least: with fewer it runs
them together (the inventor of the code recommends it)."""
COARSEST_DPI = 200
"""Of printers that labels are printed on: those of rolls have eight dots to the millimetre."""


def module_of_dots_mm(dots: int, dpi: float) -> float:
    """How large a module of so many dots is, on a printer of so many dots an inch [mm]."""
    return dots * INCH_MM / dpi


LEAST_MODULE_MM = module_of_dots_mm(LEAST_DOTS, COARSEST_DPI)
"""A module that the coarsest of printers still keeps apart from its neighbour [mm]."""
MOST_MODULE_MM = 1.1
"""A code larger than this only takes room from the words [mm]."""
_PAD_MM = 2.0

Shape = Literal["label", "tie-on"]


@dataclass(frozen=True, slots=True)
class Stock:
    """One kind of sheet or roll; lengths in [mm].

    A roll has one column and one row, and its page is the label.
    """

    name: str
    words: str
    page_mm: tuple[float, float]
    label_mm: tuple[float, float]
    columns: int = 1
    rows: int = 1
    first_mm: tuple[float, float] = (0.0, 0.0)
    """Left and upper edge of the first label."""
    pitch_mm: tuple[float, float] = (0.0, 0.0)
    """From one label to the next, across and down."""
    shape: Shape = "label"
    is_cut: bool = False
    """Whether lines are drawn to cut along."""
    is_endless: bool = False
    """Whether the height is cut to what stands on it."""

    @property
    def per_page(self) -> int:
        """Labels on one page."""
        return self.columns * self.rows

    @property
    def is_upright(self) -> bool:
        """Whether the code stands above the words, and not beside them."""
        return self.label_mm[1] > self.label_mm[0]

    @property
    def module_mm(self) -> float:
        """Size of a module of the QR code [mm]."""
        width, height = (each - 2 * _PAD_MM for each in self.label_mm)
        room = min(width * 0.62, height * 0.42) if self.is_upright else min(height, width * 0.44)
        return min(room / WHOLE_MODULES, MOST_MODULE_MM)


def _centred(
    name: str,
    words: str,
    page: tuple[float, float],
    label: tuple[float, float],
    grid: tuple[int, int],
    gap: tuple[float, float],
    *,
    shape: Shape = "label",
    is_cut: bool = False,
) -> Stock:
    pitch = (label[0] + gap[0], label[1] + gap[1])
    taken = tuple(
        count * step - apart for count, step, apart in zip(grid, pitch, gap, strict=True)
    )
    return Stock(
        name=name,
        words=words,
        page_mm=page,
        label_mm=label,
        columns=grid[0],
        rows=grid[1],
        first_mm=((page[0] - taken[0]) / 2, (page[1] - taken[1]) / 2),
        pitch_mm=pitch,
        shape=shape,
        is_cut=is_cut,
    )


_TIE_ON_MM = (60.0, 120.0)

STOCKS = (
    _centred("a4-3x7", "A4, 21 labels of 63.5 × 38.1 mm", A4_MM, (63.5, 38.1), (3, 7), (2.5, 0.0)),
    _centred("a4-2x7", "A4, 14 labels of 99.1 × 38.1 mm", A4_MM, (99.1, 38.1), (2, 7), (2.5, 0.0)),
    _centred("a4-2x4", "A4, 8 labels of 99.1 × 67.7 mm", A4_MM, (99.1, 67.7), (2, 4), (2.5, 0.0)),
    _centred("a4-tie-on", "A4 card, 6 tie-on tags of 60 × 120 mm to cut, with a hole",
             A4_MM, _TIE_ON_MM, (3, 2), (0.0, 0.0), shape="tie-on", is_cut=True),
    _centred("letter-3x10", "Letter, 30 labels of 2 5/8 × 1 in",
             LETTER_MM, (2.625 * INCH_MM, INCH_MM), (3, 10), (0.125 * INCH_MM, 0.0)),
    _centred("letter-2x5", "Letter, 10 labels of 4 × 2 in",
             LETTER_MM, (4 * INCH_MM, 2 * INCH_MM), (2, 5), (0.1875 * INCH_MM, 0.0)),
    _centred("letter-tie-on", "Letter card, 6 tie-on tags of 60 × 120 mm to cut, with a hole",
             LETTER_MM, _TIE_ON_MM, (3, 2), (0.0, 0.0), shape="tie-on", is_cut=True),
    Stock("roll-62", "a roll of 62 mm, cut where the words end", (62.0, 40.0), (62.0, 40.0),
          is_endless=True),
    Stock("roll-50x30", "a roll of labels 50 × 30 mm", (50.0, 30.0), (50.0, 30.0)),
    Stock("roll-4x6", "a roll of labels 4 × 6 in",
          (4 * INCH_MM, 6 * INCH_MM), (4 * INCH_MM, 6 * INCH_MM)),
)  # fmt: skip
"""Every kind there is; the first is usual."""


def stock_called(name: str) -> Stock:
    """Give the stock of a name.

    Raises
    ------
    NotFound
        If there is none.
    """
    for each in STOCKS:
        if each.name == name.casefold().strip():
            return each
    raise NotFound("kind of sheet or roll", name, tuple(each.name for each in STOCKS))


@dataclass(frozen=True, slots=True)
class Calibration:
    """Where this printer prints, beside where it ought to; and labels used up already.

    ``right_mm`` and ``down_mm`` move everything [mm].
    """

    right_mm: float = 0.0
    down_mm: float = 0.0
    used: int = 0
    """Labels of the first sheet that are gone."""


AS_IT_IS = Calibration()
"""A printer that prints where it ought to, on a whole sheet."""
