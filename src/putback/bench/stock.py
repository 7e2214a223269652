"""The calculator ``stock``: which piece is cut from which coil or length, so that least is taken.

A piece takes its own length, what its flares take, and one saw cut beside the next piece. So many
pieces fit a length L if ``sum(piece + 2 flare) + kerf (n - 1) <= L - trim``: with a kerf added to
every piece and to the length it is the plain cutting stock problem, which is solved exactly.
"""

import re
from collections import Counter
from dataclasses import dataclass
from fractions import Fraction
from math import ceil, floor, gcd
from string import ascii_uppercase

from putback.bench import both
from putback.bench.calculator import (
    RULE_M,
    Answer,
    Asked,
    Calculator,
    Drawing,
    Figure,
    Quantity,
    Shape,
    Step,
    Table,
)
from putback.bench.lines import LENGTH_UNITS, read_lines, unit_words
from putback.errors import BadInput

SECONDS = 1.5
"""How long a better plan is looked for [s]."""
MOST_PIECES = 1000
_LIKE_PIECE = "450 4 front (length, how many, name)"
_LIKE_STOCK = "7620 2 coil (length, how many there are, name)"
_BAR = 0.06
"""Height of a bar in the drawing, as a share of the longest stock."""
_LETTERS_WIDE, _LETTERS_HIGH = 39.0, 47.0
"""How many letters a drawing is wide where its width sets its size, and high where that does."""
_LEAST_LETTERS = 1.6
"""Room that one letter takes between two edges [letters]."""


@dataclass(frozen=True, slots=True)
class Lot:
    """A length with how many of it, and a name; ``count`` is None for as many as needed."""

    length_m: float
    count: int | None
    name: str

    @property
    def words(self) -> str:
        """Its name, or its length where it has none."""
        return self.name or f"{self.length_m * 1e3:g} mm"


@dataclass(frozen=True, slots=True)
class Bar:
    """One length of stock with what is cut from it, and what is left over [m]."""

    stock: Lot
    pieces: tuple[Lot, ...]
    left_m: float


@dataclass(frozen=True, slots=True)
class CuttingList:
    """The bars, and the least length of stock that any plan takes [m]."""

    bars: tuple[Bar, ...]
    least_m: float

    @property
    def taken_m(self) -> float:
        """Length of all stock that is cut into [m]."""
        return sum(bar.stock.length_m for bar in self.bars)

    @property
    def is_least(self) -> bool:
        """Whether it is proven that no plan takes less."""
        return self.taken_m <= self.least_m + 1e-9


def read_lots(text: str, unit: str, field: str, endless: bool) -> tuple[Lot, ...]:
    """Read lines of length, count and name; both the latter may be left out.

    Parameters
    ----------
    text, unit, field : str
        The lines, the unit their lengths are in, and what they are for messages.
    endless : bool
        Whether a length without a count means as many as needed, rather than one.

    Raises
    ------
    BadInput
        A line that is no such length, or none at all.
    """
    like = _LIKE_STOCK if endless else _LIKE_PIECE
    lots = []
    for each in read_lines(_with_counts(text, field), field, unit_words(unit)):
        line = each.mixed(0)
        line.at_most(3, like)
        length = line.value(0, "length")
        has_count = line.is_number(1)
        count = line.value(1, "count") if has_count else 1.0
        if length <= 0:
            raise line.fault(f"{line.cells[0]} is no length", "write one above nothing")
        if count != int(count) or not 1 <= count <= MOST_PIECES:
            mend = f"write a whole number from 1 to {MOST_PIECES} behind the length"
            raise line.fault(f"{line.cells[1]} is no count", mend)
        name = line.text(1 + has_count, "name") if len(line) > 1 + has_count else ""
        known = int(count) if has_count or not endless else None
        lots.append(Lot(length * LENGTH_UNITS[unit], known, name))
    if not lots:
        raise BadInput("no lengths", field, f"write a line each, like: {like}")
    return tuple(lots)


_TIMES = re.compile(
    r"(?P<one>\d[\d./]*)(?P<unit>\s?(?:mm|cm|m|in|ft|\"))?\s*[x×*]\s*"
    r"(?P<other>\d[\d./]*)(?P<last>\s?(?:mm|cm|m|in|ft|\"))?(?![\w.])",
    re.IGNORECASE,
)
_SURELY_LONGER = 10
"""Of two bare numbers the length is taken to be the one that is so many times the other."""


def _with_counts(text: str, field: str) -> str:
    """Write ``4 x 1200`` and ``1200x4`` as the length with its count behind it.

    Which of the two is the length says its unit, or that it is far larger.

    Raises
    ------
    BadInput
        Neither says which is the length.
    """
    if not _TIMES.search(text):
        return text

    def turned(found: re.Match[str]) -> str:
        one, other = (float(Fraction(found[name].rstrip("."))) for name in ("one", "other"))
        first = bool(found["unit"]) or (not found["last"] and one > _SURELY_LONGER * other)
        second = bool(found["last"]) or (not found["unit"] and other > _SURELY_LONGER * one)
        if first == second:
            mend = "write the length, then how many"
            raise BadInput(f"which number of {found[0]!r} is the length", field, mend)
        length = f"{found['one']}{(found['unit'] or '').strip()}"
        if second:
            length = f"{found['other']}{(found['last'] or '').strip()}"
        return f"{length} {found['one'] if second else found['other']}"

    return _TIMES.sub(turned, re.sub(r",\s+|;", "|", text))


def cutting_list(
    pieces: tuple[Lot, ...], stock: tuple[Lot, ...], kerf_m: float, flare_m: float, trim_m: float
) -> CuttingList:
    """Cut all pieces from as little stock as can be.

    Parameters
    ----------
    pieces, stock : tuple of Lot
        What is wanted and what there is.
    kerf_m : float
        Width of a cut, [m].
    flare_m : float
        Tube that the flare of each end takes, [m].
    trim_m : float
        Lost at the ends of each length of stock, [m].

    Raises
    ------
    BadInput
        A piece that no stock is long enough for, or too little stock.
    """
    # Loaded when something is cut: the solver takes a while to come.
    from putback.solvers.cutting import MOST_UNITS, Stock, cut

    takes_m = [piece.length_m + 2 * flare_m + kerf_m for piece in pieces]
    gives_m = [each.length_m - trim_m + kerf_m for each in stock]
    for piece, take_m in zip(pieces, takes_m, strict=True):
        if take_m > max(gives_m) + 1e-9:
            raise BadInput(
                f"no stock is long enough for {piece.words}", "stock", "add a longer one"
            )
    unit_m = _unit_m([*takes_m, *gives_m], max(gives_m) / MOST_UNITS)
    found = cut(
        [ceil(take_m / unit_m - 1e-6) for take_m in takes_m],
        [piece.count or 1 for piece in pieces],
        [
            Stock(max(1, floor(give_m / unit_m + 1e-6)), round(each.length_m * 1e6), each.count)
            for give_m, each in zip(gives_m, stock, strict=True)
        ],
        seconds=SECONDS,
    )
    if not found.possible:
        raise BadInput("there is not enough stock for all pieces", "stock", "add some")
    bars = []
    for each in found.cuts:
        taken_m = sum(takes_m[place] for place in each.pieces)
        left_m = max(0.0, gives_m[each.stock] - taken_m - kerf_m)
        bars.append(Bar(stock[each.stock], tuple(pieces[place] for place in each.pieces), left_m))
    return CuttingList(tuple(bars), found.bound * 1e-6)


def _unit_m(lengths_m: list[float], coarse_m: float) -> float:
    """Largest unit that measures all lengths exactly; where that is too fine, a round one."""
    common_m = gcd(*(round(each * 1e6) for each in lengths_m)) * 1e-6
    return common_m if common_m >= coarse_m else ceil(coarse_m * 1e4) * 1e-4


def work(
    pieces: str, stock: str, unit: str, kerf_m: float, flare_m: float, trim_m: float
) -> Answer:
    """Give the cutting list, with what is left over.

    Raises
    ------
    BadInput
        A line that cannot be read, a piece that is too long, or too little stock.
    """
    wanted = read_lots(pieces, unit, "pieces", endless=False)
    there = read_lots(stock, unit, "stock", endless=True)
    count = sum(piece.count or 1 for piece in wanted)
    if count > MOST_PIECES:
        raise BadInput(f"{count} pieces are more than {MOST_PIECES}", "pieces", "cut in lots")
    plan = cutting_list(wanted, there, kerf_m, flare_m, trim_m)
    net_m = sum(piece.length_m * (piece.count or 1) for piece in wanted)
    net = Figure("net", "all pieces", net_m, Quantity.LENGTH, step=RULE_M)
    taken = Figure("taken", "stock taken", plan.taken_m, Quantity.LENGTH, step=RULE_M)
    used = Figure("use", "share that ends in pieces", net_m / plan.taken_m, Quantity.SHARE)
    longest = max(plan.bars, key=lambda bar: bar.left_m)
    return Answer(
        "stock",
        (
            Figure("count", "pieces", count, Quantity.COUNT),
            Figure("kerf", "saw cut", kerf_m, Quantity.LENGTH),
            Figure("flare", "tube that a flare takes", flare_m, Quantity.LENGTH),
            Figure("trim", "lost at the ends of each length", trim_m, Quantity.LENGTH),
        ),
        (
            Figure("lengths", "lengths of stock", len(plan.bars), Quantity.COUNT),
            taken,
            Figure("least", "no plan takes less than", plan.least_m, Quantity.LENGTH, step=RULE_M),
            Figure("proven", "proven the least", plan.is_least, Quantity.YES),
            used,
            Figure("offcut", "longest offcut", longest.left_m, Quantity.LENGTH, step=RULE_M),
        ),
        _verdict(plan),
        (Step("use = net / taken", {"net": net, "taken": taken}, used),),
        (_bars_table(plan),),
        (_drawing(plan),),
        sources=(
            "Cutting stock by patterns: Gilmore and Gomory, Operations Research 9 (1961) and 11"
            " (1963); checked against published instances",
        ),
        limits=(
            "Least total length of stock taken; offcuts given as stock are used where that helps.",
            "Lengths finer than an eight-thousandth of the longest are rounded to the safe side.",
            f"A plan not proven the least is the best found in {SECONDS:g} seconds.",
        ),
        cautions=(
            "Measure the old pipe twice, cut once; deburr inside and out, and blow the tube clean"
            " before it is flared.",
            "Put the nuts on before the second flare.",
        ),
    )


def _verdict(plan: CuttingList) -> str:
    lots = Counter(bar.stock for bar in plan.bars)
    said = " and ".join(f"{count} of {lot.words}" for lot, count in lots.items())
    proof = (
        "no plan takes less"
        if plan.is_least
        else f"none takes less than {both.length(plan.least_m)}"
    )
    return f"Cut into {said}, {both.length(plan.taken_m)} in all; {proof}."


def _bars_table(plan: CuttingList) -> Table:
    rows = tuple(
        (
            Figure("number", "number", number, Quantity.COUNT),
            Figure("stock", "stock", bar.stock.length_m, Quantity.LENGTH),
            Figure("pieces", "pieces", _pieces_said(bar), Quantity.TEXT),
            Figure("left", "left over", bar.left_m, Quantity.LENGTH, step=RULE_M),
        )
        for number, bar in enumerate(plan.bars, 1)
    )
    return Table("Cutting list", ("Length", "Stock", "Pieces", "Left over"), rows)


def _pieces_said(bar: Bar) -> str:
    said = []
    for piece, count in Counter(bar.pieces).items():
        size = f"{piece.length_m * 1e3:g} mm"
        named = f"{piece.name} {size}" if piece.name else size
        said.append(f"{count} × {named}" if count > 1 else named)
    return ", ".join(said)


def _drawing(plan: CuttingList) -> Drawing:
    """Bars one under the other, each piece a box; what is left over is dashed.

    A piece that is too narrow for its name has a letter, which the drawing's words explain.
    """
    longest_m = max(bar.stock.length_m for bar in plan.bars)
    tall_m = _BAR * longest_m
    high_m = (1.5 * len(plan.bars) - 0.5) * tall_m
    letter_m = max(longest_m / _LETTERS_WIDE, high_m / _LETTERS_HIGH)
    shapes: list[Shape] = []
    keys: dict[str, str] = {}
    for number, bar in enumerate(plan.bars):
        top = -number * 1.5 * tall_m
        at_m = 0.0
        # The pieces as they are drawn share out what cuts, flares and trimming take.
        scale = (bar.stock.length_m - bar.left_m) / sum(piece.length_m for piece in bar.pieces)
        for piece in bar.pieces:
            end_m = at_m + piece.length_m * scale
            shapes.append(_box("outline", at_m, end_m, top, tall_m))
            if words := _fitting(piece.words, (end_m - at_m) / letter_m, keys):
                shapes.append(Shape("text", (((at_m + end_m) / 2, top - tall_m / 2),), words))
            at_m = end_m
        if bar.left_m > 1e-9:
            shapes.append(_box("hidden", at_m, bar.stock.length_m, top, tall_m))
    told = "; ".join(f"{bar.stock.words}: {_pieces_said(bar)}" for bar in plan.bars)
    letters = ", ".join(f"{key} = {words}" for words, key in keys.items())
    keyed = f" Letters: {letters}." if letters else ""
    return Drawing(
        "Cutting list, to scale", f"Bars from above down. {told}.{keyed}", tuple(shapes)
    )


def _fitting(words: str, letters: float, keys: dict[str, str]) -> str:
    """Give a piece's name, else the letter that is its key, else nothing, as it fits.

    Parameters
    ----------
    words : str
        The name.
    letters : float
        So many letters there is room for, edges taken off.
    keys : dict of str to str
        The letters given so far, by the name; one more is added where it is wanted.
    """
    if len(words) + 1 <= letters:
        return words
    if letters < _LEAST_LETTERS or (words not in keys and len(keys) == len(ascii_uppercase)):
        return ""
    return keys.setdefault(words, ascii_uppercase[len(keys)])


def _box(role: str, left: float, right: float, top: float, tall: float) -> Shape:
    corners = ((left, top), (right, top), (right, top - tall), (left, top - tall), (left, top))
    return Shape(role, corners)


CALCULATOR = Calculator(
    "stock",
    "Cutting list",
    "Which piece from which coil or length, with saw cuts and flares, so that least is taken.",
    (
        Asked(
            "pieces",
            "pieces",
            "pieces, a line each",
            Quantity.LINES,
            hint="length, how many, name; the last two may be left out",
        ),
        Asked(
            "stock",
            "stock",
            "stock, a line each",
            Quantity.LINES,
            hint="length, how many there are (left out: as many as needed), name",
        ),
        Asked(
            "unit",
            "unit",
            "lines are in",
            Quantity.CHOICE,
            default="mm",
            choices=tuple(LENGTH_UNITS),
        ),
        Asked(
            "kerf",
            "kerf_m",
            "saw cut",
            Quantity.LENGTH,
            default="1.5 mm",
            hint="none with a tube cutter",
            low=0.0,
            high=0.02,
            bare="mm",
        ),
        Asked(
            "flare",
            "flare_m",
            "tube that the flare of an end takes",
            Quantity.LENGTH,
            default="0 mm",
            hint="added at both ends of every piece",
            low=0.0,
            high=0.1,
            bare="mm",
        ),
        Asked(
            "trim",
            "trim_m",
            "lost at the ends of each length",
            Quantity.LENGTH,
            default="0 mm",
            low=0.0,
            high=1.0,
            bare="mm",
        ),
    ),
    work,
    {
        "pieces": "1850 2 rear | 640 2 front | 2900 1 along | 320 4 hoses",
        "stock": "7620 | 2100 1 offcut",
        "kerf": "0 mm",
        "flare": "3 mm",
    },
)
