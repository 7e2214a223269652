"""Bolt: what it holds, whether another may replace it, how deep it must be screwed in."""

from dataclasses import dataclass

from putback.bench.bolt.engagement import (
    BOLT_SHEAR,
    IDLE_PITCHES,
    OVER_STRENGTH,
    Engagement,
    Hole,
    bolt_area_per_m,
    engagement,
    hole_area_per_m,
    hole_of,
    materials,
)
from putback.bench.calculator import (
    RULE_M,
    Answer,
    Asked,
    Calculator,
    Figure,
    Quantity,
    Step,
    Table,
)
from putback.bench.designation import thread_named
from putback.bench.strength import Loads, Strength, loads_of, read_grade, strength_of
from putback.bench.tables import data_table
from putback.bench.thread_form import FORM_SOURCES, dimensions
from putback.bench.threads import Thread

_BRITTLE_PA = 1000e6
_SAME = 1e-9


@dataclass(frozen=True, slots=True)
class Bolt:
    """A thread with its strength and what it holds."""

    thread: Thread
    strength: Strength
    loads: Loads

    @property
    def name(self) -> str:
        """As the trade says it."""
        return f"{self.thread.name} {self.strength.name}"


def bolt_named(size: str, grade: str, field: str = "grade") -> Bolt:
    """Find a bolt by its thread and its class or grade, as people type them.

    Raises
    ------
    BadInput
        No such thread, class or grade.
    OutsideLimits
        The standard does not go with that thread.
    """
    thread = thread_named(size)
    strength = strength_of(read_grade(grade), thread, field)
    return Bolt(thread, strength, loads_of(thread, strength))


def is_at_least_as_strong(old: Bolt, new: Bolt) -> bool:
    """Whether another bolt holds as much: at proof, at yield and at the end."""
    return all(
        mine >= theirs * (1 - _SAME)
        for mine, theirs in (
            (new.loads.proof_n, old.loads.proof_n),
            (new.loads.yield_n, old.loads.yield_n),
            (new.loads.ultimate_n, old.loads.ultimate_n),
        )
    )


def work(
    *,
    size: str,
    grade: str,
    instead: str | None,
    instead_size: str | None,
    into: str,
    into_pa: float | None,
    engaged_m: float | None,
) -> Answer:
    """Work out what a bolt holds, compare another with it, and how deep it must go.

    Parameters
    ----------
    size, grade : str
        Thread and class or grade, as people type them.
    instead, instead_size : str or None
        Class or grade, and thread, of what is to replace it; each as the old one's if left out.
    into : str
        One of `materials`.
    into_pa : float or None
        Tensile strength of what it is screwed into, where it is known, [Pa].
    engaged_m : float or None
        How deep it is screwed in, [m].

    Raises
    ------
    BadInput
        No such thread, class or grade.
    OutsideLimits
        The standard does not go with that thread.
    """
    old = bolt_named(size, grade)
    new = None
    if instead is not None or instead_size is not None:
        new = bolt_named(instead_size or size, instead or grade, "instead")
    hole = hole_of(into, into_pa)
    bolt = new or old
    depth = engagement(bolt.thread, bolt.strength.tensile_pa, bolt.loads.area_m2, hole)
    return Answer(
        calculator="bolt",
        inputs=_inputs(old, new, hole, engaged_m),
        results=_results(old, new, hole, depth, engaged_m),
        verdict=_verdict(old, new, hole, depth, engaged_m),
        steps=_steps(bolt, hole, depth),
        tables=(_table(old, new), _used_again()),
        sources=(
            "ISO 898-1:2013, Tables 3 to 7 (classes); SAE J429 (grades)",
            FORM_SOURCES[dimensions(bolt.thread).form.name],
            "FED-STD-H28/2 and ASME B1.1: areas sheared; VDI 2230-1: depth of engagement",
            "What is used again: common practice",
        ),
        limits=(
            "Least values of new bolts to the standard, pulled straight, at room temperature; "
            "not of bent, rusted, stretched or heated ones.",
            "A head without a mark counts as the weakest: class 4.6, SAE grade 1 or 2.",
            "Depth of full thread beyond the chamfer, in sound metal of plain grade; where its "
            "strength is known, give it.",
        ),
        cautions=_cautions(old, new),
    )


def _inputs(
    old: Bolt, new: Bolt | None, hole: Hole, engaged_m: float | None
) -> tuple[Figure, ...]:
    return (
        Figure("size", "Thread", old.thread.name, Quantity.TEXT),
        Figure("grade", "Class or grade", old.strength.name, Quantity.TEXT),
        *(() if new is None else (Figure("instead", "Instead of it", new.name, Quantity.TEXT),)),
        Figure("into", "Screwed into", hole.material, Quantity.TEXT),
        Figure("into_strength", "Its tensile strength", hole.tensile_pa, Quantity.STRESS),
        *(
            ()
            if engaged_m is None
            else (Figure("engaged", "Depth of engagement", engaged_m, Quantity.LENGTH),)
        ),
    )


def _results(
    old: Bolt, new: Bolt | None, hole: Hole, depth: Engagement, engaged_m: float | None
) -> tuple[Figure, ...]:
    bolt = new or old
    found = [
        Figure("proof", "Proof load", old.loads.proof_n, Quantity.FORCE),
        Figure("yield", "Load at yield", old.loads.yield_n, Quantity.FORCE),
        Figure("ultimate", "Least breaking load", old.loads.ultimate_n, Quantity.FORCE),
    ]
    if new is not None:
        found += [
            Figure(
                "as_strong", "Replacement as strong", is_at_least_as_strong(old, new), Quantity.YES
            ),
            Figure("instead_proof", "Its proof load", new.loads.proof_n, Quantity.FORCE),
            Figure("instead_ultimate", "Its breaking load", new.loads.ultimate_n, Quantity.FORCE),
            Figure(
                "instead_over",
                "Its proof load over the old one's",
                new.loads.proof_n / old.loads.proof_n,
                Quantity.SHARE,
            ),
        ]
    found += [
        Figure("engagement", "Depth that outlasts the bolt", depth.needed_m, Quantity.LENGTH,
               step=RULE_M),
        Figure(
            "rule", "Workshop rule for the depth", hole.diameters * bolt.thread.major_m,
            Quantity.LENGTH,
        ),
    ]  # fmt: skip
    if engaged_m is not None:
        found += [
            Figure("strips_at", "Threads strip at", depth.strips_at_n(engaged_m), Quantity.FORCE),
            Figure("deep_enough", "Deep enough", engaged_m >= depth.needed_m, Quantity.YES),
        ]
    found += [
        Figure("stress_area", "Stress area", old.loads.area_m2, Quantity.AREA),
        Figure("proof_stress", "Proof stress", old.strength.proof_pa, Quantity.STRESS),
        Figure("yield_stress", "Yield strength", old.strength.yield_pa, Quantity.STRESS),
        Figure("tensile", "Tensile strength", old.strength.tensile_pa, Quantity.STRESS),
        Figure("status", "The table's row", old.strength.status, Quantity.TEXT),
    ]
    return tuple(found)


def _verdict(
    old: Bolt, new: Bolt | None, hole: Hole, depth: Engagement, engaged_m: float | None
) -> str:
    bolt = new or old
    parts = []
    if new is None:
        parts.append(
            f"{old.name} holds {old.loads.proof_n / 1000:.3g} kN without stretching and breaks "
            f"from {old.loads.ultimate_n / 1000:.3g} kN"
        )
    elif is_at_least_as_strong(old, new):
        parts.append(f"{new.name} is at least as strong as {old.name}")
    else:
        share = min(
            new.loads.proof_n / old.loads.proof_n,
            new.loads.yield_n / old.loads.yield_n,
            new.loads.ultimate_n / old.loads.ultimate_n,
        )
        parts.append(f"{new.name} is weaker than {old.name}: {share:.0%} of its strength")
    if engaged_m is None:
        diameters = depth.needed_m / bolt.thread.major_m
        parts.append(f"in {hole.material} it wants {diameters:.1f} diameters of thread")
    elif engaged_m >= depth.needed_m:
        parts.append(f"screwed into {hole.material} so deep it breaks before threads strip")
    else:
        parts.append(f"screwed into {hole.material} so deep the threads strip first")
    return f"{'; '.join(parts)}."


def _steps(bolt: Bolt, hole: Hole, depth: Engagement) -> tuple[Step, ...]:
    area = Figure("As", "Stress area", bolt.loads.area_m2, Quantity.AREA)
    proof = Figure("Sp", "Proof stress", bolt.strength.proof_pa, Quantity.STRESS)
    tensile = Figure("Rm", "Tensile strength", bolt.strength.tensile_pa, Quantity.STRESS)
    per_m = min(
        (hole.shear_pa, hole_area_per_m(bolt.thread)),
        (BOLT_SHEAR * OVER_STRENGTH * bolt.strength.tensile_pa, bolt_area_per_m(bolt.thread)),
        key=lambda pair: pair[0] * pair[1],
    )
    return (
        Step(
            "Fp = Sp As",
            {"Sp": proof, "As": area},
            Figure("Fp", "Proof load", bolt.loads.proof_n, Quantity.FORCE),
            bolt.strength.standard,
        ),
        Step(
            "Fm = Rm As",
            {"Rm": tensile, "As": area},
            Figure("Fm", "Least breaking load", bolt.loads.ultimate_n, Quantity.FORCE),
            bolt.strength.standard,
        ),
        Step(
            f"m = {OVER_STRENGTH} Rm As / (τ a) + {IDLE_PITCHES} P",
            {
                "Rm": tensile,
                "As": area,
                "τ": Figure("τ", "Shear strength of the weaker", per_m[0], Quantity.STRESS),
                "a": Figure("a", "Area sheared per length", per_m[1], Quantity.LENGTH),
                "P": Figure("P", "Pitch", dimensions(bolt.thread).pitch_m, Quantity.LENGTH),
            },
            Figure("m", "Depth of engagement", depth.needed_m, Quantity.LENGTH, step=RULE_M),
            "VDI 2230-1; areas FED-STD-H28/2",
        ),
    )


def _table(old: Bolt, new: Bolt | None) -> Table:
    return Table(
        "What they hold",
        ("Bolt", "Stress area", "Proof load", "At yield", "Breaks from"),
        tuple(
            (
                Figure("bolt", "Bolt", bolt.name, Quantity.TEXT),
                Figure("stress_area", "Stress area", bolt.loads.area_m2, Quantity.AREA),
                Figure("proof", "Proof load", bolt.loads.proof_n, Quantity.FORCE),
                Figure("yield", "At yield", bolt.loads.yield_n, Quantity.FORCE),
                Figure("ultimate", "Breaks from", bolt.loads.ultimate_n, Quantity.FORCE),
            )
            for bolt in (old, new)
            if bolt is not None
        ),
    )


def _used_again() -> Table:
    return Table(
        "Used again, or not",
        ("What", "Habit of the trade"),
        tuple(
            (
                Figure("what", "What", row["what"], Quantity.TEXT),
                Figure("rule", "Habit of the trade", row["rule"], Quantity.TEXT),
            )
            for row in data_table("reuse").rows
        ),
    )


def _cautions(old: Bolt, new: Bolt | None) -> tuple[str, ...]:
    said = [
        "The maker's bolt wins: on wheels, brakes, steering, suspension and seat belts fit what "
        "the maker names, new where it is used once only.",
        "These are loads at which bolts stretch or break, never tightening figures.",
    ]
    bolt = new or old
    if new is not None and new.strength.tensile_pa > old.strength.tensile_pa:
        said.append(
            "A stronger bolt is tightened as the old one was: the joint, its threads and its "
            "washers are no stronger than before; some bolts are meant to give way first."
        )
    if bolt.strength.tensile_pa >= _BRITTLE_PA:
        said.append(
            "From 1000 MPa up (class 10.9, SAE grade 8): no acid pickling or electroplating "
            "without baking, no heat, no welding; it may crack days later."
        )
    if old.thread.name != bolt.thread.name:
        said.append("Another thread needs another hole: see thread for what must not be mixed.")
    return tuple(said)


CALCULATOR = Calculator(
    name="bolt",
    title="Bolt",
    words="What a bolt holds by its class or grade, whether another is at least as strong, and "
    "how deep it must be screwed in.",
    asked=(
        Asked("size", "size", "Thread", Quantity.TEXT, hint="M10x1.5 or 3/8-24"),
        Asked("grade", "grade", "Class or grade on its head", Quantity.TEXT, hint="8.8 or 5"),
        Asked(
            "instead", "instead", "Class or grade of a replacement", Quantity.TEXT,
            hint="10.9", is_optional=True,
        ),
        Asked(
            "instead_size", "instead_size", "Its thread, if it is another", Quantity.TEXT,
            hint="3/8-16", is_optional=True,
        ),
        Asked(
            "into", "into", "Screwed into", Quantity.CHOICE, default="steel", choices=materials(),
        ),
        Asked(
            "into_strength", "into_pa", "Its tensile strength, where it is known",
            Quantity.STRESS, hint="250 MPa", low=20e6, high=1500e6, is_optional=True, bare="MPa",
        ),
        Asked(
            "engaged", "engaged_m", "How deep it is screwed in", Quantity.LENGTH,
            hint="12 mm", low=1e-3, high=0.2, is_optional=True, bare="mm",
        ),
    ),
    work=work,
    example={"size": "M10x1.5", "grade": "8.8", "instead": "10.9", "into": "cast iron"},
)  # fmt: skip
