"""Hydraulic brakes: pedal to line pressure to the force on each pad, fluid moved, bleed order.

The pressure is the same everywhere in a circuit at rest (Pascal). Each wheel is a line of text::

    # name kind     piston pistons travel pipe
    RR     drum     22.2   2       1.0    4200
    LF     floating 54     1       0.15   900

A ``floating`` caliper presses both its pads with the force of its pistons; of ``opposed`` pistons
half press on each pad; in a ``drum`` each piston pushes one shoe.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import pi

from putback.bench.calculator import (
    RULE_M,
    Answer,
    Asked,
    Calculator,
    Figure,
    OutsideLimits,
    Quantity,
    Step,
    Table,
)
from putback.bench.dust import ASBESTOS
from putback.bench.lines import LENGTH_UNITS, Line, read_lines, unit_words
from putback.bench.tables import data_table

KINDS = ("floating", "opposed", "drum")
_LIKE = "RR drum 22.2 2 1.0 4200 (name, kind, piston, pistons, travel, pipe)"
_HIGHEST_PA = 2e7
"""Beyond this no hand-made pipe or hydraulic part of a road vehicle is meant to work [Pa]."""


@dataclass(frozen=True, slots=True)
class Wheel:
    """The brake of one wheel; ``pipe_m`` is None where the pipe was not measured."""

    name: str
    kind: str
    piston_m: float
    pistons: int
    travel_m: float
    pipe_m: float | None

    @property
    def each_side(self) -> float:
        """How many pistons' force a single pad or shoe gets."""
        return {"floating": self.pistons, "opposed": self.pistons / 2, "drum": 1}[self.kind]


def circle_area_m2(diameter_m: float) -> float:
    """Area of a bore or piston [m²]: ``A = π d² / 4``."""
    return pi * diameter_m**2 / 4


def line_pressure_pa(force_n: float, ratio: float, boost: float, bore_m: float) -> float:
    """Pressure in the pipes [Pa]: ``p = F i b / (π d² / 4)``.

    Parameters
    ----------
    force_n : float
        On the pedal, [N].
    ratio, boost : float
        Lever ratio of the pedal, and by how much a servo multiplies, [-].
    bore_m : float
        Of the master cylinder, [m].
    """
    return force_n * ratio * boost / circle_area_m2(bore_m)


def piston_force_n(pressure_pa: float, diameter_m: float, pistons: float = 1) -> float:
    """Force of so many pistons [N]: ``F = p n π d² / 4``."""
    return pressure_pa * pistons * circle_area_m2(diameter_m)


def moved_m3(diameter_m: float, travel_m: float, pistons: int = 1) -> float:
    """Fluid that pistons take up as they travel [m³]: ``V = n (π d² / 4) s``."""
    return pistons * circle_area_m2(diameter_m) * travel_m


def pipe_volume_m3(inside_m: float, length_m: float) -> float:
    """Fluid that a pipe holds [m³]: ``V = (π d² / 4) L``."""
    return circle_area_m2(inside_m) * length_m


def bleed_order(wheels: Sequence[Wheel]) -> tuple[str, ...]:
    """Names of wheels in the order to bleed them: the longest pipe first (common practice).

    Equal lengths stay in the order in which they were given; wheels without a length are left out.
    """
    known = [(wheel.pipe_m, wheel.name) for wheel in wheels if wheel.pipe_m is not None]
    return tuple(name for _, name in sorted(known, key=lambda each: -each[0]))


def may_mix(one: str, other: str) -> bool:
    """Whether two grades of `brake_fluids.csv` may meet: only glycol with glycol."""
    bases = {row["grade"]: row["base"].split()[0] for row in data_table("brake_fluids").rows}
    return one == other or bases[one] == bases[other] == "glycol"


def read_wheels(text: str, unit: str) -> tuple[Wheel, ...]:
    """Read the lines of wheels; lengths are in `unit`, pistons are counted.

    Raises
    ------
    BadInput
        A line that is no wheel, or a name that is given twice.
    """
    wheels: list[Wheel] = []
    for line in read_lines(text, "wheels", unit_words(unit)):
        wheel = _wheel(line, LENGTH_UNITS[unit])
        if any(other.name == wheel.name for other in wheels):
            raise line.fault(f"there is a wheel {wheel.name} already", "call this one otherwise")
        wheels.append(wheel)
    return tuple(wheels)


_KIND_WORDS = {
    **dict.fromkeys(("sliding", "single", "single-sided"), "floating"),
    **dict.fromkeys(("fixed", "opposing"), "opposed"),
    "shoes": "drum",
}


def _wheel(line: Line, unit_m: float) -> Wheel:
    line.at_most(6, _LIKE)
    kind = line.text(1, "kind").lower()
    kind = _KIND_WORDS.get(kind, kind)
    if kind not in KINDS:
        mend = "write floating (pistons on one side), opposed (on both) or drum"
        raise line.fault(f"{kind!r} is no kind of brake", mend)
    piston, pistons = line.values(("piston's diameter", "number of pistons"), 2)
    travel = line.value(4, "travel") if len(line) > 4 else 0.0
    pipe = line.value(5, "length of pipe") if len(line) > 5 else None
    if piston <= 0 or travel < 0 or (pipe or 0.0) < 0:
        raise line.fault("a size below zero, or no diameter", f"write it like: {_LIKE}")
    if pistons != int(pistons) or not 1 <= pistons <= 12:
        raise line.fault(f"{pistons:g} is no number of pistons", "count them: 1 to 12")
    if kind == "opposed" and pistons % 2:
        raise line.fault(
            f"{pistons:g} pistons cannot be opposed", "count the pistons of both sides"
        )
    return Wheel(
        line.text(0, "name"),
        kind,
        piston * unit_m,
        int(pistons),
        travel * unit_m,
        None if pipe is None else pipe * unit_m,
    )


def work(
    pedal_n: float,
    ratio: float,
    boost: float,
    bore_m: float,
    pipe_m: float,
    fluid: str,
    unit: str,
    wheels: str | None = None,
    stroke_m: float | None = None,
    there: str | None = None,
) -> Answer:
    """Follow the pedal's force and travel through one circuit.

    Raises
    ------
    OutsideLimits
        A pressure that no such system is made for, or a stroke without the pistons' travel.
    BadInput
        A line of `wheels` that cannot be read.
    """
    pressure_pa = line_pressure_pa(pedal_n, ratio, boost, bore_m)
    if pressure_pa > _HIGHEST_PA:
        raise OutsideLimits(
            f"{pressure_pa / 1e5:.0f} bar is more than such brakes are made for",
            "line pressure",
            "look at the bore, the pedal's ratio and the servo's",
            "bore",
        )
    at = read_wheels(wheels or "", unit)
    if stroke_m is not None and not (at and all(each.travel_m for each in at)):
        raise OutsideLimits(
            "whether the stroke is enough needs how far the pistons still have to go",
            mend=f"give it of every wheel: {_LIKE}",
            field="wheels",
        )
    inputs = (
        Figure("F", "force on the pedal", pedal_n, Quantity.FORCE),
        Figure("i", "pedal ratio", ratio),
        Figure("b", "servo multiplies by", boost),
        Figure("d", "master cylinder's bore", bore_m, Quantity.LENGTH),
    )
    symbols = {figure.name: figure for figure in inputs}
    area = Figure("A", "master cylinder's area", circle_area_m2(bore_m), Quantity.AREA)
    pressure = Figure("pressure", "line pressure", pressure_pa, Quantity.PRESSURE)
    results = [pressure, area]
    steps = [
        Step("A = π d^2 / 4", {"d": symbols["d"]}, area),
        Step(
            "p = F i b / A",
            {"F": symbols["F"], "i": symbols["i"], "b": symbols["b"], "A": area},
            pressure,
            "Pascal's law",
        ),
    ]
    verdict = f"The pedal makes {pressure_pa / 1e5:.1f} bar ({pressure_pa / 6894.757:.0f} psi)."
    tables: list[Table] = []
    if at:
        tables.append(_wheel_table(at, pressure_pa, pipe_m))
        if all(each.travel_m for each in at):
            stroke_results, stroke_step = _stroke(at, bore_m, ratio)
            results += stroke_results
            steps.append(stroke_step)
        if stroke_m is not None:
            is_enough = _needed_m(at, bore_m) <= stroke_m
            results.append(Figure("enough", "the stroke is enough", is_enough, Quantity.YES))
            verdict += "" if is_enough else " The master cylinder cannot move that much fluid."
        if any(each.pipe_m for each in at):
            held_m3 = sum(pipe_volume_m3(pipe_m, each.pipe_m or 0.0) for each in at)
            results.append(Figure("held", "fluid in the pipes", held_m3, Quantity.VOLUME))
        if order := bleed_order(at):
            results.append(Figure("bleed", "bleed in this order", ", ".join(order), Quantity.TEXT))
            verdict += f" Longest pipe first, bleed {', '.join(order)}."
    tables.append(_fluid_table())
    row = next(each for each in data_table("brake_fluids").rows if each["grade"] == fluid)
    if row["dry_c"]:
        results += [
            Figure("dry", f"{fluid} new boils above", float(row["dry_c"]), Quantity.TEMPERATURE),
            Figure("wet", f"{fluid} wet boils above", float(row["wet_c"]), Quantity.TEMPERATURE),
        ]
    if there is not None:
        is_one = may_mix(there, fluid)
        results.append(
            Figure("mix", f"{fluid} may be put to {there}", is_one, Quantity.YES),
        )
        if not is_one:
            verdict += f" Never put {fluid} to {there}: flush, and renew the rubbers first."
    return Answer(
        "brake",
        inputs,
        tuple(results),
        verdict,
        tuple(steps),
        tuple(tables),
        sources=(
            "Pascal's law; hydraulic areas and volumes",
            data_table("brake_fluids").source,
            "Bleed order by length of pipe: common practice",
        ),
        limits=(
            "Wet means fluid that has taken up 3.7 % of water by volume.",
            "One circuit at rest: no losses, no limiting valve, no springs, nothing swells.",
            "Of a divided system give one circuit's wheels at a time; both see one pressure.",
            "The travel is what the shoes or pads still have to go, worn linings included.",
            "The maker's bleed order wins, and always with divided or anti-lock systems.",
        ),
        cautions=_CAUTIONS,
    )


def _needed_m(wheels: Sequence[Wheel], bore_m: float) -> float:
    """Stroke of the master cylinder that takes up every piston's travel [m]: ``s = V / A``."""
    moved = sum(moved_m3(each.piston_m, each.travel_m, each.pistons) for each in wheels)
    return moved / circle_area_m2(bore_m)


def _stroke(
    wheels: Sequence[Wheel], bore_m: float, ratio: float
) -> tuple[tuple[Figure, ...], Step]:
    """Tell the fluid that pistons take up, and how far master cylinder and pedal go for it."""
    needed_m, area_m2 = _needed_m(wheels, bore_m), circle_area_m2(bore_m)
    moved = Figure("moved", "fluid the pistons take up", needed_m * area_m2, Quantity.VOLUME)
    stroke = Figure("stroke", "master cylinder's stroke", needed_m, Quantity.LENGTH, step=RULE_M)
    area = Figure("A", "master cylinder's area", area_m2, Quantity.AREA)
    pedal = Figure("pedal_travel", "pedal's travel", needed_m * ratio, Quantity.LENGTH,
                   step=RULE_M)  # fmt: skip
    return (moved, stroke, pedal), Step("stroke = V / A", {"V": moved, "A": area}, stroke)


def _wheel_table(wheels: Sequence[Wheel], pressure_pa: float, pipe_m: float) -> Table:
    head = (
        "Wheel",
        "Brake",
        "All pistons push",
        "Each pad or shoe gets",
        "Fluid taken up",
        "Fluid in the pipe",
    )
    rows = []
    for each in wheels:
        whole_n = piston_force_n(pressure_pa, each.piston_m, each.pistons)
        side_n = piston_force_n(pressure_pa, each.piston_m, each.each_side)
        moved = moved_m3(each.piston_m, each.travel_m, each.pistons)
        held = None if each.pipe_m is None else pipe_volume_m3(pipe_m, each.pipe_m)
        rows.append(
            (
                Figure("wheel", "wheel", each.name, Quantity.TEXT),
                Figure("kind", "brake", each.kind, Quantity.TEXT),
                Figure("push", "all pistons push", whole_n, Quantity.FORCE),
                Figure("side", "each pad or shoe gets", side_n, Quantity.FORCE),
                Figure("moved", "fluid taken up", moved, Quantity.VOLUME),
                Figure("held", "fluid in the pipe", held, Quantity.VOLUME),
            )
        )
    return Table("At the wheels", head, tuple(rows))


def _fluid_table() -> Table:
    return Table(
        "Fluids",
        ("Grade", "Made of", "New boils above", "Wet boils above"),
        tuple(
            (
                Figure("grade", "grade", row["grade"], Quantity.TEXT),
                Figure("base", "made of", row["base"], Quantity.TEXT),
                *(
                    Figure(
                        name,
                        words,
                        float(row[f"{name}_c"]) if row[f"{name}_c"] else None,
                        Quantity.TEMPERATURE,
                    )
                    for name, words in (("dry", "new boils above"), ("wet", "wet boils above"))
                ),
            )
            for row in data_table("brake_fluids").rows
        ),
    )


GRADES = tuple(row["grade"] for row in data_table("brake_fluids").rows)
_CAUTIONS = (
    "An estimate, not an approval: leak test at full pedal force, and a road test by somebody"
    " competent.",
    "Never mix silicone fluid (DOT 5) or mineral oil with any other; a wrong fluid swells the"
    " rubbers.",
    "Brake fluid strips paint and hurts eyes: wear eye protection, wash it off at once; only new"
    " fluid from a sealed can.",
    ASBESTOS,
)

CALCULATOR = Calculator(
    "brake",
    "Hydraulic brakes",
    "From the pedal to the pressure in the pipes and the force on each pad; fluid; bleed order.",
    (
        Asked(
            "pedal",
            "pedal_n",
            "force on the pedal",
            Quantity.FORCE,
            default="400 N",
            hint="about 500 N is a hard push",
            low=0.0,
            high=3000.0,
            bare="N",
        ),
        Asked(
            "ratio",
            "ratio",
            "pedal ratio",
            Quantity.NUMBER,
            default="5",
            hint="pivot to pad over pivot to push rod",
            low=0.5,
            high=20.0,
        ),
        Asked(
            "boost",
            "boost",
            "servo multiplies by",
            Quantity.NUMBER,
            default="1",
            hint="without a servo 1",
            low=1.0,
            high=10.0,
        ),
        Asked(
            "bore",
            "bore_m",
            "master cylinder's bore",
            Quantity.LENGTH,
            hint="its diameter; often cast on it",
            low=5e-3,
            high=0.1,
            bare="mm",
        ),
        Asked(
            "wheels",
            "wheels",
            "wheels, a line each",
            Quantity.LINES,
            hint="name, kind (floating, opposed, drum), piston diameter, pistons, travel, pipe",
            is_optional=True,
        ),
        Asked(
            "unit",
            "unit",
            "lines are in",
            Quantity.CHOICE,
            default="mm",
            choices=tuple(LENGTH_UNITS),
        ),
        Asked(
            "pipe",
            "pipe_m",
            "inside of the pipes",
            Quantity.LENGTH,
            default="3.33 mm",
            hint="of 4.75 mm (3/16 in) pipe with 0.71 mm of wall",
            low=1e-3,
            high=0.02,
            bare="mm",
        ),
        Asked(
            "stroke",
            "stroke_m",
            "stroke there is",
            Quantity.LENGTH,
            hint="of the master cylinder",
            low=0.0,
            high=0.2,
            is_optional=True,
            bare="mm",
        ),
        Asked("fluid", "fluid", "fluid", Quantity.CHOICE, default="DOT 4", choices=GRADES),
        Asked(
            "there",
            "there",
            "fluid that is in it",
            Quantity.CHOICE,
            choices=GRADES,
            is_optional=True,
        ),
    ),
    work,
    {
        "pedal": "400 N",
        "ratio": "5",
        "bore": "3/4 in",
        "wheels": "RR drum 19.05 2 0.8 4200 | LR drum 19.05 2 0.8 3600"
        " | RF drum 22.2 2 1.0 1900 | LF drum 22.2 2 1.0 800",
        "fluid": "DOT 4",
        "there": "DOT 5",
    },
)
