"""A figure in a sentence, metric and imperial: whoever typed pounds reads the verdict in pounds.

Answers keep figures in SI and leave their units to whoever shows them; a verdict is words, and has
to carry both itself. It rounds to whole units or to so many figures, as one speaks.
"""

_POUND_KG, _INCH_M = 0.45359237, 0.0254
_POUND_FORCE_N = _POUND_KG * 9.80665
_POUND_FOOT_NM = _POUND_FORCE_N * 12 * _INCH_M
_SMALL_POUNDS = 100.0


def mass(value_kg: float, places: int = 0) -> str:
    """Write a mass [kg], with pounds: whole ones, and tenths below a hundred where kg have them.

    Examples
    --------
    >>> mass(1127.4), mass(14.06, 1)
    ('1127 kg (2485 lb)', '14.1 kg (31.0 lb)')
    """
    pounds = value_kg / _POUND_KG
    return f"{value_kg:.{places}f} kg ({pounds:.{places if pounds < _SMALL_POUNDS else 0}f} lb)"


def masses(low_kg: float, high_kg: float) -> str:
    """Write a range of masses [kg], with whole pounds: ``150 to 225 kg (331 to 496 lb)``."""
    low, high = low_kg / _POUND_KG, high_kg / _POUND_KG
    return f"{low_kg:.0f} to {high_kg:.0f} kg ({low:.0f} to {high:.0f} lb)"


def length(value_m: float, places: int = 0) -> str:
    """Write a length [m] as a tape reads it, with a place more of inches: ``348 mm (13.7 in)``."""
    return f"{value_m * 1000:.{places}f} mm ({value_m / _INCH_M:.{places + 1}f} in)"


def lengths(low_m: float, high_m: float) -> str:
    """Write a range of lengths [m]: ``330 to 555 mm (13.0 to 21.9 in)``."""
    low, high = low_m / _INCH_M, high_m / _INCH_M
    return f"{low_m * 1000:.0f} to {high_m * 1000:.0f} mm ({low:.1f} to {high:.1f} in)"


def force(value_n: float) -> str:
    """Write a force of the hands [N], with whole pounds-force: ``400 N (90 lbf)``."""
    return f"{value_n:.0f} N ({value_n / _POUND_FORCE_N:.0f} lbf)"


def torque(value_nm: float) -> str:
    """Write a torque [N·m] to three figures, with lbf·ft: ``41.2 N·m (30.4 lbf·ft)``."""
    return f"{value_nm:.3g} N·m ({value_nm / _POUND_FOOT_NM:.3g} lbf·ft)"
