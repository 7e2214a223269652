"""What a bolt of a class or grade holds: proof, yield and ultimate load.

::

    load = strength × stress area

ISO 898-1 names classes for metric bolts M1.6 to M39 (``8.8``: 800 MPa, of which 0.8 to the yield),
SAE J429 grades for unified ones 1/4 to 1 1/2 in. ISO works with the stress area as it prints it,
to three figures; so does this. Whitworth, BA and pipe threads have neither.
"""

import re
from dataclasses import dataclass
from math import floor, log10

from putback.bench.calculator import OutsideLimits
from putback.bench.tables import data_table
from putback.bench.thread_form import dimensions
from putback.bench.threads import Series, Thread, metric_thread
from putback.errors import BadInput

ISO_898, SAE_J429 = "ISO 898-1", "SAE J429"
_PA = {"MPa": 1e6, "kpsi": 6_894_757.293168}
_GRADE = re.compile(
    r"(?:(?:property )?class|cl\.?|(?:sae )?grade|gr\.?|sae|iso)? ?(?P<grade>\d{1,2}(?:[.,]\d)?)",
    re.IGNORECASE,
)
_BEGINS = {ISO_898: "M1.6", SAE_J429: "1/4 in"}
_FINE_FROM_M = 7.9e-3
_PRINTED_FIGURES = 3


@dataclass(frozen=True, slots=True)
class Strength:
    """A class or grade at one size: its stresses [Pa], as its standard gives them."""

    standard: str
    grade: str
    proof_pa: float
    yield_pa: float
    tensile_pa: float
    status: str

    @property
    def name(self) -> str:
        """As the trade says it."""
        return f"class {self.grade}" if self.standard == ISO_898 else f"SAE grade {self.grade}"


@dataclass(frozen=True, slots=True)
class Loads:
    """What one bolt holds [N], and the area [m²] that was reckoned with."""

    area_m2: float
    proof_n: float
    yield_n: float
    ultimate_n: float


def read_grade(text: str) -> str:
    """Read a class or grade as people type it.

    Raises
    ------
    BadInput
        There is no such class or grade.

    Examples
    --------
    >>> read_grade("class 10.9"), read_grade("Grade 5"), read_grade("8,8")
    ('10.9', '5', '8.8')
    """
    found = _GRADE.fullmatch(" ".join(text.split()))
    known = list(dict.fromkeys(row["grade"] for row in data_table("bolt_strength").rows))
    grade = found["grade"].replace(",", ".") if found else ""
    if grade not in known:
        raise BadInput(
            f"no class or grade {text!r}",
            mend=f"there is {', '.join(known)}: metric classes first, then SAE grades",
        )
    return grade


def strength_of(grade: str, thread: Thread, field: str = "grade") -> Strength:
    """Find what a class or grade, as `read_grade` gives it, means at the size of a thread.

    Raises
    ------
    OutsideLimits
        The standard does not go with that thread or size; ``field`` is the one to blame.
    """
    rows = [row for row in data_table("bolt_strength").rows if row["grade"] == grade]
    standard = rows[0]["standard"]
    major_mm = thread.major_m * 1000
    if not _goes_with(standard, thread):
        raise OutsideLimits(
            f"{standard} says nothing of {thread.name}",
            mend="ISO classes go with metric bolts, SAE grades with UNC and UNF; of others ask "
            "the maker or have one tested",
            field=field,
        )
    for row in rows:
        if float(row["above_mm"]) < major_mm <= float(row["upto_mm"]) + 1e-6:
            unit = _PA[row["unit"]]
            return Strength(
                standard,
                grade,
                float(row["proof"]) * unit,
                float(row["yield"]) * unit,
                float(row["tensile"]) * unit,
                row["status"],
            )
    least, most = float(rows[0]["above_mm"]), max(float(row["upto_mm"]) for row in rows)
    raise OutsideLimits(
        f"{standard} has no {grade} in the size {thread.name}",
        mend=f"it goes to {most:g} mm"
        if major_mm > least
        else f"it begins at {_BEGINS[standard]}; of a smaller screw ask its maker",
        field=field,
    )


def _goes_with(standard: str, thread: Thread) -> bool:
    if standard == SAE_J429:
        return thread.series in (Series.UNC, Series.UNF)
    if thread.series is not Series.METRIC:
        return False
    return thread.pitch_mm == metric_thread(thread.size).pitch_mm or thread.major_m >= _FINE_FROM_M


def reckoned_area_m2(thread: Thread) -> float:
    """Give the stress area loads are worked out with [m²]: ISO's as printed, to three figures."""
    area_mm2 = dimensions(thread).stress_area_m2 * 1e6
    if thread.series is not Series.METRIC:
        return area_mm2 / 1e6
    places = _PRINTED_FIGURES - 1 - floor(log10(area_mm2))
    return round(area_mm2, places) / 1e6


def loads_of(thread: Thread, strength: Strength) -> Loads:
    """Work out what a bolt holds [N]."""
    area = reckoned_area_m2(thread)
    return Loads(
        area,
        strength.proof_pa * area,
        strength.yield_pa * area,
        strength.tensile_pa * area,
    )
