"""The calculator ``sheet``: how thick, how heavy, how large the repair, what welding it takes."""

import re

from putback.bench.calculator import (
    TAPE_M,
    Answer,
    Asked,
    Calculator,
    Drawing,
    Figure,
    OutsideLimits,
    Quantity,
    Shape,
    Step,
    Table,
)
from putback.bench.sheet import panel
from putback.bench.sheet.gauges import Series, gauge_name, nearest, ordered_kg_m2, thickness_m
from putback.bench.tables import data_table
from putback.errors import BadInput

_GAUGE = re.compile(
    r"\s*(?P<first>swg)?\s*(?:no\.?|#|gauge)?\s*(?:(?P<noughts>[2-7])/0|(?P<all>00+)|(?P<number>\d{1,2}))"
    r"\s*(?:gauge|gage|ga?)?\.?\s*(?P<swg>swg)?\.?\s*",
    re.I,
)
"""A gauge's number, with its series where that is said: 18, No. 18, 18 SWG, 4/0, 0000."""
_USUAL_SERIES = {"steel": Series.US_STEEL, "stainless steel": Series.US_STAINLESS}
"""By which series a sheet of a metal goes where none is said; the rest go by Brown & Sharpe."""

_WIRE_READ_M = 0.01
"""A spool's wire is not read more finely than that [m]."""


def work(
    series: str | None,
    metal: str,
    margin_m: float,
    joint: str,
    overlap_m: float,
    gauge: str | None = None,
    sheet_m: float | None = None,
    length_m: float | None = None,
    width_m: float | None = None,
    rust_length_m: float | None = None,
    rust_width_m: float | None = None,
    fold_m: float | None = None,
) -> Answer:
    """Say what a gauge is, and what follows from the sheet's thickness.

    Raises
    ------
    OutsideLimits
        A gauge that the series has not, or a figure out of reach of the practice.
    BadInput
        Neither a gauge nor a thickness, both, or half of a size.
    """
    series, number, thick_m = _thickness(series, metal, gauge, sheet_m)
    kind = next(each for each in panel.metals() if each.name == metal)
    thickness = Figure("t", "thickness", thick_m, Quantity.LENGTH)
    density = Figure("density", f"density of {metal} [kg/m³]", kind.density_kg_m3)
    results = [thickness]
    steps = []
    drawings: tuple[Drawing, ...] = ()
    inputs = [Figure("metal", "metal", metal, Quantity.CHOICE)]
    if number is None:
        verdict = (
            f"The sheet is {thick_m * 1e3:.2f} mm; a gauge's number says so only in its series."
        )
    else:
        inputs.append(_numbered("gauge", f"gauge, {series}", number))
        verdict = (
            f"Gauge {gauge_name(number)} in the series {series} is {thick_m * 1e3:.3f} mm"
            f" ({thick_m / 0.0254:.4f} in)."
        )
        steps.append(_gauge_step(Series(series), number, thickness))
    each_m2 = Figure(
        "per_m2", "mass of a square metre", kind.density_kg_m3 * thick_m, Quantity.MASS
    )
    results.append(each_m2)
    if number is not None and series == Series.US_STEEL:
        ordered = ordered_kg_m2(number)
        results.append(Figure("ordered", "ordered as, a square metre", ordered, Quantity.MASS))
    if (size := _both(length_m, width_m, "length", "width")) is not None:
        area = Figure("A", "area of the panel", size[0] * size[1], Quantity.AREA)
        mass_kg = panel.mass_kg(size[0] * size[1], thick_m, kind.density_kg_m3)
        weight = Figure("mass", "mass of the panel", mass_kg, Quantity.MASS)
        results += [area, weight]
        symbols = {"A": area, "t": thickness, "density": density}
        steps.append(Step("m = A t density", symbols, weight))
        verdict += f" The panel weighs {mass_kg:.2f} kg, flat and without holes."
    if (rust := _both(rust_length_m, rust_width_m, "rust_length", "rust_width")) is not None:
        mended = panel.patch(rust, margin_m, overlap_m if joint == "lap" else 0.0)
        more, step = _repair(mended, thick_m, kind)
        results += more
        steps.append(step)
        drawings = (_drawing(rust, mended),)
        verdict += (
            f" Cut out {mended.hole_m[0] * 1e3:.0f} × {mended.hole_m[1] * 1e3:.0f} mm and weld"
            f" {mended.seam_m * 1e3:.0f} mm."
        )
    if fold_m is not None:
        ratio = panel.springback_ratio(fold_m, kind.yield_pa, kind.modulus_pa, thick_m)
        results.append(Figure("released", "fold after release", fold_m / ratio, Quantity.LENGTH))
        verdict += f" A fold of {fold_m * 1e3:.1f} mm opens to {fold_m / ratio * 1e3:.1f} mm."
    return Answer(
        "sheet",
        tuple(inputs),
        tuple(results),
        verdict,
        tuple(steps),
        (_nearest_table(thick_m),),
        drawings,
        sources=_SOURCES,
        limits=(
            "Gauges are nominal: old sheet is worn and rolled to a tolerance; measure it clean.",
            "Weights are of the soft grades that panels are pressed from.",
            "Springback holds for sheet much wider than thick; for tube bend a test piece.",
        ),
        cautions=_CAUTIONS,
    )


def _thickness(
    series: str | None, metal: str, gauge: str | None, sheet_m: float | None
) -> tuple[Series, int | None, float]:
    """Give the series that is meant, the number in it if one was given, the thickness [m]."""
    meant = Series(series) if series else _USUAL_SERIES.get(metal, Series.ALUMINIUM)
    if (gauge is None) == (sheet_m is None):
        raise BadInput(
            "a sheet is known by its gauge or by its thickness", "sheet", "give one of the two"
        )
    if gauge is None:
        return meant, None, sheet_m or 0.0
    found = _GAUGE.fullmatch(gauge)
    if found is None:
        raise BadInput(f"{gauge!r} is no gauge", "gauge", "write its number, like 18")
    if found["first"] or found["swg"]:
        if series not in (None, Series.SWG):
            raise BadInput(f"{gauge!r} is of the series SWG, not {series}", "gauge", "say one")
        meant = Series.SWG
    noughts = int(found["noughts"] or len(found["all"] or ""))
    number = 1 - noughts if noughts else int(found["number"])
    return meant, number, thickness_m(meant, number)


def _both(
    one_m: float | None, other_m: float | None, name: str, beside: str
) -> tuple[float, float] | None:
    if one_m is None and other_m is None:
        return None
    if one_m is None or other_m is None:
        missing = name if one_m is None else beside
        raise OutsideLimits("a size has two figures", missing, f"give {missing} too", missing)
    return one_m, other_m


def _repair(mended: panel.Patch, thick_m: float, kind: panel.Metal) -> tuple[list[Figure], Step]:
    seam = Figure("seam", "length of weld", mended.seam_m, Quantity.LENGTH, step=TAPE_M)
    length, width = (
        Figure(name, f"the patch's {words}", value, Quantity.LENGTH)
        for name, words, value in (
            ("l", "length", mended.patch_m[0]),
            ("w", "width", mended.patch_m[1]),
        )
    )
    figures = [
        Figure("patch_length", "patch, length", mended.patch_m[0], Quantity.LENGTH, step=TAPE_M),
        Figure("patch_width", "patch, width", mended.patch_m[1], Quantity.LENGTH, step=TAPE_M),
        Figure("patch_area", "patch, area", mended.area_m2, Quantity.AREA),
        seam,
    ]
    if kind.name == "steel":
        takes = panel.weld(mended.seam_m, thick_m, kind.density_kg_m3)
        figures += [
            Figure("wire", "wire to use", takes.wire_m, Quantity.LENGTH),
            Figure("wire_mass", "wire used, about", takes.wire_kg, Quantity.MASS),
            Figure(
                "wire_length",
                "length of that wire",
                takes.wire_length_m,
                Quantity.LENGTH,
                step=_WIRE_READ_M,
            ),
            _range("arc", "time under the arc", takes.arc_minutes, Quantity.TIME),
            _range("gas", "shielding gas while it burns", takes.gas_m3, Quantity.VOLUME),
        ]
    return figures, Step("seam = 2 (l + w)", {"l": length, "w": width}, seam)


def _drawing(rust_m: tuple[float, float], mended: panel.Patch) -> Drawing:
    """Draw the rust, the hole that is cut round it, and the patch with its weld."""

    def box(size_m: tuple[float, float]) -> tuple[tuple[float, float], ...]:
        x, y = size_m[0] / 2, size_m[1] / 2
        return (-x, -y), (x, -y), (x, y), (-x, y), (-x, -y)

    cut, patch = (
        " × ".join(f"{each * 1e3:.0f}" for each in size) + " mm"
        for size in (mended.hole_m, mended.patch_m)
    )
    return Drawing(
        "The repair",
        f"Dashed, the rust that is seen. It is cut out {cut}; the patch is {patch}, welded round "
        "its edge.",
        (
            Shape("accent", box(mended.patch_m)),
            Shape("outline", box(mended.hole_m)),
            Shape("hidden", box(rust_m)),
            Shape("text", ((0.0, 0.0),), "rust"),
            Shape("text", ((0.0, mended.patch_m[1] / 2),), patch),
        ),
    )


def _range(name: str, words: str, ends: tuple[float, float], quantity: Quantity) -> Figure:
    return Figure(name, words, sum(ends) / 2, quantity, low=ends[0], high=ends[1])


def _numbered(name: str, words: str, gauge: int | None) -> Figure:
    if gauge is None or gauge >= 0:
        return Figure(name, words, gauge, Quantity.COUNT)
    return Figure(name, words, gauge_name(gauge), Quantity.TEXT)


def _gauge_step(series: Series, number: int, thickness: Figure) -> Step:
    gauge = _numbered("n", "gauge", number)
    if series is Series.ALUMINIUM:
        return Step("t = 0.005 · 92^((36 - n) / 39) in", {"n": gauge}, thickness, "ASTM B 258")
    if series is Series.SWG:
        return Step("t = of the table at n", {"n": gauge}, thickness, "BS 3737")
    (row,) = (row for row in data_table("gauges_us").rows if row["gauge"] == str(number))
    ounces = Figure("oz", "ounces a square foot", float(row["oz_per_ft2"]))
    formula = {
        Series.US_STEEL: "t = oz / 16 / 41.82 in",
        Series.US_GALVANIZED: "t = (oz + 2.5) / 16 / 41.82 in",
        Series.US_STAINLESS: "t = oz / 16 / 40 in",
    }[series]
    return Step(formula, {"oz": ounces}, thickness, "US Standard Gauge")


def _nearest_table(thick_m: float) -> Table:
    rows = []
    for series in Series:
        gauge = nearest(series, thick_m)
        that_m = None if gauge is None else thickness_m(series, gauge)
        rows.append(
            (
                Figure("series", "series", series.value, Quantity.TEXT),
                _numbered("gauge", "nearest gauge", gauge),
                Figure("thickness", "which is", that_m, Quantity.LENGTH),
            )
        )
    return Table("The nearest gauge in each series", ("Series", "Gauge", "Thickness"), tuple(rows))


_SOURCES = (
    "US Standard Gauge (Act of 1893) and Manufacturers' Standard Gauge, 41.82 lb/ft² an inch",
    "BS 3737, imperial standard wire gauge; ASTM B 258 for aluminium (from memory)",
    "Densities and strengths: handbook values from memory",
    "Wire, gas, speed, margin and overlap: common practice",
    "Kalpakjian, Manufacturing Engineering and Technology: springback of sheet (from memory)",
)
_CAUTIONS = (
    "Structural metal, sills, jacking and seat-belt points need a competent welder and the local"
    " inspection; never thinner than the parent sheet.",
    "Where a third of the thickness is gone, or there is any hole in a structural part, it is"
    " replaced (common practice).",
    "Zinc fume is poisonous: grind coatings off and ventilate; keep hot work from fuel and seals,"
    " and watch for an hour afterwards.",
)

CALCULATOR = Calculator(
    "sheet",
    "Sheet metal",
    "Gauges in millimetres, the weight of a panel, the size of a repair, weld, wire and gas.",
    (
        Asked("gauge", "gauge", "gauge", Quantity.TEXT, hint="its number", is_optional=True),
        Asked(
            "series",
            "series",
            "series",
            Quantity.CHOICE,
            is_optional=True,
            hint="the same number is another thickness in each; by the metal if none is said",
            choices=tuple(series.value for series in Series),
        ),
        Asked(
            "thickness",
            "sheet_m",
            "or thickness",
            Quantity.LENGTH,
            low=1e-4,
            high=0.02,
            is_optional=True,
            bare="mm",
        ),
        Asked(
            "metal",
            "metal",
            "metal",
            Quantity.CHOICE,
            default="steel",
            choices=tuple(each.name for each in panel.metals()),
        ),
        *(
            Asked(
                name,
                f"{name}_m",
                words,
                Quantity.LENGTH,
                low=0.0,
                high=10.0,
                is_optional=True,
                bare="mm",
            )
            for name, words in (
                ("length", "panel, length"),
                ("width", "panel, width"),
                ("rust_length", "visible rust, length"),
                ("rust_width", "visible rust, width"),
            )
        ),
        Asked(
            "margin",
            "margin_m",
            "cut back past the rust",
            Quantity.LENGTH,
            default="25 mm",
            hint="to bright metal of full thickness; common practice: 25 mm at least",
            low=0.0,
            high=1.0,
            bare="mm",
        ),
        Asked("joint", "joint", "joint", Quantity.CHOICE, default="butt", choices=("butt", "lap")),
        Asked(
            "overlap",
            "overlap_m",
            "overlap of a lap joint",
            Quantity.LENGTH,
            default="15 mm",
            low=0.0,
            high=0.1,
            bare="mm",
        ),
        Asked(
            "fold",
            "fold_m",
            "inner radius of a fold",
            Quantity.LENGTH,
            hint="of the former it is bent over",
            low=1e-5,
            high=1.0,
            is_optional=True,
            bare="mm",
        ),
    ),
    work,
    {
        "gauge": "18",
        "series": "SWG",
        "length": "900 mm",
        "width": "450 mm",
        "rust_length": "120 mm",
        "rust_width": "60 mm",
    },
)
