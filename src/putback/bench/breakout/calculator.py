"""Breakout: what the bar really applies, when the bolt shears, and so the longest safe bar."""

from dataclasses import dataclass

from putback.bench import both
from putback.bench.breakout.shearing import (
    UNMARKED_PA,
    Shearing,
    left_by_eye,
    left_by_measure,
    shearing,
)
from putback.bench.calculator import (
    TAPE_M,
    Answer,
    Asked,
    Calculator,
    Figure,
    Quantity,
    Step,
    Table,
)
from putback.bench.designation import thread_named
from putback.bench.strength import Strength, read_grade, strength_of
from putback.bench.tables import data_table
from putback.bench.threads import Thread

_G = 9.80665


@dataclass(frozen=True, slots=True)
class _Pull:
    """What is put on the bolt, and what it stands."""

    force_n: float
    bar_m: float
    left: float
    margin: float
    sound: Shearing

    @property
    def applied_nm(self) -> float:
        return self.force_n * self.bar_m

    @property
    def shears_nm(self) -> float:
        return self.sound.torque_nm * self.left**3

    @property
    def safe_nm(self) -> float:
        return self.margin * self.shears_nm

    @property
    def longest_m(self) -> float:
        return self.safe_nm / self.force_n


def work(
    *,
    size: str,
    grade: str | None,
    tensile_pa: float | None,
    bar_m: float | None,
    force_n: float,
    body_kg: float | None,
    rust: str,
    thinnest_m: float | None,
    margin: float,
    near: str,
) -> Answer:
    """Work out what the bar applies, when the bolt shears, and the longest bar that is safe.

    Parameters
    ----------
    size : str
        Thread, as people type it.
    grade : str or None
        Class or grade on its head; without one it counts as mild steel.
    tensile_pa : float or None
        Its tensile strength, where that is known, [Pa].
    bar_m : float or None
        From the hands to the middle of the bolt, [m]; None asks for the longest that is safe.
    force_n : float
        What the hands pull, [N].
    body_kg : float or None
        Who leans on the bar with all their weight, instead of the hands, [kg].
    rust : str
        A condition of the table of corrosion.
    thinnest_m : float or None
        The thinnest diameter, measured, instead of it, [m].
    margin : float
        What part of the shearing torque is dared, [-].
    near : str
        What is near, of the table of heat.

    Raises
    ------
    BadInput
        No such thread, class or grade.
    OutsideLimits
        A thread without limits, a standard that does not go with it, or hardly a bolt left.
    """
    thread = thread_named(size)
    strength = None if grade is None else strength_of(read_grade(grade), thread)
    tensile = tensile_pa
    if tensile is None:
        tensile = UNMARKED_PA if strength is None else strength.tensile_pa
    sound = shearing(thread, strength if tensile_pa is None else None, tensile)
    left = left_by_eye(rust) if thinnest_m is None else left_by_measure(thinnest_m, sound.core_m)
    force = force_n if body_kg is None else body_kg * _G
    longest_m = margin * sound.torque_nm * left**3 / force
    pull = _Pull(force, longest_m if bar_m is None else bar_m, left, margin, sound)
    heat = next(row for row in data_table("heat").rows if row["near"] == near)
    return Answer(
        calculator="breakout",
        inputs=(
            Figure("size", "Thread", thread.name, Quantity.TEXT),
            Figure("grade", "Strength", _strength_words(strength, tensile_pa), Quantity.TEXT),
            Figure("force", "Pull on the bar", pull.force_n, Quantity.FORCE),
            *(() if bar_m is None else (Figure("bar", "The bar", bar_m, Quantity.LENGTH),)),
            Figure("left", "Left of the diameter", left, Quantity.SHARE),
            Figure("margin", "Part of the shearing torque dared", margin, Quantity.SHARE),
            Figure("near", "What is near", near, Quantity.TEXT),
        ),
        results=(
            *(() if bar_m is None else _of_bar(pull)),
            Figure("shears", "The bolt shears from about", pull.shears_nm, Quantity.TORQUE),
            Figure("safe", "Dared at most", pull.safe_nm, Quantity.TORQUE),
            Figure(
                "longest",
                "Longest safe bar at this pull",
                pull.longest_m,
                Quantity.LENGTH,
                step=TAPE_M,
            ),
            Figure("heat", "Heat", heat["allowed"], Quantity.TEXT),
            Figure("heat_why", "Why", heat["why"], Quantity.TEXT),
        ),
        verdict=_verdict(thread, pull, heat["allowed"], near, is_asked=bar_m is not None),
        steps=_steps(pull),
        tables=(_advice(may_heat=heat["allowed"] != "no"),),
        sources=(
            "ISO 898-7:1992 (M1.6 to M10 from class 8.8)"
            if sound.by_standard
            else "torsion of a round bar that yields throughout, shear by von Mises; rounded down",
            "common practice: rust, advice, heat",
        ),
        limits=(
            "The least a bolt of its class stands, in its thread; a stud or bolt that is bent, "
            "necked or cracked stands less.",
            "Rust is judged by eye unless the thinnest place was measured.",
            "Whether it comes loose below that torque nobody can compute: stop, soak, try again.",
        ),
        cautions=(
            "A breaking torque is never a tightening figure. A torque at rest is higher than one "
            "that keeps turning.",
            "When it lets go you fall: pull, do not push; feet firm, knuckles clear, nothing "
            "sharp behind; eye protection. Never rock a vehicle that stands on stands or jacks.",
            f"No heat, no weld, no spark ({near}): {heat['why']}."
            if heat["allowed"] == "no"
            else f"Heat ({near}): {heat['why']}. Extinguisher at hand, and look again after an "
            "hour.",
        ),
    )


def _of_bar(pull: _Pull) -> tuple[Figure, ...]:
    """Say what a bar that there is does."""
    return (
        Figure("applied", "The bar applies", pull.applied_nm, Quantity.TORQUE),
        Figure("pull", "Most pull at this bar", pull.safe_nm / pull.bar_m, Quantity.FORCE),
        Figure("share", "Of what shears it", pull.applied_nm / pull.shears_nm, Quantity.SHARE),
        Figure("is_safe", "Within what is dared", _is_safe(pull), Quantity.YES),
    )


def _strength_words(strength: Strength | None, tensile_pa: float | None) -> str:
    if tensile_pa is not None:
        return "by its tensile strength"
    return "no mark: mild steel" if strength is None else strength.name


def _is_safe(pull: _Pull) -> bool:
    return pull.applied_nm <= pull.safe_nm


def _verdict(thread: Thread, pull: _Pull, heat: str, near: str, *, is_asked: bool) -> str:
    share = pull.applied_nm / pull.shears_nm
    limit = (
        f"{both.force(pull.safe_nm / pull.bar_m)} on it, or {both.length(pull.longest_m)} of bar "
        f"for {both.force(pull.force_n)}"
    )
    if not is_asked:
        said = (
            f"{thread.name} shears from {both.torque(pull.shears_nm)}: at most "
            f"{both.length(pull.longest_m)} of bar for {both.force(pull.force_n)}"
        )
    elif share >= 1:
        said = f"This pull on this bar shears {thread.name}: at most {limit}"
    elif _is_safe(pull):
        said = f"{thread.name} stands this bar, at {share:.0%} of what shears it; at most {limit}"
    else:
        said = f"Too near: {share:.0%} of what shears {thread.name}; at most {limit}"
    if heat == "no":
        return f"{said}. No heat near {near}."
    return f"{said}."


def _steps(pull: _Pull) -> tuple[Step, ...]:
    sound = pull.sound
    return (
        Step(
            "T = F L",
            {
                "F": Figure("F", "Pull", pull.force_n, Quantity.FORCE),
                "L": Figure("L", "Bar", pull.bar_m, Quantity.LENGTH),
            },
            Figure("T", "The bar applies", pull.applied_nm, Quantity.TORQUE),
            "statics",
        ),
        Step(
            f"MB = {sound.factor:g} Rm π/16 (k d3)³",
            {
                "Rm": Figure("Rm", "Tensile strength", sound.tensile_pa, Quantity.STRESS),
                "k": Figure("k", "Left of the diameter", pull.left, Quantity.SHARE),
                "d3": Figure("d3", "Least core diameter", sound.core_m, Quantity.LENGTH),
            },
            Figure("MB", "Shears from about", pull.shears_nm, Quantity.TORQUE),
            "ISO 898-7" if sound.by_standard else "torsion of a round bar, von Mises",
        ),
        Step(
            "L = s MB / F",
            {
                "s": Figure("s", "Part dared", pull.margin, Quantity.SHARE),
                "MB": Figure("MB", "Shears from about", pull.shears_nm, Quantity.TORQUE),
                "F": Figure("F", "Pull", pull.force_n, Quantity.FORCE),
            },
            Figure("L", "Longest bar", pull.longest_m, Quantity.LENGTH, step=TAPE_M),
            "statics; the part dared is common practice",
        ),
    )


def _advice(*, may_heat: bool) -> Table:
    """List what is tried in which order; without what is hot where that is forbidden."""
    return Table(
        "In the order that costs least",
        ("Step", "Wait, hours", "What"),
        tuple(
            (
                Figure("step", "Step", row["step"], Quantity.TEXT),
                Figure("hours", "Wait, hours", int(row["hours"]), Quantity.COUNT),
                Figure("what", "What", row["what"], Quantity.TEXT),
            )
            for row in data_table("seized").rows
            if may_heat or row["hot"] == "no"
        ),
    )


CALCULATOR = Calculator(
    name="breakout",
    title="Seized fastener",
    words="What a bar really applies, when the bolt shears, the longest bar that is safe; and "
    "what to do before a longer one, and where heat is forbidden.",
    asked=(
        Asked("size", "size", "Thread", Quantity.TEXT, hint="M10x1.5 or 3/8-24"),
        Asked(
            "grade", "grade", "Class or grade on its head; none if it has no mark",
            Quantity.TEXT, hint="8.8 or 5", is_optional=True,
        ),
        Asked(
            "tensile", "tensile_pa", "Its tensile strength, where it is known", Quantity.STRESS,
            hint="450 MPa", low=100e6, high=2000e6, is_optional=True, bare="MPa",
        ),
        Asked(
            "bar", "bar_m", "From the hands to the middle of the bolt", Quantity.LENGTH,
            hint="450 mm", low=0.05, high=3.0, is_optional=True, bare="mm",
        ),
        Asked(
            "force", "force_n", "What the hands pull", Quantity.FORCE, default="400 N",
            low=10.0, high=3000.0, bare="N",
        ),
        Asked(
            "body", "body_kg", "Or who stands or leans on the bar", Quantity.MASS,
            hint="80 kg", low=20.0, high=250.0, is_optional=True, bare="kg",
        ),
        Asked(
            "rust", "rust", "How it looks", Quantity.CHOICE, default="rusty",
            choices=tuple(row["condition"] for row in data_table("corrosion").rows),
        ),
        Asked(
            "thinnest", "thinnest_m", "Or the thinnest place, measured", Quantity.LENGTH,
            hint="7.6 mm", low=5e-4, high=0.06, is_optional=True, bare="mm",
        ),
        Asked(
            "dare", "margin", "Part of the shearing torque that is dared", Quantity.SHARE,
            default="70 %", low=0.1, high=0.9, bare="%",
        ),
        Asked(
            "near", "near", "What is near", Quantity.CHOICE, default="bare steel",
            choices=tuple(row["near"] for row in data_table("heat").rows),
        ),
    ),
    work=work,
    example={"size": "M8x1.25", "grade": "8.8", "bar": "450 mm", "rust": "rusty"},
)  # fmt: skip
