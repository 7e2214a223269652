"""Figures with as many places as were measured: metric and imperial, with scatter and range.

`putback.units.show` writes what somebody sets a wrench to or lifts; here a thread's pitch diameter
keeps its micrometres and a tape's reading does not pretend to any.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction

from putback.units.figures import fraction_text
from putback.units.show import System, duration_text
from putback.units.spellings import FOOT, IMPERIAL_GALLON, INCH, POUND, POUND_FORCE

_SURE_FIGURES = 3
_TINY = 1e-6
_LEAST_SHARE = 1e-4
_DAY_MINUTES = 24 * 60


class Kind(StrEnum):
    """What a figure measures; inside it is in SI, angles in radians, times in minutes."""

    LENGTH = "length"
    AREA = "area"
    VOLUME = "volume"
    ANGLE = "angle"
    MASS = "mass"
    FORCE = "force"
    TORQUE = "torque"
    STRESS = "stress"
    PRESSURE = "pressure"
    TEMPERATURE = "temperature"
    TIME = "time"
    SHARE = "share"
    PITCH = "pitch"


@dataclass(frozen=True, slots=True)
class _Scale:
    """A unit, its size in SI, and up to which size of figure [SI] it is the handy one."""

    unit: str
    size: float
    up_to: float = math.inf
    least: float = 0.0
    """Below which it is not handy either: no mass at all is no grams, but no kilograms [SI]."""
    nought: float = 0.0
    """The SI value at which this scale says 0: only temperatures have one of their own."""

    def at(self, value: float) -> float:
        return (value - self.nought) / self.size


_SPECK_KG = 1e-6
_INCH, _FOOT, _POUND, _POUND_FORCE = map(float, (INCH, FOOT, POUND, POUND_FORCE))
_SCALES: dict[Kind, tuple[Sequence[_Scale], Sequence[_Scale]]] = {
    Kind.LENGTH: (
        [_Scale("mm", 1e-3, 10.0), _Scale("m", 1.0)],
        [_Scale("in", _INCH, 10.0), _Scale("ft", _FOOT)],
    ),
    Kind.AREA: (
        [_Scale("mm²", 1e-6, 0.01), _Scale("m²", 1.0)],
        [_Scale("in²", _INCH**2, 0.01), _Scale("ft²", _FOOT**2)],
    ),
    Kind.VOLUME: (
        [_Scale("ml", 1e-6, 1e-3), _Scale("l", 1e-3)],
        [_Scale("in³", _INCH**3, 1e-3), _Scale("imp gal", float(IMPERIAL_GALLON))],
    ),
    Kind.ANGLE: ([_Scale("°", math.pi / 180)], []),
    Kind.MASS: (
        [_Scale("g", 1e-3, 1.0, least=_SPECK_KG), _Scale("kg", 1.0)],
        [_Scale("oz", _POUND / 16, _POUND, least=_SPECK_KG), _Scale("lb", _POUND)],
    ),
    Kind.FORCE: (
        [_Scale("N", 1.0, 10_000.0), _Scale("kN", 1000.0)],
        [_Scale("lbf", _POUND_FORCE)],
    ),
    Kind.TORQUE: (
        [_Scale("N·m", 1.0)],
        [
            _Scale("lbf·in", _POUND_FORCE * _INCH, 10 * _POUND_FORCE * _FOOT),
            _Scale("lbf·ft", _POUND_FORCE * _FOOT),
        ],
    ),
    Kind.STRESS: ([_Scale("MPa", 1e6)], [_Scale("psi", _POUND_FORCE / _INCH**2)]),
    Kind.PRESSURE: ([_Scale("bar", 1e5)], [_Scale("psi", _POUND_FORCE / _INCH**2)]),
    Kind.TEMPERATURE: ([_Scale("°C", 1.0)], [_Scale("°F", 5 / 9, nought=-160 / 9)]),
    Kind.SHARE: ([_Scale("%", 0.01)], []),
    Kind.PITCH: ([_Scale("/mm", 1000.0)], [_Scale("tpi", 1 / _INCH)]),
}
_TIME = [_Scale("days", _DAY_MINUTES, 730 * _DAY_MINUTES), _Scale("years", 365.25 * _DAY_MINUTES)]


def measured_text(
    kind: Kind,
    value: float,
    system: System = System.METRIC,
    *,
    plus_minus: float | None = None,
    between: tuple[float, float] | None = None,
    step: float | None = None,
    both: bool = True,
) -> str:
    """Write a figure [SI], its scatter and the range it lies in, all in one unit.

    Parameters
    ----------
    kind : Kind
        What it measures.
    value : float
        The figure.
    system : System
        Whose units come first.
    plus_minus : float, optional
        Its scatter, in SI; the figure is shown to the second figure of it, and no further.
    between : tuple of float, optional
        The least and the most it may be, in SI.
    step : float, optional
        How finely it is meant to be read, in SI, where it has no scatter; a length no finer than
        the usual instrument reads.
    both : bool
        With the other system in brackets.

    Examples
    --------
    >>> measured_text(Kind.LENGTH, 0.009026), measured_text(Kind.TORQUE, 36.607)
    ('9.026 mm (0.3554 in)', '36.6 N·m (27 lbf·ft)')
    >>> measured_text(Kind.LENGTH, 3.21418, plus_minus=0.00042, both=False)
    '3214.18 ± 0.42 mm'
    >>> measured_text(Kind.LENGTH, 0.022859, step=1e-3)
    '23 mm (0.9 in)'
    """
    if kind is Kind.SHARE and 0 < value < _LEAST_SHARE and not plus_minus:
        return "less than 0.01 %"
    if kind is Kind.TIME:
        return _time_text(value, plus_minus, between)
    metric, imperial = (
        [_in(_handy(scales, value), kind, value, plus_minus, between, step)] if scales else []
        for scales in _SCALES[kind]
    )
    first, second = (metric, imperial) if system is System.METRIC else (imperial, metric)
    if kind is Kind.PITCH:
        first, second = imperial, [_pitch_in_mm(value)] if value else []
    shown = [*first, *second]
    return f"{shown[0]} ({shown[1]})" if both and len(shown) > 1 else shown[0]


def in_handy_unit(
    kind: Kind,
    value: float,
    system: System = System.METRIC,
    *,
    plus_minus: float | None = None,
    step: float | None = None,
    others: Sequence[float | None] = (),
) -> tuple[float, str, tuple[float | None, ...]]:
    """Give a figure [SI] in the unit it is read in, no finer than the usual instrument reads.

    Parameters
    ----------
    kind, value, system, plus_minus, step
        As `measured_text` takes them.
    others : sequence of float or None
        Further figures [SI], such as limits: in the same unit, and a place finer.

    Returns
    -------
    tuple
        The number, its unit, and the other numbers.

    Examples
    --------
    >>> in_handy_unit(Kind.LENGTH, 0.0106213, others=(0.0104, None))
    (10.621, 'mm', (10.4, None))
    >>> in_handy_unit(Kind.TORQUE, 36.607, System.IMPERIAL)
    (27.0, 'lbf·ft', ())
    """
    if kind is Kind.TIME:
        return round(value), "min", tuple(each if each is None else round(each) for each in others)
    metric, imperial = _SCALES[kind]
    wants_imperial = (system is System.IMPERIAL or kind is Kind.PITCH) and bool(imperial)
    scale = _handy(imperial if wants_imperial else metric, value)
    places = _places_read(scale, kind, value, plus_minus, step)
    told = tuple(each if each is None else round(scale.at(each), places + 1) for each in others)
    return float(_to_places(scale.at(value), places)), scale.unit, told


def significant(number: float, figures: int = _SURE_FIGURES) -> str:
    """Write a number to so many figures, whole where it is larger.

    Examples
    --------
    >>> significant(36.607), significant(92824.0), significant(0.00012345, 4), significant(2.0)
    ('36.6', '92824', '0.0001234', '2')
    """
    if 0 < abs(number) < _TINY:
        return f"{number:.{figures}g}"
    return _to_places(number, _places(number, figures))


def _handy(scales: Sequence[_Scale], value: float) -> _Scale:
    return next(each for each in scales if each.least <= abs(value) < each.up_to)


def _in(
    scale: _Scale,
    kind: Kind,
    value: float,
    plus_minus: float | None,
    between: tuple[float, float] | None,
    step: float | None,
) -> str:
    number = scale.at(value)
    unit = scale.unit if scale.unit == "°" else f" {scale.unit}"
    places = _places_read(scale, kind, value, plus_minus, step)
    if plus_minus:
        shown = f"{number:.{places}f} ± {plus_minus / scale.size:.{places}f}{unit}"
    else:
        text = _as_fraction(number) if scale.unit == "in" else ""
        shown = f"{text or _to_places(number, places)}{unit}"
    if between is None:
        return shown
    low, high = (_to_places(scale.at(each), places) for each in between)
    return f"{shown}, from {low} to {high}{unit}"


def _places_read(
    scale: _Scale, kind: Kind, value: float, plus_minus: float | None, step: float | None
) -> int:
    """How many places are meant: by the scatter, the step, or the usual instrument."""
    if plus_minus:
        return _places(plus_minus / scale.size, 2)
    places = _places_of(kind, scale, value)
    if step is None:
        return places
    meant = _places_to(step / scale.size)
    return min(meant, places) if kind is Kind.LENGTH else meant


def _places_of(kind: Kind, scale: _Scale, value: float) -> int:
    """How many places the usual instrument reads: micrometer, calliper, rule; protractor."""
    number = abs(scale.at(value))
    if kind is Kind.LENGTH:
        if scale.unit in ("m", "ft"):
            return 3 if scale.unit == "m" else 2
        # An inch is longer than a millimetre, so it takes a place more to say as much.
        return (4 if scale.unit == "in" else 3) - sum(abs(value) >= each for each in (0.025, 0.15))
    if kind is Kind.ANGLE:
        return 1
    if kind is Kind.TEMPERATURE:
        return 0
    if kind is Kind.PITCH:
        return 2
    return _places(number, _SURE_FIGURES)


def _places(number: float, figures: int) -> int:
    """How many decimal places give so many figures; none for what is larger."""
    if number == 0:
        return 0
    return max(0, figures - 1 - math.floor(math.log10(abs(number))))


def _places_to(step: float) -> int:
    """How many decimal places tell a step; below none, figures before the point are noughts."""
    return math.ceil(-math.log10(step) - _TINY)


def _to_places(number: float, places: int) -> str:
    text = f"{number:.{places}f}" if places >= 0 else f"{round(number, places):.0f}"
    text = text.rstrip("0").rstrip(".") if places > 0 else text
    return "0" if text == "-0" else text


def _as_fraction(inches: float) -> str:
    """Give inches that are a fraction of a rule as one; nothing where they are not."""
    near = Fraction(round(inches * 64), 64)
    is_one = near > 0 and near.denominator > 1 and abs(inches - near) < 1e-6
    return fraction_text(near) if is_one else ""


def _pitch_in_mm(per_m: float) -> str:
    return f"{_to_places(1000 / per_m, 4)} mm"


def _time_text(
    minutes: float, plus_minus: float | None, between: tuple[float, float] | None
) -> str:
    shown = _long_time(minutes)
    if plus_minus:
        shown += f" ± {_long_time(plus_minus)}"
    return f"{shown}, from {' to '.join(map(_long_time, between))}" if between else shown


def _long_time(minutes: float) -> str:
    """Work in hours and minutes, wear in days and years."""
    if minutes < 2 * _DAY_MINUTES:
        return duration_text(minutes)
    scale = _handy(_TIME, minutes)
    return f"{significant(scale.at(minutes), 2)} {scale.unit}"
