"""A survey told as figures, tables and one sentence."""

from math import isfinite

import numpy as np

from putback.bench.calculator import (
    RULE_M,
    Figure,
    Quantity,
    Table,
)
from putback.bench.survey.adjust import CRITICAL_W
from putback.bench.survey.compared import Compared, Survey
from putback.bench.survey.network import computed_m

_SURELY = 3.0
"""A deviation of so many standard deviations is no chance [-]."""
_MOST_NAMED = 6


def verdict_of(survey: Survey, compared: Compared | None, tolerance_m: float) -> str:
    """Say in one sentence what matters most: readings first, then the vehicle."""
    snooped = survey.snooped
    if not snooped.adjusted.is_at_rest:
        return (
            "No answer yet: the readings hold the points so weakly that their places are still"
            " moving; measure more."
        )
    if snooped.tied:
        names = " or ".join(survey.given.readings[at].name for at in snooped.tied)
        if len(snooped.tied) == 1:
            return f"{names} looks wrong, and too little checks it; measure again."
        return f"One reading is wrong and nothing tells which: {names}; measure again."
    if snooped.adjusted.unsettled:
        open_ones = ", ".join(snooped.adjusted.unsettled[:_MOST_NAMED])
        return f"The readings leave open where these lie: {open_ones}; measure more to them."
    if compared is None:
        return f"{_fits(survey)}{_flat(survey)}"
    unchecked = "" if snooped.adjusted.spare > 0 else " No reading checks another."
    said = f"{_against(compared, tolerance_m)}{unchecked}"
    return f"{said}{_left_out(survey)}{_scaled(compared, tolerance_m)}"


def _left_out(survey: Survey) -> str:
    """Name the readings that were taken for wrong."""
    wrong = [survey.given.readings[at].name for at in survey.snooped.wrong]
    if not wrong:
        return ""
    more = f" and {len(wrong) - _MOST_NAMED} more" if len(wrong) > _MOST_NAMED else ""
    reads = "reads" if len(wrong) == 1 else "read"
    was = "was" if len(wrong) == 1 else "were"
    return f" {', '.join(wrong[:_MOST_NAMED])}{more} {reads} wrong and {was} left out."


def _scaled(compared: Compared, tolerance_m: float) -> str:
    """Say that every length is off by one share, where that is more than chance and matters."""
    if not compared.fit.is_scaled or abs(compared.worst_pair[2]) <= tolerance_m:
        return ""
    share = 1 / compared.fit.scale - 1
    way = "long" if share > 0 else "short"
    return f" All lengths together read {abs(share):.2%} {way}: look at the tape first."


def _against(compared: Compared, tolerance_m: float) -> str:
    """Say what the reference shows."""
    off = compared.amounts_m
    worst = int(off.argmax())
    if compared.damages:
        said = "; ".join(each.words for each in compared.damages)
        return f"Damage, by its looks: {said}."
    by = f"{compared.names[worst]} is off the most, {off[worst] * 1000:.1f} mm"
    if off[worst] > tolerance_m:
        chance = _SURELY * np.linalg.norm(compared.sigmas_m, axis=1)
        if not ((off > tolerance_m) & (off > chance)).any():
            return f"Not sure: {by}, and so much these readings leave to chance; measure more."
        return f"No one kind of damage: {by}."
    if abs(compared.worst_pair[2]) > tolerance_m:
        a, b, apart = compared.worst_pair
        way = "far apart" if apart > 0 else "near each other"
        return (
            f"Each point is within what is allowed, and {a} and {b} are "
            f"{abs(apart) * 1000:.1f} mm too {way}."
        )
    return f"True to its reference within what is allowed: {by}."


def _fits(survey: Survey) -> str:
    wrong = len(survey.snooped.wrong)
    if wrong:
        return f"{wrong} reading{'s are' if wrong > 1 else ' is'} wrong; the others agree."
    if survey.snooped.adjusted.spare <= 0:
        return "The points are found, and no reading checks another: measure more."
    if not survey.snooped.adjusted.is_accepted:
        if survey.is_flat:
            return "Taken as flat, the readings agree less well than they were said to."
        return "The readings agree less well than they were said to."
    return "The readings agree."


def _flat(survey: Survey) -> str:
    return " They say nothing of heights." if survey.is_flat else ""


def results_of(survey: Survey, compared: Compared | None) -> tuple[Figure, ...]:
    """Give the figures, the most wanted first."""
    adjusted, snooped = survey.snooped.adjusted, survey.snooped
    names = survey.given.readings
    found: list[Figure] = []
    if compared is not None:
        worst = int(compared.amounts_m.argmax())
        a, b, apart = compared.worst_pair
        looks = "; ".join(each.words for each in compared.damages) or "no one kind of damage"
        found += [
            Figure("looks_like", "looks like", looks, Quantity.TEXT),
            Figure("largest", "largest deviation", float(compared.amounts_m[worst]),
                   Quantity.LENGTH, step=RULE_M),
            Figure("largest_at", "at", compared.names[worst], Quantity.TEXT),
            Figure("rms", "deviations of the points fitted by, root mean square",
                   compared.fit.rms_m, Quantity.LENGTH, step=RULE_M),
            Figure("scale", "scale against the reference; what is not 1 is a fault of the tape",
                   compared.fit.scale, plus_minus=compared.fit.scale_doubt),
            Figure("scale_fault", "the scale is off by more than chance", compared.fit.is_scaled,
                   Quantity.YES),
            Figure("pair", "the pair whose distance is furthest off", f"{a}-{b}", Quantity.TEXT),
            Figure("pair_off", "by", apart, Quantity.LENGTH, step=RULE_M),
        ]  # fmt: skip
        found += [
            Figure(each.kind, each.words, each.size_m, Quantity.LENGTH, each.doubt_m)
            for each in compared.damages
        ]
    found += [
        Figure("points", "points", len(survey.given.names), Quantity.COUNT),
        Figure("readings", "readings", len(names), Quantity.COUNT),
        Figure("spare", "readings more than needed", adjusted.spare, Quantity.COUNT),
        Figure("s0", "scatter of the readings against what was said (1 is as said)",
               adjusted.s0 if adjusted.spare > 0 else None),
        Figure("accepted", "the scatter is what chance allows", adjusted.is_accepted,
               Quantity.YES),
        Figure("at_rest", "the sum of squares is the least there is near here",
               adjusted.is_at_rest, Quantity.YES),
        Figure("wrong", "readings taken for wrong",
               ", ".join(names[at].name for at in snooped.wrong) or "none", Quantity.TEXT),
        Figure("flat", "the readings say nothing of heights", survey.is_flat, Quantity.YES),
        Figure("two_sided", "points that fit on another side too",
               ", ".join(survey.two_sided) or "none", Quantity.TEXT),
        Figure("unsettled", "points left open", ", ".join(adjusted.unsettled) or "none",
               Quantity.TEXT),
    ]  # fmt: skip
    return tuple(figure for figure in found if figure.value is not None)


def tables_of(survey: Survey, compared: Compared | None, tolerance_m: float) -> tuple[Table, ...]:
    """Give deviations, places, wrong readings and all readings."""
    tables = [_deviations(compared, tolerance_m)] if compared is not None else []
    if survey.snooped.wrong:
        tables.append(_wrong(survey))
    return (*tables, _places(survey), _readings(survey))


def _length(name: str, value: float, sigma: float | None = None) -> Figure:
    sure = sigma if sigma is not None and isfinite(sigma) and sigma > 0 else None
    known = value if sigma is None or isfinite(sigma) else None
    return Figure(name, name, known, Quantity.LENGTH, sure, step=RULE_M)


def _deviations(compared: Compared, tolerance_m: float) -> Table:
    rows = []
    for at in np.argsort(-compared.amounts_m, kind="stable"):
        off, sigma = compared.deviations_m[at], compared.sigmas_m[at]
        amount = float(compared.amounts_m[at])
        rows.append(
            (
                Figure("point", "point", compared.names[at], Quantity.TEXT),
                *(
                    _length(axis, float(value), float(sure))
                    for axis, value, sure in zip("xyz", off, sigma, strict=True)
                ),
                _length("off", amount),
                Figure("within", "within", amount <= tolerance_m, Quantity.YES),
                _length("rest", float(np.linalg.norm(compared.rest_m[at]))),
            )
        )
    head = ("point", "x", "y", "z", "off by", "within", "not explained by damage or place")
    return Table("Against the reference", head, tuple(rows))


def _wrong(survey: Survey) -> Table:
    computed = computed_m(survey.given, survey.places)
    rows = []
    for at in survey.snooped.wrong:
        reading = survey.given.readings[at]
        rows.append(
            (
                Figure("reading", "reading", reading.name, Quantity.TEXT),
                _length("read", reading.length_m),
                _length("should be", float(computed[at])),
                _length("off", reading.length_m - float(computed[at])),
            )
        )
    head = ("reading", "read, between centres", "by the others", "off by")
    return Table("Readings taken for wrong, left out: measure these again", head, tuple(rows))


def _places(survey: Survey) -> Table:
    adjusted = survey.snooped.adjusted
    rows = []
    for at, name in enumerate(survey.given.names):
        place, sigma = adjusted.places[at], adjusted.sigmas_m[at]
        axes = "xy" if survey.is_flat else "xyz"
        rows.append(
            (
                Figure("point", "point", name, Quantity.TEXT),
                *(
                    _length(axis, float(place[number]), float(sigma[number]))
                    for number, axis in enumerate(axes)
                ),
            )
        )
    head = ("point", "x", "y") if survey.is_flat else ("point", "x", "y", "z")
    return Table("Where the points lie, in their own axes", head, tuple(rows))


def _readings(survey: Survey) -> Table:
    adjusted = survey.snooped.adjusted
    rows = []
    hidden = adjusted.detectable_m()
    for at, reading in enumerate(adjusted.net.readings):
        test = abs(float(adjusted.w[at]))
        rows.append(
            (
                Figure("reading", "reading", reading.name, Quantity.TEXT),
                Figure("kind", "kind", str(reading.kind), Quantity.TEXT),
                _length("read", reading.length_m),
                _length("residual", float(adjusted.residuals_m[at])),
                Figure("w", "w", round(test, 2) if adjusted.redundancy[at] > 1e-6 else None),
                _length("hides", float(hidden[at]))
                if isfinite(float(hidden[at]))
                else Figure("hides", "hides", "not checked", Quantity.TEXT),
            )
        )
    head = ("reading", "kind", "read, between centres", "computed less read",
            f"test (over {CRITICAL_W} is wrong)", "could hide")  # fmt: skip
    return Table("Readings that were used", head, tuple(rows))
