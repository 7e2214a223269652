"""Figures and days in another language: a decimal comma, and the months' names."""

import re
from collections.abc import Mapping

UNITS = frozenset(
    "kg g t lb oz kg/h g/m² kg/m³ mm cm m µm in ft km miles px mm² cm² m² in² ft² "  # noqa: SIM905
    "cm³ m³ in³ l ml cc pint gal tpi m/s² "
    "N daN kN N·m Nm kg·m lbf lbf·ft lb·ft lbf·in bar kPa MPa GPa psi V A kB MB GB "
    "h min s ms d ° °C °F K % m/s km/h mph".split()
)
"""What stands behind a number, and is written alike."""
NUMBER = re.compile(r"\(?[≈~±+\-]?\d+(?:\.\d+)?(?:/\d+)?[%°]?[),;]?")
SIGNS = frozenset("×x/-–+±=≈·")
DAY = re.compile(r"(?:(\d{1,2}) )?([A-Z][a-z]{2,8}) (\d{4})(, \d\d:\d\d)?")
SIZE = re.compile(r"M\d+(?:\.\d+)?(?:x\d+(?:\.\d+)?)?|\d+(?:/\d+)?-\d+")
"""A thread by its size: M8x1.25, 5/16-24, 10-32."""
NAMED = frozenset("No. x UNF UNC UNS UNEF BSF BSW BSP BSPT BSB BSCy BA NPT AF LH".split())  # noqa: SIM905
"""What else stands in the size of a fastener or a spanner."""
_DECIMAL = re.compile(r"(?<=\d)\.(?=\d)")


def with_comma(number: str) -> str:
    """Write a number with a decimal comma."""
    return _DECIMAL.sub(",", number)


def figure_told(bare: str, rows: Mapping[str, str]) -> str:
    """Tell a figure with its units, a size, a formula or a day again; else nothing.

    The months' names are rows like any other.
    """
    if day := DAY.fullmatch(bare):
        number, month, year, clock = day.groups()
        if month not in rows:
            return ""
        return f"{number + '. ' if number else ''}{rows[month]} {year}{clock or ''}"
    words = bare.split()
    if all(map(_is_of_a_size, words)) or _is_a_formula(words):
        return with_comma(bare)
    return ""


def measured_told(bare: str, rows: Mapping[str, str]) -> str:
    """Tell a thing with its size again, like ``2 bolt 5/16-24 UNF x 1 in``; else nothing."""
    number, _, sized = bare.partition(" ")
    if number.isdigit() and (told := measured_told(sized, rows)):
        return f"{number} {told}"
    words = bare.split(" ")
    for end in range(len(words) - 1, 0, -1):
        rest = words[end:]
        if not (_is_of_a_size(rest[0]) or rest[0] in rows):
            return ""
        name = " ".join(words[:end])
        thing = rows.get(name, rows.get(name[:1].lower() + name[1:]))
        if thing and any(map(_is_of_a_size, rest)):
            size = (each if _is_of_a_size(each) else rows[each] for each in rest)
            return f"{thing} {with_comma(' '.join(size))}"
    return ""


def _is_of_a_size(word: str) -> bool:
    return _is_of_a_figure(word) or word in NAMED or bool(SIZE.fullmatch(word))


def _is_of_a_figure(word: str) -> bool:
    return word in SIGNS or word.strip("(),;") in UNITS or bool(NUMBER.fullmatch(word))


def _is_a_formula(words: list[str]) -> bool:
    """Tell whether it is one with its numbers put in, like ``S = T L = 2 N × 0.4 m = 0.8 N·m``."""
    if words[1:2] != ["="]:
        return False
    gives = words[-words[::-1].index("=") :] if words[-1] != "=" else []
    return bool(gives) and all(map(_is_of_a_figure, gives))
