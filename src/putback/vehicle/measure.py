"""Measures and lengths of fasteners in one exact, canonical spelling."""

import re
from fractions import Fraction

from putback.errors import BadInput
from putback.units.figures import CROSS, NUMBER, fraction_text, plain_decimal, read_number

LONG = re.compile(rf"({NUMBER} ?(?:mm|in|\")?) long(?!\S)", re.IGNORECASE)
"""A length said in words; the number and its unit are its group."""

_NANOMETRES = 10**9
_NM_PER_64TH = 396_875  # a 64th of an inch, exact
_LONGEST_M = 5.0
_PART = re.compile(
    rf"(?P<number>\d+-\d+(?!/)|{NUMBER}) ?(?P<unit>mm|ins?(?![a-z])|\")?", re.IGNORECASE
)
_NAMED = re.compile(r"M ?(?P<metric>\d+(?:\.\d+)?)|No\.? ?(?P<number>\d+)", re.IGNORECASE)


def canonical_measure(text: str) -> str:
    """Write a measure canonically; empty if the text is none.

    A number alone has no unit and is no measure; a fraction alone is in inches.

    Examples
    --------
    >>> canonical_measure("6x6x28mm"), canonical_measure("5/16 x 22 mm"), canonical_measure("eye")
    ('6 x 6 x 28 mm', '5/16 in x 22 mm', '')
    """
    if named := _NAMED.fullmatch(text):
        return (
            f"M{plain_decimal(named['metric'])}" if named["metric"] else f"No. {named['number']}"
        )
    parts = [_PART.fullmatch(part.strip()) for part in CROSS.split(text)]
    if not all(parts):
        return ""
    pairs = [(part["number"], part["unit"] or "") for part in parts if part]
    units = [_unit_of(number, unit or pairs[-1][1]) for number, unit in pairs]
    if not all(units):
        return ""
    numbers = [_canonical_number(number) for number, _ in pairs]
    if len(set(units)) == 1:
        return f"{' x '.join(numbers)} {units[0]}"
    return " x ".join(f"{number} {unit}" for number, unit in zip(numbers, units, strict=True))


def _unit_of(number: str, unit: str) -> str:
    """Millimetres are never written as a fraction, so a fraction is in inches."""
    if "/" in number:
        return "in"
    return "mm" if unit.casefold() == "mm" else "in" if unit else ""


def _canonical_number(number: str) -> str:
    if "/" in number:
        return fraction_text(read_number(number))
    return "-".join(map(plain_decimal, number.split("-")))


def snapped(length_m: float) -> float:
    """A length on the grid of nanometres, on which 64ths of an inch and tenths of mm lie [m].

    Raises
    ------
    BadInput
        No fastener is as long as that.
    """
    if not 1 / _NANOMETRES < length_m <= _LONGEST_M:
        raise BadInput(f"no fastener is {length_m:g} m long", mend="check the unit")
    return round(length_m * _NANOMETRES) / _NANOMETRES


def exact_length_text(length_m: float, *, inches: bool) -> str:
    """Write a snapped length [m] exactly: in 64ths of an inch if it is so many, else in mm.

    Examples
    --------
    >>> exact_length_text(0.0254, inches=True), exact_length_text(0.025, inches=True)
    ('1 in', '25 mm')
    """
    nanometres = round(length_m * _NANOMETRES)
    sixty_fourths, odd = divmod(nanometres, _NM_PER_64TH)
    if inches and not odd:
        return f"{fraction_text(Fraction(sixty_fourths, 64))} in"
    whole, part = divmod(nanometres, 10**6)
    return f"{plain_decimal(f'{whole}.{part:06d}')} mm"
