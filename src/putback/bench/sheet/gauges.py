"""Sheet gauges as thickness: the same number is another thickness in each of the series.

The US series stand for a weight per area (``data/gauges_us.csv``) and so for a thickness only with
a density; British sheet goes by the imperial standard wire gauge (``data/gauges_swg.csv``);
aluminium by the Brown & Sharpe gauge, which is a geometric series.
"""

from enum import StrEnum
from math import exp, log

from putback.bench.calculator import OutsideLimits
from putback.bench.tables import data_table

INCH_M = 0.0254
MSG_LB_PER_FT2_IN = 41.82
"""Weight of steel a square foot and inch thick, by the Manufacturers' Standard Gauge [lb]."""
_IRON_LB_PER_FT2_IN = 40.0
"""The same of the wrought iron that the law of 1893 counts with [lb]."""
_ZINC_OZ_PER_FT2 = 2.5
"""What the coating adds in the galvanized gauge, both sides together [oz]."""
_GALVANIZED = range(8, 31)
_WROUGHT = range(0, 41)
LB_PER_FT2 = 0.45359237 / 0.3048**2
"""Kilograms a square metre in a pound a square foot [kg/m²]."""


class Series(StrEnum):
    """A family of gauges."""

    US_STEEL = "US steel"  # Manufacturers' Standard Gauge
    US_GALVANIZED = "US galvanized"
    US_STAINLESS = "US stainless"  # US Standard Gauge
    SWG = "SWG"  # British
    ALUMINIUM = "aluminium"  # Brown & Sharpe, also brass and copper in America


def gauges(series: Series) -> tuple[int, ...]:
    """Every number that a series has here, thick before thin."""
    match series:
        case Series.ALUMINIUM:
            return tuple(_WROUGHT)
        case Series.US_GALVANIZED:
            return tuple(_GALVANIZED)
        case Series.SWG:
            return tuple(int(row["gauge"]) for row in data_table("gauges_swg").rows)
        case _:
            return tuple(int(row["gauge"]) for row in data_table("gauges_us").rows)


def gauge_name(gauge: int) -> str:
    """Write a gauge as the trade does: 18, 0, 2/0, 7/0."""
    return str(gauge) if gauge >= 0 else f"{1 - gauge}/0"


def thickness_m(series: Series, gauge: int) -> float:
    """Thickness of a gauge [m].

    US steel ``t = w / 16 / 41.82`` in, galvanized ``t = (w + 2.5) / 16 / 41.82`` in, stainless
    ``t = w / 16 / 40`` in, with ``w`` the gauge's ounces a square foot; aluminium
    ``t = 0.005 · 92^((36 - n) / 39)`` in (ASTM B 258); SWG by its table (BS 3737).

    Raises
    ------
    OutsideLimits
        The series has no such number here.
    """
    if gauge not in gauges(series):
        known = gauges(series)
        raise OutsideLimits(
            f"no gauge {gauge_name(gauge)} in the series {series}",
            "gauge",
            f"it goes from {gauge_name(known[0])} to {gauge_name(known[-1])}; otherwise give the "
            "thickness",
            "gauge",
        )
    match series:
        case Series.ALUMINIUM:
            return 0.005 * exp(log(92) * (36 - gauge) / 39) * INCH_M
        case Series.SWG:
            (row,) = (row for row in data_table("gauges_swg").rows if row["gauge"] == str(gauge))
            return float(row["inches"]) * INCH_M
        case Series.US_STEEL:
            return _ounces(gauge) / 16 / MSG_LB_PER_FT2_IN * INCH_M
        case Series.US_GALVANIZED:
            return (_ounces(gauge) + _ZINC_OZ_PER_FT2) / 16 / MSG_LB_PER_FT2_IN * INCH_M
        case Series.US_STAINLESS:
            return _ounces(gauge) / 16 / _IRON_LB_PER_FT2_IN * INCH_M


def ordered_kg_m2(gauge: int) -> float:
    """Weight by which uncoated steel of a US gauge is ordered [kg/m²]: its ounces a square foot.

    It holds the rolling tolerance of the trade, and is about 2 % over that of the metal itself.
    """
    return _ounces(gauge) / 16 * LB_PER_FT2


def nearest(series: Series, measured_m: float) -> int | None:
    """The gauge nearest in ratio to a thickness; None beyond the ends of the series.

    Beyond means further from the last number than half the step to the one before it.
    """
    known = gauges(series)
    steps = {gauge: abs(log(thickness_m(series, gauge) / measured_m)) for gauge in known}
    found = min(known, key=lambda gauge: steps[gauge])
    if found in (known[0], known[-1]):
        beside = known[1] if found == known[0] else known[-2]
        step = abs(log(thickness_m(series, found) / thickness_m(series, beside)))
        if steps[found] > step / 2:
            return None
    return found


def _ounces(gauge: int) -> float:
    (row,) = (row for row in data_table("gauges_us").rows if row["gauge"] == str(gauge))
    return float(row["oz_per_ft2"])
