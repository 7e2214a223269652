"""Quantities as people read them: SI floats to text, metric or imperial, sensibly rounded.

What is written here can be typed back in: `putback.units.parse` reads it, to within the rounding.
"""

from enum import StrEnum
from fractions import Fraction

from putback.units.figures import fraction_text
from putback.units.spellings import (
    FOOT,
    IMPERIAL_GALLON,
    INCH,
    POUND,
    POUND_FORCE,
    US_GALLON,
)


class System(StrEnum):
    """The units somebody chose to read."""

    METRIC = "metric"
    IMPERIAL = "imperial"  # British: imperial pints and gallons
    US = "us"  # American: US quarts and gallons


def torque_text(torque_nm: float, system: System = System.METRIC, *, both: bool = True) -> str:
    """Write a torque [N·m], with the other system in brackets, since wrenches come in both.

    Below 10 lbf·ft the imperial figure is in lbf·in, as on the wrench that reaches so low.

    Examples
    --------
    >>> torque_text(22)
    '22 N·m (16 lbf·ft)'
    """
    pounds = torque_nm / float(POUND_FORCE * FOOT)
    imperial = f"{_round(pounds)} lbf·ft" if pounds >= 10 else f"{_round(pounds * 12)} lbf·in"
    return _in_system(f"{_round(torque_nm)} N·m", imperial, system, both=both)


def length_text(length_m: float, system: System = System.METRIC, *, both: bool = False) -> str:
    """Write a length [m]: millimetres; or inches, as a fraction where it is one.

    Examples
    --------
    >>> length_text(0.1905), length_text(0.0381, System.IMPERIAL), length_text(1.02e-3, both=True)
    ('190.5 mm', '1 1/2 in', '1.02 mm (0.040 in)')
    """
    millimetres = length_m * 1000
    metric = f"{_decimals(millimetres, 2 if millimetres < 10 else 1)} mm"
    return _in_system(metric, _inches_text(length_m), system, both=both)


def mass_text(mass_kg: float, system: System = System.METRIC, *, both: bool = False) -> str:
    """Write a mass [kg]: kilograms or grams; pounds or ounces.

    Examples
    --------
    >>> mass_text(122), mass_text(0.45), mass_text(2.4, System.IMPERIAL)
    ('122 kg', '450 g', '5.3 lb')
    """
    pounds = mass_kg / float(POUND)
    metric = f"{_round(mass_kg)} kg" if mass_kg >= 1 else f"{_round(mass_kg * 1000)} g"
    imperial = f"{_round(pounds)} lb" if pounds >= 1 else f"{_round(pounds * 16)} oz"
    return _in_system(metric, imperial, system, both=both)


def volume_text(volume_m3: float, system: System = System.METRIC, *, both: bool = False) -> str:
    """Write a volume [m³]: litres; imperial pints and gallons; US quarts and gallons.

    Examples
    --------
    >>> volume_text(0.004), volume_text(0.004, System.IMPERIAL), volume_text(0.004, System.US)
    ('4 l', '7 imp pt', '1.1 US gal')
    """
    litres = volume_m3 * 1000
    metric = f"{_round(litres)} l" if litres >= 1 else f"{_round(litres * 1000)} ml"
    american = system is System.US
    gallons = volume_m3 / float(US_GALLON if american else IMPERIAL_GALLON)
    whose, per_gallon, small = ("US", 4, "qt") if american else ("imp", 8, "pt")
    imperial = (
        f"{_round(gallons)} {whose} gal"
        if gallons >= 1
        else f"{_round(gallons * per_gallon)} {whose} {small}"
    )
    return _in_system(metric, imperial, system, both=both)


def duration_text(duration_minutes: float) -> str:
    """Write how long work takes [minutes], to the minute.

    Examples
    --------
    >>> duration_text(90), duration_text(45), duration_text(120)
    ('1 h 30 min', '45 min', '2 h')
    """
    hours, minutes = divmod(round(duration_minutes), 60)
    terms = ((hours, "h"), (minutes, "min"))
    return " ".join(f"{count} {unit}" for count, unit in terms if count) or "0 min"


def _in_system(metric: str, imperial: str, system: System, *, both: bool) -> str:
    first, second = (metric, imperial) if system is System.METRIC else (imperial, metric)
    return f"{first} ({second})" if both else first


def _decimals(number: float, places: int) -> str:
    """A number to so many places, without trailing noughts or a nought below zero."""
    text = f"{number:.{places}f}"
    text = text.rstrip("0").rstrip(".") if places else text
    return "0" if text == "-0" else text


def _round(number: float) -> str:
    """Whole from ten upwards, one decimal below: closer than anybody tightens, weighs or fills."""
    return _decimals(number, 0 if number >= 9.95 else 1)


def _inches_text(length_m: float) -> str:
    inches = length_m / float(INCH)
    if inches >= 36:
        feet, rest = divmod(Fraction(round(inches * 16), 16), 12)
        return f"{feet} ft {fraction_text(rest)} in" if rest else f"{feet} ft"
    as_fraction = Fraction(round(inches * 64), 64)
    # Half a thousandth: what a rule's mark cannot be told from.
    if as_fraction and abs(inches - as_fraction) < 0.0005:
        return f"{fraction_text(as_fraction)} in"
    return f"{inches:.3f} in"
