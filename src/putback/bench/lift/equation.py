"""The revised NIOSH lifting equation: what two hands may lift, standing, again and again.

::

    RWL = LC · HM · VM · DM · AM · FM · CM        LI = load / RWL

Source: Waters, Putz-Anderson and Garg, *Applications Manual for the Revised NIOSH Lifting
Equation*, DHHS (NIOSH) 94-110, revised 9/2021. The manual prints metric and US constants that are
no exact conversions of each other; both are here.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import degrees
from types import MappingProxyType

from putback.bench.tables import data_table
from putback.errors import BadInput

LOAD_CONSTANT_KG = 23.0
"""What one person lifts under the best of conditions [kg]: close to the body, at the height of
the waist, now and then (94-110, 1.3)."""

TEAM_SHARE = MappingProxyType({1: 1.0, 2: 2 / 3, 3: 1 / 2})
"""What part of the sum of their own capabilities a team lifts [-] (HSE L23, Manual Handling
Operations Regulations: two thirds for two people, half for three); no figure for more."""

COUPLING = MappingProxyType({"good": (1.0, 1.0), "fair": (0.95, 1.0), "poor": (0.9, 0.9)})
"""Grip to CM [-], for hands below 75 cm (30 in) at the start and from there up (Table 7)."""

MOST_TWIST_RAD = 2.356194490192345
"""135 degrees; further round nothing is lifted (1.3.4)."""

MOST_MINUTES = 480.0
"""Eight hours; the manual gives no limit for more (1.3.5)."""

_SHORT_MINUTES, _MODERATE_MINUTES = 60.0, 120.0
_REST_OF_SHORT, _REST_OF_MODERATE = 1.0, 0.3
"""Recovery over work [-] that ends a spell (1.3.5.2, as corrected in 2021)."""
_ROUNDING = 1e-9
"""What a typed limit may differ from the printed one by conversion alone [m, rad, 1/min]."""


@dataclass(frozen=True, slots=True)
class Constants:
    """The equation's numbers in one system of units, here in SI: kg, m, 1/m.

    ``near_m`` is the least reach that counts, ``far_m`` the last at which anything is lifted;
    ``waist_m`` the best height, ``per_m`` the loss for each metre from it, ``top_m`` the highest;
    ``travel_m`` the 4.5 cm of DM, ``short_m`` and ``long_m`` the travel from which it counts and
    to which it holds.
    """

    name: str
    load_kg: float
    near_m: float
    far_m: float
    waist_m: float
    per_m: float
    top_m: float
    travel_m: float
    short_m: float
    long_m: float


_IN = 0.0254
METRIC = Constants(
    "metric", LOAD_CONSTANT_KG, 0.25, 0.63, 0.75, 0.3, 1.75, 0.045, 0.25, 1.75
)  # fmt: skip
US = Constants(
    "US", 51 * 0.45359237, 10 * _IN, 25 * _IN, 30 * _IN, 0.0075 / _IN, 70 * _IN, 1.8 * _IN,
    10 * _IN, 70 * _IN,
)  # fmt: skip
SYSTEMS = MappingProxyType({each.name: each for each in (METRIC, US)})


def horizontal_multiplier(reach_m: float, by: Constants = METRIC) -> float:
    """Give HM = 25 cm / H, 1 at most; 0 beyond 63 cm (94-110, 1.3.1).

    Parameters
    ----------
    reach_m : float
        H: from the middle between the ankles to the middle between the hands, along the floor,
        [m].
    by : Constants
        Metric or US.
    """
    if reach_m > by.far_m + _ROUNDING:
        return 0.0
    return by.near_m / max(reach_m, by.near_m)


def vertical_multiplier(height_m: float, by: Constants = METRIC) -> float:
    """Give VM = 1 − 0.003 |V − 75 cm| (per cm); 0 above 175 cm or below the floor (1.3.2).

    Parameters
    ----------
    height_m : float
        V: the hands over the floor at the start, [m].
    by : Constants
        Metric or US.
    """
    if not -_ROUNDING <= height_m <= by.top_m + _ROUNDING:
        return 0.0
    return 1 - by.per_m * abs(height_m - by.waist_m)


def distance_multiplier(travel_m: float, by: Constants = METRIC) -> float:
    """Give DM = 0.82 + 4.5 cm / D, 1 at most; 0 beyond 175 cm (1.3.3).

    Parameters
    ----------
    travel_m : float
        D: how far the hands go up or down, [m].
    by : Constants
        Metric or US.
    """
    if travel_m > by.long_m + _ROUNDING:
        return 0.0
    return 0.82 + by.travel_m / max(travel_m, by.short_m)


def asymmetry_multiplier(twist_rad: float) -> float:
    """Give AM = 1 − 0.0032 A (per degree); 0 beyond 135° (1.3.4).

    Parameters
    ----------
    twist_rad : float
        A: the load's place off straight ahead, [rad].
    """
    if twist_rad > MOST_TWIST_RAD + _ROUNDING:
        return 0.0
    return 1 - 0.0032 * degrees(abs(twist_rad))


def is_low(height_m: float, by: Constants = METRIC) -> bool:
    """Whether the hands start below the waist, as Tables 5 and 7 tell it."""
    return height_m < by.waist_m - _ROUNDING


def frequency_multiplier(per_minute: float, minutes: float, low: bool) -> float:
    """Give FM of Table 5, on a straight line between two rows (1.3.5).

    Parameters
    ----------
    per_minute : float
        F: lifts a minute, over 15 minutes; less than 0.2 counts as 0.2, [1/min].
    minutes : float
        How long it is done before a rest that counts, up to 480, [min].
    low : bool
        Whether the hands start below 75 cm (30 in).

    Raises
    ------
    BadInput
        More than eight hours, for which the manual has no column.
    """
    column = f"{_column(minutes)}_V_{'lt' if low else 'ge'}_30in"
    rows = [
        (float(row["F_per_min"]), float(row[column]))
        for row in data_table("niosh_frequency").rows
        if not row["F_per_min"].startswith(">")
    ]
    if per_minute > rows[-1][0] + _ROUNDING:
        return 0.0
    rate = min(max(per_minute, rows[0][0]), rows[-1][0])
    before, after = next((a, b) for a, b in pairwise(rows) if a[0] <= rate <= b[0])
    share = (rate - before[0]) / (after[0] - before[0])
    return before[1] + share * (after[1] - before[1])


def coupling_multiplier(grip: str, low: bool) -> float:
    """Give CM of Table 7 for a good, fair or poor grip (1.3.6).

    Raises
    ------
    KeyError
        No such grip.
    """
    return COUPLING[grip][0 if low else 1]


def _column(minutes: float) -> str:
    if minutes <= _SHORT_MINUTES + _ROUNDING:
        return "le1h"
    if minutes <= _MODERATE_MINUTES + _ROUNDING:
        return "gt1_le2h"
    if minutes <= MOST_MINUTES + _ROUNDING:
        return "gt2_le8h"
    raise BadInput(
        f"no limit is known for {minutes / 60:g} hours of lifting",
        mend="the equation holds for eight hours at most: share the work out",
    )


def duration_class(minutes: float) -> str:
    """Name the column of Table 5: ``short``, ``moderate`` or ``long`` (1.3.5.2)."""
    return {"le1h": "short", "gt1_le2h": "moderate", "gt2_le8h": "long"}[_column(minutes)]


def minutes_in_one_go(spells: Sequence[tuple[float, float]]) -> float:
    """Add up spells of lifting that no rest of enough length parts; the longest sum (1.3.5.2).

    A rest counts if it is as long as the lifting before it, up to one hour of it, or 0.3 times as
    long, up to two hours. The rest after the last spell is not asked for.

    Parameters
    ----------
    spells : sequence of tuple of float
        Minutes of lifting and minutes of light work after them, in order, [min].

    Returns
    -------
    float
        Minutes of lifting that count as one, [min].

    Examples
    --------
    >>> minutes_in_one_go([(30, 10), (45, 0)]), minutes_in_one_go([(30, 30), (45, 0)])
    (75.0, 45.0)
    """
    longest = together = 0.0
    for work, rest in spells:
        together += work
        longest = max(longest, together)
        share = _REST_OF_SHORT if together <= _SHORT_MINUTES else _REST_OF_MODERATE
        if together <= _MODERATE_MINUTES and rest >= share * together - _ROUNDING:
            together = 0.0
    return longest


def frequency_over_a_quarter(per_minute: float, minutes: float) -> float:
    """Spread lifting that does not fill 15 minutes over them: F = rate · minutes / 15 (1.3.5.1).

    Parameters
    ----------
    per_minute : float
        Lifts a minute while it lasts, [1/min].
    minutes : float
        How many of each 15 minutes it lasts, [min].
    """
    return per_minute * min(minutes, 15.0) / 15


@dataclass(frozen=True, slots=True)
class Lift:
    """One end of a lift: reach and height of the hands, travel [m], twist [rad] and the rest."""

    reach_m: float
    height_m: float
    travel_m: float
    twist_rad: float = 0.0
    per_minute: float = 0.2
    minutes: float = 60.0
    grip: str = "fair"


@dataclass(frozen=True, slots=True)
class Limit:
    """The multipliers of one end of a lift [-] and the weight they recommend [kg]."""

    hm: float
    vm: float
    dm: float
    am: float
    fm: float
    cm: float
    load_kg: float
    """LC, the load constant."""

    @property
    def weight_kg(self) -> float:
        """RWL, the recommended weight limit; 0 where nothing should be lifted [kg]."""
        return self.load_kg * self.hm * self.vm * self.dm * self.am * self.fm * self.cm


def recommended_limit(lift: Lift, by: Constants = METRIC) -> Limit:
    """Work out the recommended weight limit at one end of a lift (94-110, 1.1.1 and 1.3).

    Raises
    ------
    BadInput
        More than eight hours of it.
    """
    low = is_low(lift.height_m, by)
    return Limit(
        horizontal_multiplier(lift.reach_m, by),
        vertical_multiplier(lift.height_m, by),
        distance_multiplier(lift.travel_m, by),
        asymmetry_multiplier(lift.twist_rad),
        frequency_multiplier(lift.per_minute, lift.minutes, low),
        coupling_multiplier(lift.grip, low),
        by.load_kg,
    )
