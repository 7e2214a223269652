"""Any quantity in any unit of its own: exact for as long as the unit's definition is.

All arithmetic is in fractions, so the only rounding is the one to a float at the end.
"""

from dataclasses import dataclass
from difflib import get_close_matches
from fractions import Fraction

from putback.errors import NotFound, UnitError
from putback.units import parse
from putback.units.figures import tidy
from putback.units.scales import Kind
from putback.units.spellings import (
    ANGLE,
    AREA,
    FORCE,
    INCH,
    LENGTH,
    MASS,
    PITCH,
    STRESS,
    TORQUE,
    VOLUME,
    Quantity,
    key_of,
)

_TABLES = {
    Kind.LENGTH: LENGTH,
    Kind.TORQUE: TORQUE,
    Kind.MASS: MASS,
    Kind.STRESS: STRESS,  # whatever can be said of a pressure as well
    Kind.FORCE: FORCE,
    Kind.VOLUME: VOLUME,
    Kind.AREA: AREA,
    Kind.ANGLE: ANGLE,
}
"""In the order they are tried: a kilogram is a mass first, and a weight where that fails."""

_MINUTES = {
    key_of(spelling): minutes
    for minutes, spellings in {
        Fraction(1): ("min", "mins", "minute", "minutes"),
        Fraction(60): ("h", "hr", "hrs", "hour", "hours"),
    }.items()
    for spelling in spellings
}
_DEGREES = {
    "c": (Fraction(1), Fraction(0)),
    "f": (Fraction(5, 9), Fraction(-160, 9)),
    "k": (Fraction(1), Fraction("-273.15")),
}


@dataclass(frozen=True, slots=True)
class Converted:
    """A quantity in another unit: ``number = (si - nought) / size``, or `size` over it."""

    kind: Kind
    si: float
    """In SI; a time in minutes, a temperature in °C, a pitch in threads per metre."""
    unit: str
    """As it was typed."""
    size: float
    """How many SI units one of these is."""
    nought: float
    number: float
    is_reciprocal: bool = False
    """A pitch asked for as a length, which is one over the threads per length."""


def convert(text: str, to: str) -> Converted:
    """Read a quantity and give it in another unit.

    Raises
    ------
    NotFound
        No unit is spelt so; names the nearest.
    UnitError
        The text is no quantity that has this unit, or the unit means two things.

    Examples
    --------
    >>> [convert(*each).number for each in (("1 lbf ft", "Nm"), ("20 tpi", "mm"), ("80 C", "F"))]
    [1.3558179483314004, 1.27, 176.0]
    """
    key = key_of(tidy(to))
    refusals: list[UnitError] = []
    for attempt in (_by_table, _as_pitch, _as_time, _as_temperature):
        try:
            found = attempt(text, to, key)
        except UnitError as error:
            refusals.append(error)
            continue
        if found is not None:
            return found
    if refusals:
        raise refusals[0]
    known = _spellings()
    near = get_close_matches(key, known, n=3)
    raise NotFound("unit", to, tuple(known[each] for each in near))


def _by_table(text: str, to: str, key: str) -> Converted | None:
    """Try each quantity of which this is a unit; the first refusal stands if all refuse."""
    refusal: UnitError | None = None
    for kind, table in _TABLES.items():
        if key in table.ambiguous:
            refusal = refusal or UnitError(to, f"a unit of {_bare(table)}", table.ambiguous[key])
        if (size := table.factors.get(key)) is None:
            continue
        try:
            si = _read(text, kind, table)
        except UnitError as error:
            refusal = refusal or error
            continue
        return Converted(kind, float(si), to, float(size), 0.0, float(si / size))
    if refusal is not None and not _is_pitch_as_length(text, key):
        raise refusal
    return None


def _read(text: str, kind: Kind, table: Quantity) -> Fraction:
    if kind is Kind.ANGLE:
        return parse.signed(text, table)
    return parse.exact_length(text) if kind is Kind.LENGTH else parse.exact(text, table)


def _is_pitch_as_length(text: str, key: str) -> bool:
    try:
        parse.exact_pitch(text)
    except UnitError:
        return False
    return key in LENGTH.factors


def _as_pitch(text: str, to: str, key: str) -> Converted | None:
    if (size := PITCH.factors.get(key)) is not None:
        per_m = parse.exact_pitch(text)
        return Converted(Kind.PITCH, float(per_m), to, float(size), 0.0, float(per_m / size))
    if (length := LENGTH.factors.get(key)) is None:
        return None
    per_m = parse.exact_pitch(text)
    number = float(1 / (per_m * length))
    return Converted(Kind.PITCH, float(per_m), to, float(length), 0.0, number, is_reciprocal=True)


def _as_time(text: str, to: str, key: str) -> Converted | None:
    if (size := _MINUTES.get(key)) is None:
        return None
    minutes = parse.duration_minutes(text)
    return Converted(Kind.TIME, minutes, to, float(size), 0.0, minutes / float(size))


def _as_temperature(text: str, to: str, key: str) -> Converted | None:
    if (scale := parse.scale_of(to)) is None:
        return None
    size, nought = _DEGREES[scale.casefold()]
    celsius = parse.exact_celsius(text)
    number = float((celsius - nought) / size)
    return Converted(Kind.TEMPERATURE, float(celsius), to, float(size), float(nought), number)


def nearest_64th(inches: float) -> tuple[Fraction, float]:
    """Give the nearest mark of a rule [in], and by how much the length is longer [m]."""
    mark = Fraction(round(inches * 64), 64)
    return mark, (inches - float(mark)) * float(INCH)


def _bare(table: Quantity) -> str:
    return table.name.partition(" ")[2]


def _spellings() -> dict[str, str]:
    """Every spelling of a unit as it is looked up, for whoever misspelt one."""
    tables = (*_TABLES.values(), PITCH)
    return {key: key for table in tables for key in table.factors} | {
        key: key for key in (*_MINUTES, "°c", "°f")
    }
