"""Screw threads by the names people use for them, each to one canonical name.

``5/16-24``, ``5/16 UNF`` and ``5/16-24 UNF`` are one thread, and so are ``M8`` and ``M8x1.25``.
Which pitches belong to which size is data (``data/threads.csv``); a thread that is in no table is
real often enough on an old vehicle, and is said to be ``special`` rather than refused.
"""

import re
from collections.abc import Iterable
from dataclasses import dataclass, field
from enum import StrEnum
from fractions import Fraction
from functools import cache

from putback.bench.tables import data_table
from putback.errors import BadInput
from putback.units.figures import fraction_text, read_number

INCH_MM = Fraction("25.4")


class Series(StrEnum):
    """A family of threads; the value stands in the thread's name."""

    UNC = "UNC"  # unified, coarse
    UNF = "UNF"  # unified, fine
    UNEF = "UNEF"  # unified, extra fine
    BSF = "BSF"  # British fine, Whitworth form
    BSW = "BSW"  # British Whitworth, coarse
    BSB = "BSB"  # British brass, 26 to the inch whatever the size
    METRIC = "M"  # ISO metric
    BA = "BA"  # small British, by number
    NPT = "NPT"  # American taper pipe
    BSP = "BSP"  # British parallel pipe, G in ISO 228
    BSPT = "BSPT"  # British taper pipe, R in ISO 7
    SELF_TAPPING = "self-tapping"  # cuts its own thread in sheet, by number
    WOOD = "wood"  # by number
    SPECIAL = "special"  # in no table: as measured


_GUESSED = (Series.UNC, Series.UNF, Series.UNEF, Series.BSF, Series.BSW, Series.BSB)
"""The order in which a size and a pitch without a name are taken; unified before British."""
_METRIC_NAMED = frozenset({Series.METRIC, Series.BA})
_BY_NUMBER = frozenset({Series.SELF_TAPPING, Series.WOOD})
_SERIES_NAMED = {
    **{series.replace("-", "").upper(): series for series in Series if series != Series.METRIC},
    "WHIT": Series.BSW,
    "WHITWORTH": Series.BSW,
    "BSPP": Series.BSP,
    "SELFTAPPER": Series.SELF_TAPPING,
}
SERIES_WORD = re.compile(
    r"(?<![A-Za-z])(?:UNC|UNF|UNEF|BSF|BSW|Whit(?:worth)?|BSB|BA|NPT|BSPT|BSPP?"
    r"|self[- ]?tapp(?:ing|er)|wood|special)(?![\w-])\.?",
    re.IGNORECASE,
)


@dataclass(frozen=True, slots=True)
class Thread:
    """One thread. ``size`` is as it is written: inches, millimetres or a number."""

    series: Series
    size: str
    tpi: str = ""
    """Threads per inch, as written; empty for metric, BA and screws by number."""
    pitch_mm: str = ""
    """As written [mm]; empty where it is said per inch."""
    major_mm: str = ""
    """Over the crests [mm]; empty where the size says it."""
    left_hand: bool = False
    status: str = field(default="", compare=False)
    """Whether the table's row was ``published`` or is from ``memory``; empty if it is in none."""
    use: str = field(default="", compare=False)
    """What the thread is met with on beside general work: ``brake and fuel pipe``."""

    @property
    def name(self) -> str:
        """The canonical name."""
        match self.series:
            case Series.METRIC:
                name = f"M{self.size}x{self.pitch_mm}"
            case Series.SPECIAL if self.pitch_mm:
                name = f"M{self.size}x{self.pitch_mm} special"
            case Series.BA:
                name = f"{self.size} BA"
            case Series.SELF_TAPPING | Series.WOOD:
                name = f"No. {self.size} {self.series}"
            case _:
                name = f"{self.size}-{self.tpi} {self.series}"
        return f"{name} LH" if self.left_hand else name

    @property
    def is_metric(self) -> bool:
        """Whether lengths beside it are in millimetres."""
        return bool(self.pitch_mm)

    @property
    def pitch_m(self) -> float | None:
        """From crest to crest [m]; ``None`` for screws by number."""
        if self.series in _BY_NUMBER:
            return None
        mm = Fraction(self.pitch_mm) if self.pitch_mm else INCH_MM / read_number(self.tpi)
        return float(mm / 1000)

    @property
    def major_m(self) -> float:
        """Over the crests [m], nominal."""
        if self.major_mm:
            mm = Fraction(self.major_mm)
        elif self.is_metric:
            mm = Fraction(self.size)
        else:
            mm = INCH_MM * _size_in(self.size)
        return float(mm / 1000)


def _size_in(size: str) -> Fraction:
    """A size in inches; a whole number from 2 up is a screw's number (ASME B1.1: 0.060 + 0.013 n).

    Number 1 is left out of the table, so that ``1`` is always one inch.
    """
    if size.isdecimal() and size != "1":
        return Fraction(60 + 13 * int(size), 1000)
    return read_number(size)


@cache
def known_threads() -> tuple[Thread, ...]:
    """Every thread in the table, in its order."""
    return tuple(
        Thread(
            Series(row["series"]),
            row["size"],
            tpi=row["tpi"],
            pitch_mm=row["pitch_mm"],
            major_mm=row["major_mm"],
            status=row["status"],
            use=row["use"],
        )
        for row in data_table("threads").rows
    )


def metric_pitches(size: str) -> tuple[str, ...]:
    """The pitches [mm] an M size is made with, coarse first; empty for an unknown size."""
    return tuple(
        thread.pitch_mm
        for thread in known_threads()
        if thread.series is Series.METRIC and thread.size == size
    )


def series_named(word: str) -> Series:
    """Find the series of a word that `SERIES_WORD` matched."""
    return _SERIES_NAMED[re.sub(r"[ .-]", "", word).upper()]


def metric_thread(size: str, pitch_mm: str = "", *, special: bool = False) -> Thread:
    """Find M `size`, of coarse pitch where none is said [mm].

    Raises
    ------
    BadInput
        No table has it, and it is not said to be special.
    """
    if special and pitch_mm:
        return Thread(Series.SPECIAL, size, pitch_mm=pitch_mm)
    of_size = [
        thread
        for thread in known_threads()
        if thread.series is Series.METRIC and thread.size == size
    ]
    for thread in of_size:
        if pitch_mm in ("", thread.pitch_mm):
            return thread
    if of_size:
        made = ", ".join(thread.name for thread in of_size)
        mend = f"there is {made}; if it was measured so, write M{size}x{pitch_mm} special"
    else:
        mend = f"with its pitch it may be written, like M{size}x1 special"
    name = f"M{size}{f'x{pitch_mm}' if pitch_mm else ''}"
    raise BadInput(f"no thread {name} is in the tables", mend=mend)


def inch_thread(size: str, tpi: str = "", series: Series | None = None) -> Thread:
    """Find a thread by its size, its threads per inch, its series, or any two of them.

    Raises
    ------
    BadInput
        No table has it, or it may be one of several that are not told apart by a habit.
    """
    if series in _BY_NUMBER:
        return Thread(series, size)
    if series is Series.SPECIAL and tpi:
        return Thread(series, size, tpi)
    fits = [
        thread
        for thread in known_threads()
        if thread.size == size
        and thread.series is not Series.METRIC
        and (series in (None, thread.series))
        and (not tpi or thread.tpi == tpi)
        and (series is not None or thread.series is not Series.BA)
    ]
    for guess in _GUESSED if tpi and series is None else ():
        if named := [thread for thread in fits if thread.series is guess]:
            return named[0]
    if len(fits) == 1:
        return fits[0]
    typed = " ".join(filter(None, (f"{size}-{tpi}" if tpi else size, series or "")))
    if fits:
        raise BadInput(f"thread {typed} is not one thread", mend=f"say {_one_of(fits)}")
    special = f"if it was measured so, write {size}-{tpi or 24} special"
    near = [t for t in known_threads() if t.size == size and t.series not in _METRIC_NAMED]
    if near:
        near.sort(key=lambda thread: abs(float(thread.tpi) - float(tpi or thread.tpi)))
        special = f"there is {_one_of(near[:3])}; {special}"
    raise BadInput(f"no thread {typed} is in the tables", mend=special)


def _one_of(threads: Iterable[Thread]) -> str:
    *others, last = (thread.name for thread in threads)
    return f"{', '.join(others)} or {last}" if others else last


def canonical_size(text: str) -> str:
    """Write the size of an inch thread as the table does.

    Examples
    --------
    >>> canonical_size("10/32"), canonical_size("1 2/8")
    ('5/16', '1 1/4')
    """
    return fraction_text(read_number(text)) if "." not in text else text
