"""Coating: what plating or paint does to a thread, a shaft or a bore."""

from dataclasses import dataclass

from putback.bench.calculator import (
    Answer,
    Asked,
    Calculator,
    Figure,
    OutsideLimits,
    Quantity,
    Step,
    Table,
)
from putback.bench.coating.growth import (
    Coat,
    baking_hours,
    coat_named,
    coats,
    diameter_growth_m,
    pitch_growth_m,
    thickest_m,
)
from putback.bench.designation import thread_named
from putback.bench.strength import read_grade, strength_of
from putback.bench.tables import data_table
from putback.bench.thread_form import form_of
from putback.bench.thread_limits import thread_limits
from putback.bench.threads import Thread

_MALE, _FEMALE, _SHAFT, _BORE = "male thread", "female thread", "shaft", "bore"
_SPRING_PA = 1500e6
"""What a spring counts as where its strength is not known (common practice)."""
_RISKY_PA = 1000e6
_WORST_PA = 1200e6
_SAME_M = 1e-9


@dataclass(frozen=True, slots=True)
class _Case:
    """One thing and one coat."""

    what: str
    thread: Thread | None
    diameter_m: float
    coat: Coat
    thickness_m: float
    gap_m: float
    tensile_pa: float | None
    is_spring: bool

    @property
    def grows_m(self) -> float:
        """What counts against the gap: the pitch diameter of a thread, else the diameter."""
        if self.thread is None:
            return diameter_growth_m(self.thickness_m, self.coat.stands_out)
        return pitch_growth_m(self.thread, self.thickness_m, self.coat.stands_out)

    @property
    def relief_m(self) -> float:
        """What must be taken off beforehand, on that diameter."""
        over_m = self.grows_m - self.gap_m
        return over_m if over_m > _SAME_M else 0.0

    @property
    def thickest_m(self) -> float:
        """The thickest coat that the gap takes."""
        if self.thread is None:
            return max(0.0, self.gap_m) / (2 * self.coat.stands_out)
        return thickest_m(self.thread, self.gap_m, self.coat.stands_out)

    @property
    def bake_hours(self) -> int:
        """How long to bake; 0 where it need not be, or nobody knows the strength."""
        if not self.coat.hydrogen:
            return 0
        strong = self.tensile_pa or 0.0
        return baking_hours(max(strong, _SPRING_PA) if self.is_spring else strong)

    @property
    def is_internal(self) -> bool:
        """Whether the coat makes it smaller."""
        return self.what in (_FEMALE, _BORE)


def work(
    *,
    what: str,
    size: str | None,
    diameter_m: float | None,
    coat: str,
    thickness_m: float | None,
    clearance_m: float | None,
    grade: str | None,
    tensile_pa: float | None,
    is_spring: bool,
) -> Answer:
    """Work out what grows, what must be relieved, and whether it must be baked.

    Parameters
    ----------
    what : str
        Male thread, female thread, shaft or bore.
    size : str or None
        The thread, as people type it.
    diameter_m : float or None
        Of a shaft or bore, [m].
    coat : str
        One of `coats`.
    thickness_m : float or None
        On one side, where it is known, [m].
    clearance_m : float or None
        Of the bare fit on the diameter, instead of what a thread's class leaves, [m].
    grade : str or None
        Class or grade of a bolt.
    tensile_pa : float or None
        Tensile strength of any other part, [Pa].
    is_spring : bool
        Whether it is a spring.

    Raises
    ------
    BadInput
        No such thread, class or grade.
    OutsideLimits
        No thread, no diameter, or a standard that does not go with it.
    """
    case = _case(
        what, size, diameter_m, coat_named(coat), thickness_m, clearance_m, grade, tensile_pa,
        is_spring,
    )  # fmt: skip
    return Answer(
        calculator="coating",
        inputs=_inputs(case),
        results=_results(case),
        verdict=_verdict(case),
        steps=_steps(case),
        tables=(_masking(),),
        sources=(
            "geometry; ISO 4042 (a quarter of the gap at 60°)",
            *(() if case.thread is None else (thread_limits(case.thread).what,)),
            "ASTM B850 (baking); common practice (masking, thicknesses)",
        ),
        limits=(
            "An even coat; electroplate is thicker on crests, ends and edges and thin in holes, "
            "paint and powder gather in threads.",
            "The gap is that of a new thread of the usual class; without a gap (6h, Whitworth, "
            "BA) the mate's tolerance is all there is.",
        ),
        cautions=_cautions(case),
    )


def _case(
    what: str,
    size: str | None,
    diameter_m: float | None,
    coat: Coat,
    thickness_m: float | None,
    clearance_m: float | None,
    grade: str | None,
    tensile_pa: float | None,
    is_spring: bool,
) -> _Case:
    thread = None
    if what in (_MALE, _FEMALE):
        if size is None:
            raise OutsideLimits("which thread is not said", mend="give its size", field="size")
        thread = thread_named(size)
        diameter_m = thread.major_m
    if diameter_m is None:
        raise OutsideLimits(
            "the diameter is not said", mend="measure the bare part", field="diameter"
        )
    if grade is not None and thread is None:
        raise OutsideLimits(
            "a class or grade goes with a thread", mend="give the tensile strength", field="grade"
        )
    if tensile_pa is None and grade is not None and thread is not None:
        tensile_pa = strength_of(read_grade(grade), thread).tensile_pa
    gap_m = clearance_m or 0.0
    if clearance_m is None and what == _MALE and thread is not None:
        gap_m = max(0.0, thread_limits(thread).gap_m)
    thickness = coat.usual_m if thickness_m is None else thickness_m
    return _Case(what, thread, diameter_m, coat, thickness, gap_m, tensile_pa, is_spring)


def _inputs(case: _Case) -> tuple[Figure, ...]:
    return (
        Figure("what", "What is coated", case.what, Quantity.TEXT),
        (
            Figure("diameter", "Bare diameter", case.diameter_m, Quantity.LENGTH)
            if case.thread is None
            else Figure("size", "Thread", case.thread.name, Quantity.TEXT)
        ),
        Figure("coat", "Coat", case.coat.name, Quantity.TEXT),
        Figure("thickness", "Its thickness, one side", case.thickness_m, Quantity.LENGTH),
        Figure("gap", "Gap for it, on the diameter", case.gap_m, Quantity.LENGTH),
        *(
            ()
            if case.tensile_pa is None
            else (Figure("tensile", "Tensile strength", case.tensile_pa, Quantity.STRESS),)
        ),
        Figure("spring", "A spring", case.is_spring, Quantity.YES),
    )


def _results(case: _Case) -> tuple[Figure, ...]:
    sign = -1 if case.is_internal else 1
    over_m = diameter_growth_m(case.thickness_m, case.coat.stands_out)
    smallest, largest = (
        case.grows_m * each / case.thickness_m for each in (case.coat.least_m, case.coat.most_m)
    )
    pitch = (
        ()
        if case.thread is None
        else (
            Figure(
                "pitch_growth", "Pitch diameter grows by", sign * case.grows_m, Quantity.LENGTH
            ),
        )
    )
    return (
        *pitch,
        Figure("growth", "Diameter grows by", sign * over_m, Quantity.LENGTH),
        Figure("coated", "Diameter then", case.diameter_m + sign * over_m, Quantity.LENGTH),
        Figure("fits", "The gap takes it", case.relief_m == 0.0, Quantity.YES),
        Figure("thickest", "Thickest coat that the gap takes", case.thickest_m, Quantity.LENGTH),
        Figure("relief", "To be relieved beforehand", case.relief_m, Quantity.LENGTH),
        Figure(
            "usual_range", "What such a coat takes of the gap", case.grows_m, Quantity.LENGTH,
            low=smallest, high=largest,
        ),
        Figure("bake", "To be baked", case.bake_hours > 0, Quantity.YES),
        Figure("bake_time", "For at least", 60.0 * case.bake_hours, Quantity.TIME),
        Figure("status", "The table's row of the coat", case.coat.status, Quantity.TEXT),
    )  # fmt: skip


def _verdict(case: _Case) -> str:
    thing = case.what if case.thread is None else f"{case.thread.name} {case.what}"
    micrometres = case.thickness_m * 1e6
    relief = case.relief_m * 1000
    if relief == 0.0:
        said = f"{micrometres:.3g} µm of {case.coat.name} go on the {thing} as it is"
    elif case.thread is None:
        way = "opened" if case.is_internal else "turned down"
        said = f"The {thing} must be {way} by {relief:.3f} mm on the diameter, or masked"
    elif case.is_internal:
        said = f"The {thing} must be masked, or cut over by {relief:.3f} mm on its pitch diameter"
    else:
        said = f"The {thing} must be cut under by {relief:.3f} mm on its pitch diameter, or masked"
    if case.bake_hours:
        return f"{said}; bake it at 190 to 220 °C for {case.bake_hours} hours."
    return f"{said}."


def _steps(case: _Case) -> tuple[Step, ...]:
    symbols = {
        "b": Figure("b", "Share that stands out", case.coat.stands_out, Quantity.SHARE),
        "t": Figure("t", "Thickness, one side", case.thickness_m, Quantity.LENGTH),
    }
    over = Figure(
        "Δd",
        "Diameter grows by",
        diameter_growth_m(case.thickness_m, case.coat.stands_out),
        Quantity.LENGTH,
    )
    plain = Step("Δd = 2 b t", symbols, over, "geometry")
    if case.thread is None:
        return (plain,)
    half = Figure("α", "Half the flank angle", form_of(case.thread).half_angle_rad, Quantity.ANGLE)
    grows = Figure("Δd2", "Pitch diameter grows by", case.grows_m, Quantity.LENGTH)
    gap = Figure("gap", "Gap of the class", case.gap_m, Quantity.LENGTH)
    return (
        plain,
        Step("Δd2 = 2 b t / sin α", {**symbols, "α": half}, grows, "geometry; ISO 4042"),
        Step(
            "t_max = gap sin α / (2 b)",
            {"gap": gap, "b": symbols["b"], "α": half},
            Figure("t_max", "Thickest coat", case.thickest_m, Quantity.LENGTH),
            "ISO 4042",
        ),
    )


def _masking() -> Table:
    return Table(
        "Kept free",
        ("What", "Of", "Why", "By"),
        tuple(
            (
                Figure("feature", "What", row["feature"], Quantity.TEXT),
                Figure("of", "Of", row["keep_free_of"], Quantity.TEXT),
                Figure("why", "Why", row["why"], Quantity.TEXT),
                Figure("how", "By", row["how"], Quantity.TEXT),
            )
            for row in data_table("masking").rows
        ),
    )


def _cautions(case: _Case) -> tuple[str, ...]:
    said = []
    strong = case.tensile_pa or 0.0
    if case.coat.hydrogen and (case.is_spring or strong >= _RISKY_PA):
        said.append(
            "Hydrogen from pickling and plating makes springs and high-tensile parts snap, days "
            "later and without warning. No acid; stress relieved before; baked within 3 hours "
            f"(better 1) of the bath, {case.bake_hours} hours or more at 190 to 220 °C, by "
            "somebody who does it to a standard. Better: zinc flake, e-coat or paint."
        )
        if case.is_spring or strong >= _WORST_PA:
            said.append(
                "Springs, torsion bars and bolts of class 12.9 are best not plated at all; "
                "on steering, brakes and suspension buy them finished from the maker."
            )
    elif case.coat.hydrogen and case.tensile_pa is None:
        said.append(
            "The strength is not known: springs and steel from 1000 MPa (class 10.9, SAE grade "
            "8) must be baked after plating, or not plated."
        )
    if case.coat.name in ("paint", "powder coat", "e-coat"):
        said.append(
            "Nothing that is torqued stands on paint or powder: it creeps, and comes loose."
        )
    said.append("The maker's finish and sizes win; plating changes friction, so torques too.")
    return tuple(said)


CALCULATOR = Calculator(
    name="coating",
    title="Coating",
    words="What plating or paint does to a thread, a shaft or a bore: what grows, what must be "
    "relieved or masked, and what must be baked.",
    asked=(
        Asked(
            "what", "what", "What is coated", Quantity.CHOICE, default=_MALE,
            choices=(_MALE, _FEMALE, _SHAFT, _BORE),
        ),
        Asked(
            "size", "size", "Its thread", Quantity.TEXT, hint="M10x1.5", is_optional=True,
        ),
        Asked(
            "diameter", "diameter_m", "Or the bare diameter of a shaft or bore",
            Quantity.LENGTH, hint="25.00 mm", low=1e-3, high=1.0, is_optional=True, bare="mm",
        ),
        Asked(
            "coat", "coat", "Coat", Quantity.CHOICE, default="zinc plate", choices=coats(),
        ),
        Asked(
            "thickness", "thickness_m", "Its thickness on one side, where it is known",
            Quantity.LENGTH, hint="0.008 mm", low=1e-7, high=2e-3, is_optional=True, bare="mm",
        ),
        Asked(
            "clearance", "clearance_m", "Clearance of the bare fit, on the diameter",
            Quantity.LENGTH, hint="0.03 mm", low=0.0, high=5e-3, is_optional=True, bare="mm",
        ),
        Asked(
            "grade", "grade", "Class or grade of a bolt", Quantity.TEXT, hint="10.9",
            is_optional=True,
        ),
        Asked(
            "tensile", "tensile_pa", "Or the tensile strength of the part", Quantity.STRESS,
            hint="1200 MPa", low=100e6, high=2500e6, is_optional=True, bare="MPa",
        ),
        Asked("spring", "is_spring", "It is a spring", Quantity.YES, default="no"),
    ),
    work=work,
    example={"size": "M10x1.5", "coat": "zinc plate", "thickness": "0.008 mm", "grade": "10.9"},
)  # fmt: skip
