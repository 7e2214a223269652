"""Torque: how tight, how much preload that gives, and how surely."""

from dataclasses import dataclass, replace
from math import cos

from putback.bench.both import force as force_in_both
from putback.bench.both import torque as in_both
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
from putback.bench.designation import thread_named
from putback.bench.strength import Loads, Strength, loads_of, read_grade, strength_of
from putback.bench.thread_form import Dimensions, dimensions
from putback.bench.threads import Thread
from putback.bench.torque.conditions import (
    Friction,
    bearing_mean_m,
    conditions,
    friction_of,
    scatters,
)
from putback.bench.torque.loaded import SOURCE as LOADED_SOURCE
from putback.bench.torque.loaded import Loaded, loaded
from putback.bench.torque.picture import by_method
from putback.bench.torque.relation import (
    USUAL_SHARE,
    nut_factor_torque_nm,
    preload_at_yield_n,
    share_of_yield,
    torque_exact_nm,
    torque_nm,
)

_KNOWN_SPREAD = 0.02
"""How far a friction that somebody measured may lie off, either way."""


@dataclass(frozen=True, slots=True)
class _Joint:
    """What is tightened."""

    thread: Thread
    of: Dimensions
    strength: Strength
    loads: Loads
    bearing_m: float
    head: float | None = None
    """Friction under the head, where it is known apart from the thread's [-]."""

    def under_head(self, friction: float) -> float:
        """Friction under the head [-]: that of the thread, unless it is known apart."""
        return friction if self.head is None else self.head

    def per_newton(self, friction: float) -> float:
        """Torque per preload [N·m/N] at a friction of the thread."""
        return torque_nm(1.0, self.of, friction, self.under_head(friction), self.bearing_m)


def work(
    *,
    size: str,
    grade: str,
    condition: str,
    friction: float | None,
    nut_factor: float | None,
    share: float,
    preload_n: float | None,
    maker_nm: float | None,
    face_m: float | None,
    hole_m: float | None,
    load_n: float | None = None,
    kb: float | None = None,
    km: float | None = None,
    head: float | None = None,
) -> Answer:
    """Work out torque and preload; or what preload the maker's torque gives.

    Parameters
    ----------
    size, grade : str
        Thread and class or grade, as people type them.
    condition : str
        One of `conditions`.
    friction : float or None
        Of thread and head, where it is known, instead of the condition's, [-].
    nut_factor : float or None
        K, where it is known, instead of the condition's, [-].
    share : float
        What part of the proof load is aimed at, [-].
    preload_n : float or None
        The preload that is aimed at instead, [N].
    maker_nm : float or None
        The maker's figure, which wins, [N·m].
    face_m, hole_m : float or None
        As `bearing_mean_m`.
    load_n : float or None
        What pulls on each bolt from outside once it is tight, [N].
    kb, km : float or None
        Stiffness of the bolt and of what it clamps, both in one unit.
    head : float or None
        Friction under the head, where it is known apart from the thread's, [-].

    Raises
    ------
    BadInput
        No such thread, class or grade.
    OutsideLimits
        The standard does not go with that thread, there is no such head, or the preload that is
        aimed at is more than the bolt's proof load; or one stiffness without the other.
    """
    thread = thread_named(size)
    strength = strength_of(read_grade(grade), thread)
    joint = _Joint(
        thread,
        dimensions(thread),
        strength,
        loads_of(thread, strength),
        bearing_mean_m(thread, face_m, hole_m),
        head,
    )
    rubs = _friction(condition, friction, nut_factor, joint)
    aim_n = share * joint.loads.proof_n if preload_n is None else preload_n
    if aim_n > joint.loads.proof_n:
        raise OutsideLimits(
            f"that preload is more than the proof load of {thread.name} {strength.name}, "
            f"{joint.loads.proof_n / 1000:.3g} kN",
            mend="aim lower, or use a stronger bolt",
            field="preload",
        )
    torque = aim_n * joint.per_newton(rubs.usual) if maker_nm is None else maker_nm
    usual_n = torque / joint.per_newton(rubs.usual)
    under = loaded(load_n, kb, km)
    low_n, high_n = torque / joint.per_newton(rubs.most), torque / joint.per_newton(rubs.least)
    more: tuple[Figure, ...] = ()
    if under is not None:
        area_m2, proof_pa = joint.loads.area_m2, joint.strength.proof_pa
        more = under.figures(usual_n, low_n, high_n, area_m2, proof_pa)
    return Answer(
        calculator="torque",
        inputs=_inputs(joint, rubs, aim_n, maker_nm),
        results=(*_results(joint, rubs, torque, usual_n, maker_nm), *more),
        verdict=_verdict(joint, rubs, torque, maker_nm)
        + _under(under, low_n, high_n, joint.loads.proof_n),
        steps=(
            *_steps(joint, rubs, torque, usual_n, maker_nm),
            *(() if under is None else (under.step(usual_n, joint.loads.area_m2),)),
        ),
        tables=(
            _by_condition(joint, usual_n),
            _by_method(usual_n, joint.loads.proof_n),
        ),
        drawings=(by_method(usual_n, joint.loads.proof_n),),
        sources=(
            "VDI 2230-1 (torque, preload at 90 % of yield); ISO 16047 agrees within 1 %",
            f"{joint.strength.standard} (proof and yield)",
            "Shigley, 9th ed., Table 8-15 (nut factors); NASA RP-1228 (scatter by method)",
            *(() if under is None else (f"{LOADED_SOURCE} (load from outside)",)),
        ),
        limits=(
            "One thread, one head that turns, steel on steel, same friction under head and in "
            "thread, clean; stretched, rusted and chased threads differ.",
            "Hexagon head and medium hole of the standards unless face and hole are given.",
            "A prevailing torque (nyloc, crimped nut) comes on top.",
        ),
        cautions=(
            "A guide value: the maker's figure wins. On wheels, brakes, steering, suspension, "
            "seat belts and engine internals use nothing else.",
            "The maker's figure is for threads as the maker has them: oil or anti-seize on a "
            "thread meant dry may stretch the bolt at the same torque.",
            "New single-use bolts and locks; a bolt tightened by angle beyond its yield is not "
            "used twice. What it screws into must hold too: see bolt.",
        ),
    )


def _friction(
    condition: str, friction: float | None, nut_factor: float | None, joint: _Joint
) -> Friction:
    """Take what is known of the friction, and the rest by the condition."""
    found = friction_of(condition)
    if friction is not None:
        k = joint.per_newton(friction) / joint.of.major_m
        least = max(friction - _KNOWN_SPREAD, friction / 2)
        found = Friction("as given", least, friction, friction + _KNOWN_SPREAD, k)
    return found if nut_factor is None else replace(found, nut_factor=nut_factor)


def _inputs(
    joint: _Joint, rubs: Friction, aim_n: float, maker_nm: float | None
) -> tuple[Figure, ...]:
    return (
        Figure("size", "Thread", joint.thread.name, Quantity.TEXT),
        Figure("grade", "Class or grade", joint.strength.name, Quantity.TEXT),
        Figure("condition", "Condition", rubs.condition, Quantity.TEXT),
        Figure("μ", "Friction", rubs.usual, low=rubs.least, high=rubs.most),
        *(() if joint.head is None else (Figure("μK", "Friction under the head", joint.head),)),
        Figure("bearing", "Mean diameter under the head", joint.bearing_m, Quantity.LENGTH),
        (
            Figure("aim", "Preload aimed at", aim_n, Quantity.FORCE)
            if maker_nm is None
            else Figure("maker", "The maker's torque", maker_nm, Quantity.TORQUE)
        ),
    )


def _results(
    joint: _Joint, rubs: Friction, torque: float, usual_n: float, maker_nm: float | None
) -> tuple[Figure, ...]:
    per_least, per_most = joint.per_newton(rubs.least), joint.per_newton(rubs.most)
    proof_n, yield_pa = joint.loads.proof_n, joint.strength.yield_pa
    at_yield_n = preload_at_yield_n(joint.of, yield_pa, rubs.usual)
    torque_words = "Guide torque" if maker_nm is None else "The maker's torque"
    return (
        Figure(
            "torque", torque_words, torque, Quantity.TORQUE,
            low=usual_n * per_least if maker_nm is None else None,
            high=usual_n * per_most if maker_nm is None else None,
        ),
        Figure(
            "preload", "Preload at the usual friction", usual_n, Quantity.FORCE,
            low=torque / per_most, high=torque / per_least,
        ),
        Figure(
            "utilisation", "Of the proof load", usual_n / proof_n, Quantity.SHARE,
            low=torque / per_most / proof_n, high=torque / per_least / proof_n,
        ),
        Figure(
            "yield_share", "Of the yield while it turns, twist included",
            share_of_yield(usual_n, joint.of, yield_pa, rubs.usual), Quantity.SHARE,
            low=share_of_yield(torque / per_most, joint.of, yield_pa, rubs.most),
            high=share_of_yield(torque / per_least, joint.of, yield_pa, rubs.least),
        ),
        Figure(
            "nut_factor_torque", "The same preload by nut factor",
            nut_factor_torque_nm(rubs.nut_factor, usual_n, joint.of.major_m), Quantity.TORQUE,
        ),
        Figure("nut_factor", "Nut factor K", rubs.nut_factor),
        Figure(
            "torque_exact", "The same preload by ISO 16047",
            torque_exact_nm(
                usual_n, joint.of, rubs.usual, joint.under_head(rubs.usual), joint.bearing_m
            ),
            Quantity.TORQUE,
        ),
        Figure("k", "Nut factor that friction comes to", torque / (usual_n * joint.of.major_m)),
        Figure(
            "preload_90", "Preload at 90 % of the yield", at_yield_n, Quantity.FORCE,
        ),
        Figure(
            "torque_90", "Its torque, as VDI 2230 prints it",
            at_yield_n * joint.per_newton(rubs.usual), Quantity.TORQUE,
        ),
        Figure("proof", "Proof load", proof_n, Quantity.FORCE),
    )  # fmt: skip


def _verdict(joint: _Joint, rubs: Friction, torque: float, maker_nm: float | None) -> str:
    low_n, high_n = torque / joint.per_newton(rubs.most), torque / joint.per_newton(rubs.least)
    proof_n = joint.loads.proof_n
    spread = (
        f"{low_n / 1000:.3g} to {high_n / 1000:.3g} kN, "
        f"{low_n / proof_n:.0%} to {high_n / proof_n:.0%} of the proof load"
    )
    if maker_nm is None:
        said = (
            f"A guide value, where the maker gives none: {in_both(torque)} "
            f"{rubs.condition} leaves {spread}"
        )
    else:
        said = f"The maker's figure wins; {rubs.condition} it leaves {spread}"
        if low_n > joint.loads.ultimate_n:
            return (
                f"{said}: such a bolt breaks before. Look again which fastener the figure is for, "
                "and at thread, grade and unit."
            )
    if share_of_yield(high_n, joint.of, joint.strength.yield_pa, rubs.least) > 1:
        return f"{said}: at the least friction the bolt stretches."
    return f"{said}."


def _under(under: Loaded | None, low_n: float, high_n: float, proof_n: float) -> str:
    """Say what a load does at the least preload and at the most."""
    if under is None:
        return ""
    load = force_in_both(under.load_n)
    said = ""
    if under.load_n >= under.opens_at_n(low_n):
        said += f" At the least preload {load} from outside opens the joint."
    if high_n + under.borne * under.load_n > proof_n:
        said += f" At the most preload the bolt stretches under {load} from outside."
    return f"{said} Take more or larger bolts." if said else ""


def _steps(
    joint: _Joint, rubs: Friction, torque: float, usual_n: float, maker_nm: float | None
) -> tuple[Step, ...]:
    of = joint.of
    force = Figure("F", "Preload", usual_n, Quantity.FORCE)
    symbols = {
        "P": Figure("P", "Pitch", of.pitch_m, Quantity.LENGTH),
        "d2": Figure("d2", "Pitch diameter", of.pitch_diameter_m, Quantity.LENGTH),
        "μ": Figure("μ", "Friction", rubs.usual),
        "D": Figure("D", "Mean diameter under the head", joint.bearing_m, Quantity.LENGTH),
    }
    sec = 1 / cos(of.form.half_angle_rad)
    rubs_head = "μ" if joint.head is None else "μK"
    if joint.head is not None:
        symbols["μK"] = Figure("μK", "Friction under the head", joint.head)
    bracket = f"(0.159 P + {sec / 2:.3f} μ d2 + {rubs_head} D / 2)"
    made = Figure("M", "Torque", torque, Quantity.TORQUE)
    first = (
        Step(f"M = F {bracket}", {**symbols, "F": force}, made, "VDI 2230-1")
        if maker_nm is None
        else Step(f"F = M / {bracket}", {**symbols, "M": made}, force, "VDI 2230-1")
    )
    return (
        first,
        Step(
            "T = K F d",
            {
                "K": Figure("K", "Nut factor", rubs.nut_factor),
                "F": force,
                "d": Figure("d", "Major diameter", of.major_m, Quantity.LENGTH),
            },
            Figure(
                "T",
                "Torque by nut factor",
                nut_factor_torque_nm(rubs.nut_factor, usual_n, of.major_m),
                Quantity.TORQUE,
            ),
            "Shigley ch. 8; NASA RP-1228",
        ),
        Step(
            f"FM = {USUAL_SHARE} Rp A0 / √(1 + 3 [3/2 (d2 / d0) (P / (π d2) + {sec:.3f} μ)]²)",
            {
                **{name: symbols[name] for name in ("P", "d2", "μ")},
                "Rp": Figure("Rp", "Yield strength", joint.strength.yield_pa, Quantity.STRESS),
                "A0": Figure("A0", "Stress area", of.stress_area_m2, Quantity.AREA),
                "d0": Figure("d0", "Its circle", of.stress_diameter_m, Quantity.LENGTH),
            },
            Figure(
                "FM",
                "Preload at 90 % of the yield",
                preload_at_yield_n(of, joint.strength.yield_pa, rubs.usual),
                Quantity.FORCE,
            ),
            "VDI 2230-1",
        ),
    )


def _by_condition(joint: _Joint, preload_n: float) -> Table:
    return Table(
        "The same preload in other conditions",
        ("Condition", "Friction, from", "to", "Torque, from", "usual", "to", "By nut factor"),
        tuple(
            (
                Figure("condition", "Condition", each.condition, Quantity.TEXT),
                Figure("least", "Least friction", each.least),
                Figure("most", "Most friction", each.most),
                *(
                    Figure(name, "Torque", preload_n * joint.per_newton(friction), Quantity.TORQUE)
                    for name, friction in (
                        ("low", each.least),
                        ("usual", each.usual),
                        ("high", each.most),
                    )
                ),
                Figure(
                    "nut_factor",
                    "By nut factor",
                    nut_factor_torque_nm(each.nut_factor, preload_n, joint.of.major_m),
                    Quantity.TORQUE,
                ),
            )
            for each in map(friction_of, conditions())
        ),
    )


def _by_method(preload_n: float, proof_n: float) -> Table:
    return Table(
        "How surely the preload is met",
        ("Tightened", "Either way", "Preload, from", "to", "Of the proof load, at most"),
        tuple(
            (
                Figure("method", "Tightened", method, Quantity.TEXT),
                Figure("scatter", "Either way", scatter, Quantity.SHARE),
                Figure("low", "Preload, from", preload_n * (1 - scatter), Quantity.FORCE),
                Figure("high", "to", preload_n * (1 + scatter), Quantity.FORCE),
                Figure(
                    "most",
                    "Of the proof load, at most",
                    preload_n * (1 + scatter) / proof_n,
                    Quantity.SHARE,
                ),
            )
            for method, scatter in scatters()
        ),
    )


CALCULATOR = Calculator(
    name="torque",
    title="Torque and preload",
    words="A guide torque by thread, class and condition, the preload it leaves and how surely; "
    "or what preload the maker's figure leaves, which wins.",
    asked=(
        Asked("size", "size", "Thread", Quantity.TEXT, hint="M10x1.5 or 3/8-24"),
        Asked("grade", "grade", "Class or grade on its head", Quantity.TEXT, hint="8.8 or 5"),
        Asked(
            "condition", "condition", "Condition of thread and face", Quantity.CHOICE,
            default="oiled", choices=conditions(),
        ),
        Asked(
            "maker", "maker_nm", "The maker's figure, which wins", Quantity.TORQUE,
            hint="45 Nm", low=0.05, high=5000.0, is_optional=True,
        ),
        Asked(
            "share", "share", "Share of the proof load to aim at without one", Quantity.SHARE,
            default="75 %", low=0.1, high=0.9, bare="%",
        ),
        Asked(
            "preload", "preload_n", "Or the preload to aim at", Quantity.FORCE,
            hint="25 kN", low=10.0, high=2e6, is_optional=True,
        ),
        Asked(
            "friction", "friction", "Friction of thread and head, where it is known",
            Quantity.NUMBER, hint="0.14", low=0.02, high=0.5, is_optional=True,
        ),
        Asked(
            "head", "head", "Friction under the head, if it is known apart",
            Quantity.NUMBER, hint="0.12", low=0.02, high=0.5, is_optional=True,
        ),
        Asked(
            "nut_factor", "nut_factor", "Nut factor K, where it is known", Quantity.NUMBER,
            hint="0.15", low=0.05, high=0.6, is_optional=True,
        ),
        Asked(
            "load", "load_n", "What pulls on each bolt from outside", Quantity.FORCE,
            hint="once it is tight", low=0.0, high=2e6, is_optional=True,
        ),
        Asked(
            "kb", "kb", "Stiffness of the bolt", Quantity.NUMBER,
            hint="in one unit with that of the joint; without them the bolt bears all",
            low=1e-6, high=1e12, is_optional=True,
        ),
        Asked(
            "km", "km", "Stiffness of what it clamps", Quantity.NUMBER,
            low=1e-6, high=1e12, is_optional=True,
        ),
        Asked(
            "face", "face_m", "Outside of the face that turns", Quantity.LENGTH,
            low=2e-3, high=0.15, is_optional=True, bare="mm",
        ),
        Asked(
            "hole", "hole_m", "Hole under it", Quantity.LENGTH,
            low=1e-3, high=0.1, is_optional=True, bare="mm",
        ),
    ),
    work=work,
    example={"size": "M10x1.5", "grade": "8.8", "condition": "oiled"},
)  # fmt: skip
