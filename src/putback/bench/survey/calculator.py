"""The calculator ``survey``: a chassis measured between points, and what is wrong with it."""

from putback.bench.calculator import Answer, Asked, Calculator, Figure, Quantity, Step
from putback.bench.lines import LENGTH_UNITS
from putback.bench.survey.adjust import CRITICAL_W
from putback.bench.survey.compared import Compared, Survey, compare, survey_of
from putback.bench.survey.picture import drawings_of
from putback.bench.survey.readings import (
    Edge,
    Kind,
    read_holes,
    read_points,
    read_readings,
)
from putback.bench.survey.telling import results_of, tables_of, verdict_of


def survey(
    readings: str,
    unit: str,
    kind: str,
    edge: str,
    holes: str | None,
    sigma_m: float,
    fixed: str | None,
    reference: str | None,
    base: str | None,
    tolerance_m: float,
) -> Answer:
    """Adjust a survey, search it for wrong readings, and hold it against its reference.

    Parameters
    ----------
    readings : str
        Lines of two points and a distance, or of a point, ``height`` and a height.
    unit : str
        What the numbers in lines are in.
    kind, edge : str
        How a line was read that says nothing of it.
    holes : str or None
        Lines of point and diameter.
    sigma_m : float
        Standard deviation of a reading, [m].
    fixed, reference : str or None
        Lines of point, x, y, z: points that are known, and where points ought to lie.
    base : str or None
        Points to fit by, with spaces between.
    tolerance_m : float
        What a point may be off, [m].

    Raises
    ------
    BadInput
        Lines that cannot be read, or points that nothing connects.
    """
    sizes = read_holes(holes, unit) if holes else {}
    read = read_readings(readings, unit, Kind(kind), Edge(edge), sizes)
    known = read_points(fixed, unit, "fixed") if fixed else {}
    wanted = read_points(reference, unit, "reference") if reference else {}
    found = survey_of(read, known, wanted, sigma_m)
    by = base.replace(",", " ").split() if base else []
    compared = compare(found, wanted, by, tolerance_m) if wanted else None
    return Answer(
        calculator="survey",
        inputs=(
            Figure("readings", "readings", len(read), Quantity.COUNT),
            Figure("holes", "holes with a diameter", len(sizes), Quantity.COUNT),
            Figure("sigma", "a reading is good to", sigma_m, Quantity.LENGTH),
            Figure("reference", "points of the reference", len(wanted), Quantity.COUNT),
            Figure("tolerance", "a point may be off by", tolerance_m, Quantity.LENGTH),
        ),
        results=results_of(found, compared),
        verdict=verdict_of(found, compared, tolerance_m),
        steps=_steps(found, compared),
        tables=tables_of(found, compared, tolerance_m),
        drawings=tuple(drawings_of(found, compared, tolerance_m)),
        sources=(
            "least squares on inner constraints (Caspary; Ghilani and Wolf; from memory)",
            "data snooping: Baarda, A testing procedure for use in geodetic networks, 1968",
            "best rigid fit: Kabsch 1976, Horn 1987; scale: Umeyama 1991",
            "±5 mm body over frame, ±3 mm unibody where the maker gives none: NZ Transport "
            "Agency, vehicle inspection requirements manual, light vehicle repair 8-1",
            "names of damage: the collision trade (common practice); their shapes: a convention "
            "of this project",
        ),
        limits=_limits(found, compared),
        cautions=(
            "Measuring errors come first: measure again what is marked before anything is bent.",
            "No pulling from one survey. The maker's figures and tolerances win.",
            "Steering and suspension pick-up points want an alignment check besides.",
        ),
    )


def _steps(found: Survey, compared: Compared | None) -> tuple[Step, ...]:
    adjusted = found.snooped.adjusted
    steps = []
    if adjusted.spare > 0:
        square = float(((adjusted.residuals_m / adjusted.net.sigma_m) ** 2).sum())
        steps.append(
            Step(
                "s0 = √(Σ (v/σ)² / r)",
                {
                    "Σ (v/σ)²": Figure("sum", "sum of squares", square),
                    "r": Figure("r", "readings more than needed", adjusted.spare, Quantity.COUNT),
                },
                Figure("s0", "scatter against what was said", adjusted.s0),
                "least squares",
            )
        )
        at = int(abs(adjusted.w).argmax())
        steps.append(
            Step(
                "w = |v| / (σ · √r)",
                {
                    "|v|": Figure("v", f"residual of {adjusted.net.readings[at].name}",
                                  abs(float(adjusted.residuals_m[at])), Quantity.LENGTH),
                    "σ": Figure("σ", "of a reading", adjusted.net.sigma_m, Quantity.LENGTH),
                    "r": Figure("r", "its redundancy", float(adjusted.redundancy[at])),
                },
                Figure("w", f"largest test left; wrong over {CRITICAL_W}",
                       abs(float(adjusted.w[at]))),
                "Baarda 1968",
            )
        )  # fmt: skip
    if compared is not None:
        square = float((compared.fit.deviations_m**2).sum()) * 1e6
        count = len(compared.fit.deviations_m)
        steps.append(
            Step(
                "rms = √(Σ d² / k)",
                {
                    "Σ d²": Figure("sum", "squares of deviations, mm²", square),
                    "k": Figure("k", "points fitted by", count, Quantity.COUNT),
                },
                Figure("rms", "after the best rigid fit", compared.fit.rms_m, Quantity.LENGTH),
                "Kabsch 1976",
            )
        )
    return tuple(steps)


def _limits(found: Survey, compared: Compared | None) -> tuple[str, ...]:
    limits = [
        "holes round, and measured in their own plane; the vehicle unloaded and held level",
        "standard deviations are those of the net on its own, without what is held fixed moving",
    ]
    if found.is_flat:
        limits.insert(
            0,
            "readings in one plane, or in plan alone, cannot tell up from down: nothing is said "
            "of sag and twist; read heights over a datum",
        )
    elif not found.given.is_height.any():
        limits.insert(
            0, "heights come from lengths alone here and are weak: read some over a datum"
        )
    if not found.snooped.adjusted.is_at_rest:
        limits.insert(
            0,
            "the search for places stopped at its most steps, short of the least sum of "
            "squares: neither places nor deviations are to be relied on",
        )
    if compared is None:
        limits.append("distances alone do not tell left from right: the picture may be mirrored")
    elif not compared.base:
        limits.append(
            "fitted by all points, so damage at one end is spread over all: name points that "
            "are known to be good to fit by those"
        )
    return tuple(limits)


CALCULATOR = Calculator(
    "survey",
    "Chassis survey",
    "Where do the points of a chassis lie, which reading is wrong, and what is bent?",
    (
        Asked("readings", "readings", "Readings, one a line: point, point, distance",
              Quantity.LINES,
              hint="FL RR 3214, or FL height 312; then, if it differs: plan, inner, outer"),
        Asked("unit", "unit", "Lines are in", Quantity.CHOICE, "mm", choices=tuple(LENGTH_UNITS)),
        Asked("kind", "kind", "Readings are", Quantity.CHOICE, "true",
              "true: straight from point to point; plan: projected, by a tram with two pins",
              ("true", "plan")),
        Asked("edge", "edge", "Read at holes", Quantity.CHOICE, "centre",
              "inner: edges nearest each other; like: the same edge of equal holes",
              tuple(each.value for each in Edge)),
        Asked("holes", "holes", "Holes, one a line: point, diameter", Quantity.LINES,
              hint="FL 12", is_optional=True),
        Asked("sigma", "sigma_m", "A reading is good to", Quantity.LENGTH, "1 mm",
              "one standard deviation", low=1e-6, high=1.0, bare="mm"),
        Asked("fixed", "fixed", "Points that are known, one a line: point, x, y, z",
              Quantity.LINES, is_optional=True),
        Asked("reference", "reference", "Where points ought to lie, one a line: point, x, y, z",
              Quantity.LINES, hint="x rearwards, y to the right, z up: FL 0 -430 120",
              is_optional=True),
        Asked("base", "base", "Points known to be good, to fit by", Quantity.TEXT,
              hint="all if left empty", is_optional=True),
        Asked("tolerance", "tolerance_m", "A point may be off by", Quantity.LENGTH, "5 mm",
              "the maker's figure; else 5 mm on a frame, 3 mm unibody", low=1e-6, bare="mm"),
    ),
    survey,
    {
        "readings":
        "FL FR 860 | AL AR 881 | BL BR 909 | RL RR 981 | FL AL 701 | FR AR 701"
        " | AL BL 802 | AR BR 801 | BL RL 1105 | BR RR 1106 | FL AR 1124 | FR AL 1111"
        " | AL BR 1208 | AR BL 1194 | BL RR 1461 | BR RL 1446 | FL BR 1715"
        " | FR BL 1734 | AL RR 2125 | AR RL 2107 | FL RR 2767 | FR RL 2749"
        " | FL RL 2601 | FR RR 2600 | FL height 120 | FR height 120 | AL height 81"
        " | AR height 80 | BL height 48 | BR height 47 | RL height 150 | RR height 149",
        "reference":
        "FL 0 -430 120 | FR 0 430 120 | AL 700 -440 90 | AR 700 440 90"
        " | BL 1500 -455 60 | BR 1500 455 60 | RL 2600 -490 150 | RR 2600 490 150",
    },
)  # fmt: skip
