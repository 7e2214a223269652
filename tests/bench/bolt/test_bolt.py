"""The bolt calculator: loads, replacements, depth of engagement."""

from math import pi, sqrt

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from putback.bench.bolt.calculator import bolt_named, is_at_least_as_strong, work
from putback.bench.bolt.engagement import (
    bolt_area_per_m,
    engagement,
    hole_area_per_m,
    hole_of,
    materials,
)
from putback.bench.calculator import OutsideLimits
from putback.bench.designation import thread_named
from putback.bench.strength import read_grade
from putback.bench.thread_limits import thread_limits
from putback.errors import BadInput

CLASSES = ("4.6", "4.8", "5.6", "5.8", "6.8", "8.8", "10.9", "12.9")
SIZES = ("M3", "M5", "M6", "M8", "M8x1", "M10", "M10x1.25", "M12", "M16", "M20", "M24", "M36")
USUAL = {
    "instead": None, "instead_size": None, "into": "steel", "into_pa": None, "engaged_m": None,
}  # fmt: skip


def answer(size, grade, **given):
    """The answer for a bolt, screwed into steel unless told else."""
    return work(size=size, grade=grade, **{**USUAL, **given})


@pytest.mark.parametrize(
    ("text", "grade"),
    [
        ("8.8", "8.8"),
        ("class 10.9", "10.9"),
        ("Grade 5", "5"),
        ("SAE grade 8", "8"),
        ("gr. 2", "2"),
        ("12,9", "12.9"),
        ("property class 4.6", "4.6"),
    ],
)
def test_a_grade_is_read_as_people_write_it(text, grade):
    """With or without the word, with point or comma."""
    assert read_grade(text) == grade


@pytest.mark.parametrize("text", ["", "8.9", "A2-70", "grade", "88", "8.8.8"])
def test_what_is_no_grade_is_refused_with_what_there_is(text):
    """The person sees which there are."""
    with pytest.raises(BadInput, match=r"no class or grade .*; there is 4\.6, 4\.8, 5\.6"):
        read_grade(text)


@pytest.mark.parametrize(
    ("size", "grade", "says"),
    [
        ("1/4 BSF", "8.8", "ISO 898-1 says nothing of 1/4-26 BSF; ISO classes go with metric"),
        ("M8", "5", "SAE J429 says nothing of M8x1.25"),
        ("10-32", "5", "has no 5 in the size 10-32 UNF; it begins at 1/4 in; of a smaller screw"),
        ("M20", "9.8", "ISO 898-1 has no 9.8 in the size M20x2.5; it goes to 16 mm"),
        ("M6x0.75", "8.8", "ISO 898-1 says nothing of M6x0.75"),
        ("2 BA", "8.8", "ISO 898-1 says nothing of 2 BA"),
    ],
)
def test_no_strength_is_made_up(size, grade, says):
    """Where a standard does not go with a thread or a size, it is said and not stretched."""
    with pytest.raises(OutsideLimits, match=says):
        bolt_named(size, grade)


def test_a_left_hand_bolt_is_as_strong():
    """The hand makes no difference."""
    assert bolt_named("M6 LH", "8.8").loads == bolt_named("M6", "8.8").loads


@settings(max_examples=50)
@given(st.sampled_from(SIZES), st.sampled_from(CLASSES), st.sampled_from(CLASSES))
def test_a_replacement_of_at_least_the_class_is_as_strong(size, old, new):
    """Stronger is an order: by class at one size, and a bolt is as strong as itself."""
    older, newer = bolt_named(size, old), bolt_named(size, new)
    ranked = sorted(CLASSES, key=lambda each: bolt_named(size, each).strength.proof_pa)
    if is_at_least_as_strong(older, newer):
        assert ranked.index(new) >= ranked.index(old)
        assert old == new or not is_at_least_as_strong(newer, older)
    assert is_at_least_as_strong(older, older)


@settings(max_examples=50)
@given(st.sampled_from(SIZES), st.sampled_from(CLASSES))
def test_loads_come_in_order_and_grow_with_the_bolt(size, grade):
    """Proof, yield, breaking; and a coarser size of the same class holds more."""
    loads = bolt_named(size, grade).loads
    assert loads.proof_n < loads.yield_n < loads.ultimate_n
    if size != SIZES[-1]:
        bigger = bolt_named("M39", grade).loads
        assert bigger.proof_n > loads.proof_n


@pytest.mark.parametrize("size", [*SIZES, "3/8-24", "1/2-13"])
def test_areas_sheared_are_those_of_the_profile(size):
    """The sharp triangle of ISO 68-1, drawn at the limits of the classes and cut by a cylinder.

    Its width at a radius is to the pitch as the height left above the cut to the whole height.
    """
    thread = thread_named(size)
    limits, pitch = thread_limits(thread), thread.pitch_m
    height = pitch * sqrt(3) / 2
    bolt_apex = limits.pitch_min_m / 2 + height / 2
    hole_apex = limits.nut_pitch_max_m / 2 - height / 2
    bolt_width = pitch * (bolt_apex - limits.bore_max_m / 2) / height
    hole_width = pitch * (limits.major_min_m / 2 - hole_apex) / height
    assert bolt_area_per_m(thread) == pytest.approx(
        bolt_width / pitch * pi * limits.bore_max_m, rel=1e-6
    )
    assert hole_area_per_m(thread) == pytest.approx(
        hole_width / pitch * pi * limits.major_min_m, rel=1e-6
    )


@settings(max_examples=50)
@given(st.sampled_from(SIZES), st.sampled_from(CLASSES), st.sampled_from(materials()))
def test_the_depth_asked_for_is_deep_enough(size, grade, material):
    """Over that depth threads hold what breaks the strongest such bolt; over less they do not."""
    bolt = bolt_named(size, grade)
    depth = engagement(
        bolt.thread, bolt.strength.tensile_pa, bolt.loads.area_m2, hole_of(material)
    )
    assert depth.strips_at_n(depth.needed_m) == pytest.approx(1.2 * bolt.loads.ultimate_n)
    assert depth.strips_at_n(0.9 * depth.needed_m) < 1.2 * bolt.loads.ultimate_n
    assert depth.strips_at_n(0.0) == 0.0


def test_weaker_metal_wants_more_depth():
    """Within 5.5 mm of the workshop rule (common practice): 1, 1 1/2, 2 diameters, for M10 8.8."""
    depths = [answer("M10", "8.8", into=material)["engagement"] for material in materials()]
    assert depths == sorted(depths)
    for depth, rule in zip(depths, (0.010, 0.015, 0.020), strict=True):
        assert depth == pytest.approx(rule, abs=0.0055)


def test_the_answer_compares_a_replacement():
    """Class 10.9 for 8.8 is stronger, with the caution that goes with it; 5.8 is not."""
    found = answer("M10", "8.8", instead="10.9", into="cast iron")
    assert found["as_strong"] is True
    assert found["instead_over"] == pytest.approx(830 / 580)
    assert found.verdict.startswith(
        "M10x1.5 class 10.9 is at least as strong as M10x1.5 class 8.8;"
    )
    assert any("tightened as the old one was" in said for said in found.cautions)
    assert any("without baking" in said for said in found.cautions)
    weaker = answer("M8", "8.8", instead="5.8")
    assert weaker["as_strong"] is False
    assert "65% of its strength" in weaker.verdict


def test_a_replacement_must_not_yield_sooner():
    """Grade 5 holds more than grade 4 at proof and at the end, and yields sooner (SAE J429)."""
    old, new = bolt_named("1/2-13", "4"), bolt_named("1/2-13", "5")
    assert new.loads.proof_n > old.loads.proof_n
    assert new.loads.ultimate_n > old.loads.ultimate_n
    assert not is_at_least_as_strong(old, new)


def test_a_replacement_may_be_of_another_thread():
    """An M10 for a 3/8-24 is compared by loads, and the hole is pointed at."""
    found = answer("3/8-24", "5", instead="8.8", instead_size="M10x1")
    assert found["as_strong"] is True
    assert any("Another thread needs another hole" in said for said in found.cautions)


def test_too_shallow_a_hole_strips_first():
    """At four millimetres in aluminium the threads go, at thirty the bolt does."""
    assert answer("M8", "8.8", into="aluminium", engaged_m=0.004)["deep_enough"] is False
    deep = answer("M8", "8.8", into="aluminium", engaged_m=0.03)
    assert deep["deep_enough"] is True
    assert deep.verdict.endswith("so deep it breaks before threads strip.")


def test_a_known_strength_of_the_hole_is_used():
    """Twice the strength halves what must bear."""
    plain = answer("M8", "8.8", into="aluminium", into_pa=150e6)["engagement"] - 0.8 * 1.25e-3
    strong = answer("M8", "8.8", into="aluminium", into_pa=300e6)["engagement"] - 0.8 * 1.25e-3
    assert plain == pytest.approx(2 * strong)


def test_the_steps_have_their_numbers():
    """Formula and figures stand side by side."""
    step = answer("M10", "8.8").steps[0]
    assert step.put_in(lambda figure: f"{figure.value:g}") == "5.8e+08 5.8e-05"
