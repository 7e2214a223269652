"""Quantities as people type them, to plain floats in SI.

Our own table of trade spellings (`putback.units.spellings`) is asked first; what it does not know
goes to pint, which is imported only then. A number without a unit is refused, since guessing it is
how a wheel nut is tightened to 90 N·m instead of 90 lbf·ft; a form that shows its unit beside the
box passes it as `bare`. Two things are plain without one: a fraction is in inches, and ``1:30`` is
an hour and a half.
"""

import re
from fractions import Fraction
from functools import cache, lru_cache
from typing import TYPE_CHECKING, Any

from putback.errors import UnitError
from putback.units.figures import NUMBER, is_grouped, read_number, tidy
from putback.units.spellings import (
    ANGLE,
    AREA,
    FORCE,
    LENGTH,
    MASS,
    PITCH,
    PRESSURE,
    STRESS,
    TORQUE,
    VOLUME,
    Quantity,
    key_of,
)

if TYPE_CHECKING:
    import pint

_LONGEST = 60  # characters; a quantity is never longer, and a joke should not cost time
_TERM = re.compile(rf"(?:^|(?<=[\s\"'°])){NUMBER}")
_RANGE = re.compile(r"\d\s*(?:-|to)\s*\d")
_WORD = r"[^\W\d_]+(?:\^?[234])?"
_FOR_PINT = re.compile(rf"{_WORD}(?: ?[ */·] ?{_WORD})*")


def torque_nm(text: str, *, bare: str = "") -> float:
    """Read a torque [N·m].

    Parameters
    ----------
    text : str
        What was typed.
    bare : str
        The unit of a number without one; empty to refuse such a number.

    Raises
    ------
    UnitError
        The text is no torque, or does not say in which unit.

    Examples
    --------
    >>> round(torque_nm("18 lb ft"), 3)
    24.405
    >>> torque_nm("25 Nm")
    25.0
    """
    return _read(text, TORQUE, bare)


def length_m(text: str, *, bare: str = "") -> float:
    """Read a length [m]; a fraction without a unit is in inches. As `torque_nm`.

    Examples
    --------
    >>> length_m('1 1/2"'), length_m("5/16"), length_m("190.5 mm")
    (0.0381, 0.0079375, 0.1905)
    """
    return float(exact_length(text, bare=bare))


def exact_length(text: str, *, bare: str = "") -> Fraction:
    """Read a length [m], not yet rounded. As `length_m`."""
    if not bare and re.fullmatch(NUMBER, tidied := tidy(text)) and "/" in tidied:
        bare = "in"
    return exact(text, LENGTH, bare=bare)


def mass_kg(text: str, *, bare: str = "") -> float:
    """Read a mass [kg]; a hundredweight is the long one, of 112 lb. As `torque_nm`.

    Examples
    --------
    >>> round(mass_kg("27 lb 8 oz"), 3)
    12.474
    """
    return _read(text, MASS, bare)


def pressure_pa(text: str, *, bare: str = "") -> float:
    """Read a pressure [Pa]. As `torque_nm`.

    Examples
    --------
    >>> pressure_pa("1.8 bar")
    180000.0
    """
    return _read(text, PRESSURE, bare)


def volume_m3(text: str, *, bare: str = "") -> float:
    """Read a volume [m³]; a pint must say whose it is. As `torque_nm`.

    Examples
    --------
    >>> volume_m3("7 imp pints")
    0.00397782875
    """
    return _read(text, VOLUME, bare)


def force_n(text: str, *, bare: str = "") -> float:
    """Read a force [N]; kilograms and pounds are weights under standard gravity. As `torque_nm`.

    Examples
    --------
    >>> force_n("300 N"), round(force_n("75 kg"), 2)
    (300.0, 735.5)
    """
    return _read(text, FORCE, bare)


def area_m2(text: str, *, bare: str = "") -> float:
    """Read an area [m²]. As `torque_nm`.

    Examples
    --------
    >>> area_m2("58 mm²")
    5.8e-05
    """
    return _read(text, AREA, bare)


def stress_pa(text: str, *, bare: str = "") -> float:
    """Read a stress [Pa]. As `torque_nm`.

    Examples
    --------
    >>> stress_pa("640 N/mm²")
    640000000.0
    """
    return _read(text, STRESS, bare)


def angle_rad(text: str, *, bare: str = "") -> float:
    """Read an angle [rad]; it may be below zero, as a rotation the other way is. As `torque_nm`.

    Examples
    --------
    >>> round(angle_rad("-90°"), 4), round(angle_rad("12° 30'"), 4), angle_rad("0.5 rad")
    (-1.5708, 0.2182, 0.5)
    """
    return float(signed(text, ANGLE, bare=bare))


def pitch_per_m(text: str, *, bare: str = "") -> float:
    """Read a thread's pitch as threads per length [1/m]: ``24 tpi``, or ``1.5 mm`` a thread.

    Examples
    --------
    >>> round(pitch_per_m("1.5 mm"), 3), round(pitch_per_m("25.4 tpi"), 3)
    (666.667, 1000.0)
    """
    return float(exact_pitch(text, bare=bare))


def exact_pitch(text: str, *, bare: str = "") -> Fraction:
    """Read a pitch [1/m], not yet rounded. As `pitch_per_m`."""
    tidied = tidy(text)[:_LONGEST]
    found = None if is_grouped(tidied) else re.fullmatch(rf"({NUMBER}) ?(\D*)", tidied)
    length = LENGTH.factors.get(key_of(found[2] or bare)) if found else None
    size = read_number(found[1]) * length if found and length else exact(text, PITCH, bare=bare)
    if not size:
        raise UnitError(text, PITCH.name, "a thread's pitch is more than nothing")
    return 1 / size if length else size


_HOURS = r"(?:h|hr|hrs|hour|hours)"
_MINUTES = r"(?:m|min|mins|minute|minutes)"
_DURATION = re.compile(
    rf"(?:(?P<clock>\d+):(?P<past>[0-5]\d)(?: ?{_HOURS})?"
    rf"|(?:(?P<hours>{NUMBER}) ?{_HOURS})?(?: ?(?:and )?(?P<minutes>{NUMBER}) ?{_MINUTES})?"
    rf"|(?P<whole>\d+) ?{_HOURS} ?(?P<rest>[0-5]?\d))\.?",
    re.IGNORECASE,
)


def duration_minutes(text: str, *, bare: str = "") -> float:
    """Read how long work takes [minutes].

    A day is refused: a working day, a day and a night, and a day in the garage after work are
    three lengths. As `torque_nm`; `bare` is "h" or "min".

    Examples
    --------
    >>> duration_minutes("1 h 30"), duration_minutes("1:30"), duration_minutes("1 1/2 hours")
    (90.0, 90.0, 90.0)
    """
    tidied = tidy(text)
    if bare and re.fullmatch(NUMBER, tidied):
        tidied = f"{tidied} {bare}"
    found = _DURATION.fullmatch(tidied) if 0 < len(tidied) <= _LONGEST else None
    if found is None or is_grouped(tidied):
        mend = "write it like '1 h 30 min', '1:30' or '90 min'"
        if re.search(r"(?:days?|weeks?)\b", tidied, re.IGNORECASE):
            mend = "say how many hours of work you mean, like '16 h'"
        raise UnitError(text, "a time of work", mend)
    hours, minutes = (
        sum(read_number(part) for part in found.group(*names) if part)
        for names in (("clock", "hours", "whole"), ("past", "minutes", "rest"))
    )
    return float(60 * hours + minutes)


_DEGREES = {
    key_of(spelling): scale
    for scale, spellings in {
        "C": "C, °C, degC, deg C, celsius, degrees C, degrees celsius, centigrade",
        "F": "F, °F, degF, deg F, fahrenheit, degrees F, degrees fahrenheit",
        "K": "K, kelvin",
    }.items()
    for spelling in spellings.split(", ")
}


def temperature_c(text: str, *, bare: str = "") -> float:
    """Read a temperature [°C]; the one quantity that may be below zero. As `torque_nm`.

    Examples
    --------
    >>> temperature_c("180 F"), temperature_c("-5 °C")
    (82.22222222222223, -5.0)
    """
    return float(exact_celsius(text, bare=bare))


def scale_of(unit: str) -> str | None:
    """Give the scale of temperature that is spelt so: C, F or K."""
    return _DEGREES.get(key_of(unit))


def exact_celsius(text: str, *, bare: str = "") -> Fraction:
    """Read a temperature [°C], not yet rounded. As `temperature_c`."""
    tidied = tidy(text)
    found = re.fullmatch(rf"(-?) ?({NUMBER}) ?(\D*)", tidied) if len(tidied) <= _LONGEST else None
    scale = _DEGREES.get(key_of(found[3] or bare)) if found else None
    if found is None or scale is None or is_grouped(tidied):
        raise UnitError(text, "a temperature", "write it like '80 °C' or '176 °F'")
    degrees = read_number(found[2]) * (-1 if found[1] else 1)
    if scale == "F":
        degrees = (degrees - 32) * 5 / 9
    elif scale == "K":
        degrees -= Fraction("273.15")
    if degrees < Fraction("-273.15"):
        raise UnitError(text, "a temperature", "nothing is colder than -273.15 °C")
    return degrees


def _read(text: str, quantity: Quantity, bare: str) -> float:
    return float(exact(text, quantity, bare=bare))


def exact(text: str, quantity: Quantity, *, bare: str = "") -> Fraction:
    """Sum the terms of a quantity, each a number and a unit; in SI and not yet rounded.

    Raises
    ------
    UnitError
        As `torque_nm`.
    """
    tidied = tidy(text)
    numbers = list(_TERM.finditer(tidied)) if len(tidied) <= _LONGEST else []
    if not numbers or numbers[0].start() or (len(numbers) > 1 and not quantity.in_terms):
        raise UnitError(text, quantity.name, _mend(tidied, quantity))
    if is_grouped(tidied):
        raise UnitError(text, quantity.name, "leave the comma out of thousands, or write a point")
    ends = [number.start() for number in numbers[1:]] + [len(tidied)]
    total = Fraction(0)
    for number, end in zip(numbers, ends, strict=True):
        unit = tidied[number.end() : end].strip() or (bare if len(numbers) == 1 else "")
        total += read_number(number[0]) * _factor(unit, quantity, text)
    return total


def signed(text: str, quantity: Quantity, *, bare: str = "") -> Fraction:
    """Read a quantity that may be below zero, not yet rounded. As `exact`."""
    tidied = tidy(text)
    if tidied.startswith("-"):
        return -exact(tidied[1:].strip(), quantity, bare=bare)
    return exact(text, quantity, bare=bare)


def _factor(unit: str, quantity: Quantity, text: str) -> Fraction:
    """How many SI units one of these is."""
    key = key_of(unit)
    if (factor := quantity.factors.get(key)) is not None:
        return factor
    if (question := quantity.ambiguous.get(key)) is not None:
        raise UnitError(text, quantity.name, question)
    if _FOR_PINT.fullmatch(unit) and (size := _size_by_pint(unit, quantity.si)) is not None:
        return Fraction(size)
    raise UnitError(text, quantity.name, _mend(tidy(text), quantity))


def _mend(tidied: str, quantity: Quantity) -> str:
    """Say how to write it, in answer to what seems to be meant."""
    if tidied.startswith("-"):
        return f"leave the minus sign out: {quantity.name} is never negative"
    if re.fullmatch(NUMBER, tidied):
        return f"say in which unit, like {quantity.example}"
    if _RANGE.search(re.sub(r"\d+-\d+/\d+", "", tidied)):
        return f"give one figure, not a range, like {quantity.example}"
    return f"write it like {quantity.example}"


@cache
def _registry() -> "pint.UnitRegistry[Any]":
    """Pint's units; a third of a second to load, which most runs never need."""
    import pint

    return pint.UnitRegistry()


@lru_cache(maxsize=256)
def _size_by_pint(unit: str, si: str) -> float | None:
    """How many SI units pint takes this for; ``None`` where it is something else."""
    from pint import PintError

    registry = _registry()
    try:
        one = registry.Quantity(1, registry.parse_units(unit.replace("·", "*")))
        size = float(one.to(si).magnitude)
    except (PintError, AssertionError, AttributeError, TypeError, ValueError):
        # Beside its own errors pint lets slip what its parser stumbles over.
        return None
    # A joule has the dimensions of a torque and is none: a torque names a force and an arm.
    is_energy = si == TORQUE.si and len(list(one.unit_items())) < 2
    return None if is_energy else size
