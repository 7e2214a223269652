"""Wear against a limit: good, marginal or worn, by a measurement that is itself unsure.

A part is good only if it is inside its limit by more than the instrument may be wrong, and worn
only if it is beyond by more than that (the decision rule of ISO 14253-1); between the two nobody
can say.
"""

import re
from dataclasses import dataclass
from enum import StrEnum
from math import erfc, sqrt

from putback.bench.calculator import (
    Answer,
    Asked,
    Calculator,
    Drawing,
    Figure,
    OutsideLimits,
    Quantity,
    Shape,
    Step,
)
from putback.bench.dust import ASBESTOS
from putback.units.figures import is_grouped, read_number, tidy

_SAME_M = 1e-9
"""Lengths that differ by less are one: no workshop measures a nanometre [m]."""
_COVER = 2.0
"""An instrument's stated uncertainty covers 95 %: two standard deviations (JCGM 106)."""


class Condition(StrEnum):
    """What a measurement against a limit can say."""

    GOOD = "good"
    MARGINAL = "marginal"
    WORN = "worn"


WEARS_THIN = frozenset({"disc", "shaft", "lining", "pad", "thickness"})
"""What must not be under its limit; all else must not be over it."""
_ALIKE = frozenset({"disc", "shaft", "drum", "bore"})
"""Of these no two sizes of one part differ twofold; linings, pads and play may."""
WEARS_WIDE = ("drum", "bore", "free play", "clearance")


@dataclass(frozen=True, slots=True)
class Left:
    """How much use is left until the limit: as it looks, at the least and at the most.

    In the unit the use was counted in [-]; ``most`` is None where the part may not be wearing.
    """

    likely: float
    least: float
    most: float | None


def margin_m(measured_m: float, limit_m: float, *, wears_thin: bool) -> float:
    """How far a part is inside its limit [m]; below zero it is beyond.

    ``margin = measured - limit`` for what wears thin, ``limit - measured`` for what wears wide.

    Parameters
    ----------
    measured_m, limit_m : float
        Size as measured and the last that is allowed, [m].
    wears_thin : bool
        Whether wear makes it smaller.
    """
    margin = measured_m - limit_m
    return margin if wears_thin else -margin


def condition(margin_m: float, uncertainty_m: float) -> Condition:
    """Judge a margin by ISO 14253-1: sure to be inside, sure to be beyond, or neither.

    A part right at its limit is never good, however well it was measured.

    Parameters
    ----------
    margin_m : float
        How far it is inside its limit, [m].
    uncertainty_m : float
        By how much the reading may be wrong, at 95 % [m].
    """
    if margin_m > uncertainty_m + _SAME_M:
        return Condition.GOOD
    if margin_m < -uncertainty_m - _SAME_M:
        return Condition.WORN
    return Condition.MARGINAL


def chance_beyond(margin_m: float, uncertainty_m: float) -> float:
    """Chance that the part is beyond its limit [1]: ``P = Φ(-margin / u)``, JCGM 106:2012, 7.

    ``u`` is half the uncertainty at 95 %, of a normal error. Without uncertainty it is 0 or 1,
    and 1 at the limit itself.
    """
    if uncertainty_m <= 0:
        return 1.0 if margin_m <= _SAME_M else 0.0
    return 0.5 * erfc(margin_m / (uncertainty_m / _COVER) / sqrt(2))


def use_left(margin_m: float, lost_m: float, used: float, uncertainty_m: float) -> Left:
    """Use left until the limit, at the rate so far: ``left = margin used / lost``.

    Both readings may be wrong: at the least the margin is smaller by the uncertainty and the loss
    greater by that of a difference of two readings, ``√2 U``; at the most the other way round.

    Parameters
    ----------
    margin_m : float
        How far it is inside its limit now, [m].
    lost_m : float
        What was lost between the two readings, [m].
    used : float
        Use between them, in miles, kilometres or months [-].
    uncertainty_m : float
        Of each reading, at 95 % [m].

    Raises
    ------
    OutsideLimits
        Nothing was lost: there is no rate.
    """
    doubt_m = sqrt(2) * uncertainty_m
    if lost_m <= _SAME_M:
        raise OutsideLimits(
            "no wear between the two readings", "before", "leave out the earlier one", "before"
        )
    margin = max(margin_m, 0.0)
    least = max(margin_m - uncertainty_m, 0.0) * used / (lost_m + doubt_m)
    most_loss_m = lost_m - doubt_m
    most = max(margin_m + uncertainty_m, 0.0) * used / most_loss_m if most_loss_m > 0 else None
    return Left(margin * used / lost_m, least, most)


def work(
    measured_m: float,
    limit_m: float,
    kind: str,
    uncertainty_m: float,
    before_m: float | None = None,
    between: float | None = None,
    counted_in: str = "miles",
) -> Answer:
    """Judge one measurement, and say when the limit is reached at the rate so far.

    Raises
    ------
    OutsideLimits
        An earlier reading without the use since, the other way round, or no wear between the two;
        sizes that cannot be of one part.
    """
    _check_alike(kind, measured_m, limit_m, before_m)
    wears_thin = kind in WEARS_THIN
    inside_m = margin_m(measured_m, limit_m, wears_thin=wears_thin)
    said = condition(inside_m, uncertainty_m)
    measured = Figure(
        "measured",
        "measured",
        measured_m,
        Quantity.LENGTH,
        uncertainty_m,
        low=limit_m if wears_thin else None,
        high=None if wears_thin else limit_m,
    )
    limit = Figure("limit", "limit", limit_m, Quantity.LENGTH)
    margin = Figure("margin", "inside the limit by", inside_m, Quantity.LENGTH, uncertainty_m)
    doubt = Figure("uncertainty", "uncertainty", uncertainty_m, Quantity.LENGTH)
    results = [
        Figure("condition", "condition", said.value, Quantity.TEXT),
        margin,
        Figure(
            "chance_beyond",
            "chance that it is beyond the limit",
            chance_beyond(inside_m, uncertainty_m),
            Quantity.SHARE,
        ),
    ]
    inputs = [measured, limit, Figure("kind", "what it is", kind, Quantity.CHOICE), doubt]
    steps = [
        Step(
            "margin = measured - limit" if wears_thin else "margin = limit - measured",
            {"measured": measured, "limit": limit},
            margin,
            "good if margin > U, worn if margin < -U: ISO 14253-1:2017",
        )
    ]
    drawings: tuple[Drawing, ...] = ()
    verdict = _VERDICTS[said]
    if (before_m is None) != (between is None):
        missing = "before" if before_m is None else "between"
        raise OutsideLimits(
            "a rate needs an earlier reading and the use since",
            missing,
            "give both or neither",
            missing,
        )
    if before_m is not None and between is not None:
        lost_m = margin_m(before_m, measured_m, wears_thin=wears_thin)
        left = use_left(inside_m, lost_m, between, uncertainty_m)
        drawings = (_drawing(before_m, measured_m, limit_m, left.likely / between),)
        lost = Figure("lost", "worn since", lost_m, Quantity.LENGTH, sqrt(2) * uncertainty_m)
        used = Figure("between", f"{counted_in} between", between)
        until = Figure("left", f"{counted_in} left", left.likely, low=left.least, high=left.most)
        inputs += [Figure("before", "earlier reading", before_m, Quantity.LENGTH), used]
        results += [until, lost]
        steps.append(
            Step(
                "left = margin between / lost",
                {"margin": margin, "between": used, "lost": lost},
                until,
                "wear taken as even",
            )
        )
        if said is not Condition.WORN and left.most is None:
            verdict += (
                " The two readings cannot tell so little wear from none: at this rate it lasts"
                f" {_round(left.least)} {counted_in} or more."
            )
        elif said is not Condition.WORN:
            verdict += (
                f" At this rate it reaches its limit in about {_round(left.likely)} {counted_in},"
                f" perhaps in {_round(left.least)}."
            )
    return Answer(
        "wear",
        tuple(inputs),
        tuple(results),
        verdict,
        tuple(steps),
        drawings=drawings,
        sources=(
            "ISO 14253-1:2017, decision rules for conformity (from memory)",
            "JCGM 106:2012, 7, probability of conformity (from memory)",
        ),
        limits=(
            "The limit is the maker's or the one stamped on the part; none is assumed here.",
            "The uncertainty is that of one reading at 95 %, instrument and hand together.",
            "A rate holds only while use stays as it was.",
        ),
        cautions=_cautions(kind),
    )


def _drawing(before_m: float, measured_m: float, limit_m: float, left: float) -> Drawing:
    """Draw sizes over use: from the earlier reading to this one, and on to the limit.

    Parameters
    ----------
    before_m, measured_m, limit_m : float
        Sizes, [m].
    left : float
        Use left, as a share of that between the readings [-]; no more of it is drawn than
        `_MOST_DRAWN`.
    """
    ahead = min(left, _MOST_DRAWN)
    wide = 1.0 + ahead
    sizes = (before_m, measured_m, limit_m)
    spread_m = (max(sizes) - min(sizes)) or 1.0

    def at(use: float, size_m: float) -> tuple[float, float]:
        return use / wide, (size_m - min(sizes)) / spread_m * _HIGH

    reached_m = measured_m + (measured_m - before_m) * ahead
    before, now, later = at(0.0, before_m), at(1.0, measured_m), at(wide, reached_m)
    limit = at(0.0, limit_m), at(wide, limit_m)
    onwards = (Shape("hidden", (now, later)),) if ahead > 0 else ()
    told = "then on at this rate" if ahead > 0 else "which is beyond the limit"
    return Drawing(
        "Wear over use",
        f"To the right the use, upwards the size: from {before_m * 1e3:.6g} mm before to"
        f" {measured_m * 1e3:.6g} mm now, {told}; the heavy dashed line is the limit,"
        f" {limit_m * 1e3:.6g} mm.",
        (
            Shape("warn", limit),
            Shape("outline", (before, now)),
            *onwards,
            Shape("dot", (before, now)),
            Shape("text", (before,), "before"),
            Shape("text", ((now[0], now[1] + _OVER),), "now"),
            Shape("text", (limit[0],), "limit"),
        ),
    )


def _check_alike(kind: str, measured_m: float, limit_m: float, before_m: float | None) -> None:
    """Refuse sizes of which one was most likely typed without its unit."""
    sizes = {"measured": measured_m, "limit": limit_m, "before": before_m or 0.0}
    known = {name: size for name, size in sizes.items() if size > 0}
    if kind not in _ALIKE or not known or max(known.values()) <= 2 * min(known.values()):
        return
    told = ", ".join(f"{name} {size * 1000:.6g} mm" for name, size in known.items())
    raise OutsideLimits(
        f"these cannot be sizes of one {kind}: {told}",
        mend="write the unit behind each: 9.05 in",
        field="limit",
    )


def _round(number: float) -> str:
    """Write a number to two figures: more are not known of a rate."""
    return f"{float(f'{number:.2g}'):,.10g}"


_HIGH, _OVER = 0.45, 0.06
"""How high the picture is, and how far over a reading its name stands, of its width."""
_MOST_DRAWN = 3.0
"""So many times the use between the readings is drawn ahead at most."""
_VERDICTS = {
    Condition.GOOD: "Good: it is inside its limit by more than the reading may be wrong.",
    Condition.MARGINAL: (
        "Marginal: the reading cannot tell it from its limit; measure better, or replace it."
    ),
    Condition.WORN: "Worn: it is beyond its limit by more than the reading may be wrong.",
}
_BRAKES = frozenset({"disc", "lining", "pad", "drum"})
_EVERYWHERE = (
    "Measure at several places and go by the worst; taper, ovality, run-out and cracks count too."
)
_PAIRS = (
    "Discs, drums and linings are replaced in pairs; the limit cast into them is the last word."
)


def _cautions(kind: str) -> tuple[str, ...]:
    """Give what is to be minded; of brakes and clutches their dust as well."""
    return (_EVERYWHERE, _PAIRS, ASBESTOS) if kind in _BRAKES else (_EVERYWHERE,)


_MOST_USE = 1e7
_USE = re.compile(r"(?P<number>\d+(?:[.,]\d+)?) ?(?P<unit>[a-z]*)\.?", re.IGNORECASE)
_USE_IN = {
    **dict.fromkeys(("mile", "miles", "mi"), ("miles", 1.0)),
    **dict.fromkeys(("km", "kms", "kilometre", "kilometres", "kilometer"), ("km", 1.0)),
    **dict.fromkeys(("month", "months"), ("months", 1.0)),
    **dict.fromkeys(("year", "years", "yr", "yrs"), ("months", 12.0)),
}


def read_use(text: str, counted_in: str) -> tuple[float, str]:
    """Read the use between two readings: a number, and what it is counted in.

    Raises
    ------
    OutsideLimits
        It is no number, its unit is not known, or its comma may part thousands.

    Examples
    --------
    >>> read_use("3 years", "miles"), read_use("24000", "miles")
    ((36.0, 'months'), (24000.0, 'miles'))
    """
    found = _USE.fullmatch(tidy(text))
    if found is None or is_grouped(found["number"]):
        mend = "write it like 24000 miles, 38000 km or 3 years, without a comma in thousands"
        raise OutsideLimits(f"cannot read {text!r} as use", "between", mend, "between")
    unit, size = _USE_IN.get(found["unit"].casefold(), ("", 1.0))
    if found["unit"] and not unit:
        raise OutsideLimits(
            f"use is not counted in {found['unit']!r}", "between",
            "count it in miles, km, months or years", "between",
        )  # fmt: skip
    number = float(read_number(found["number"])) * size
    if number > _MOST_USE:
        raise OutsideLimits(f"{text!r} is more than anything lasts", field="between")
    return number, unit or counted_in


def _work(
    *,
    measured_m: float,
    limit_m: float,
    kind: str,
    uncertainty_m: float,
    before_m: float | None,
    between: str | None,
    counted_in: str,
) -> Answer:
    """Read the use as it is typed, then as `work`."""
    used = None
    if between is not None:
        used, counted_in = read_use(between, counted_in)
    return work(measured_m, limit_m, kind, uncertainty_m, before_m, used, counted_in)


CALCULATOR = Calculator(
    "wear",
    "Wear against a limit",
    "Good, marginal or worn, with what the instrument may be wrong by; and when, at this rate.",
    (
        Asked(
            "measured", "measured_m", "as measured", Quantity.LENGTH, low=0.0, high=10.0, bare="mm"
        ),
        Asked("limit", "limit_m", "limit", Quantity.LENGTH, low=0.0, high=10.0, bare="mm"),
        Asked(
            "kind",
            "kind",
            "what it is",
            Quantity.CHOICE,
            default="disc",
            hint="a disc, shaft, lining or pad wears thin; a drum, bore or play wears wide",
            choices=(*sorted(WEARS_THIN), *WEARS_WIDE),
        ),
        Asked(
            "uncertainty",
            "uncertainty_m",
            "may be wrong by",
            Quantity.LENGTH,
            default="0.02 mm",
            hint="common practice: micrometer 0.01 mm, caliper 0.05 mm, rule 0.5 mm",
            low=0.0,
            high=0.1,
            bare="mm",
        ),
        Asked(
            "before",
            "before_m",
            "earlier reading, or as new",
            Quantity.LENGTH,
            low=0.0,
            high=10.0,
            is_optional=True,
            bare="mm",
        ),
        Asked(
            "between",
            "between",
            "use between the two",
            Quantity.TEXT,
            hint="24000 miles, 38000 km, 30 months or 3 years",
            is_optional=True,
        ),
        Asked(
            "counted_in",
            "counted_in",
            "use is counted in",
            Quantity.CHOICE,
            default="miles",
            choices=("miles", "km", "months"),
        ),
    ),
    _work,
    {
        "measured": "10.62 mm",
        "limit": "10.40 mm",
        "kind": "disc",
        "uncertainty": "0.02 mm",
        "before": "11.10 mm",
        "between": "24000",
    },
)
