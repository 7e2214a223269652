"""The breakout calculator: what shears, how long a bar, where no heat goes."""

from math import pi, sqrt

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from putback.bench.breakout.calculator import work
from putback.bench.breakout.shearing import shearing
from putback.bench.calculator import OutsideLimits
from putback.bench.designation import thread_named
from putback.bench.strength import strength_of
from putback.bench.tables import data_table
from putback.bench.thread_limits import thread_limits

SIZES = st.sampled_from(["M5", "M8", "M10", "M12", "3/8-24", "1/4 BSF", "2 BA", "1/2-13"])
USUAL = {
    "grade": None, "tensile_pa": None, "bar_m": 0.3, "force_n": 200.0, "body_kg": None,
    "rust": "rusty", "thinnest_m": None, "margin": 0.7, "near": "bare steel",
}  # fmt: skip


def answer(size, **given):
    """The answer for a rusty fastener without a mark, pulled by 200 N on 300 mm."""
    return work(size=size, **{**USUAL, **given})


@settings(max_examples=50)
@given(SIZES, st.floats(0.1, 1.5), st.floats(50, 800), st.floats(0.2, 0.9))
def test_the_longest_bar_just_dares_what_is_dared(size, bar, force, margin):
    """Pulled on the longest bar, or as hard as may be on this one, it is at the margin."""
    found = answer(size, bar_m=bar, force_n=force, margin=margin)
    assert found["longest"] * force == pytest.approx(margin * found["shears"])
    assert found["pull"] * bar == pytest.approx(margin * found["shears"])
    assert found["is_safe"] is (found["longest"] >= bar)
    assert answer(size, bar_m=found["longest"] * 0.999, force_n=force, margin=margin)["is_safe"]


@settings(max_examples=50)
@given(SIZES, st.floats(200e6, 1200e6), st.floats(1.1, 2))
def test_stronger_steel_stands_more_and_rust_takes_it_away(size, tensile, more):
    """In proportion to its strength, and by the cube of what is left of the diameter."""
    clean = answer(size, rust="clean", tensile_pa=tensile)["shears"]
    assert answer(size, rust="clean", tensile_pa=tensile * more)["shears"] == pytest.approx(
        more * clean
    )
    wasted = answer(size, rust="wasted", tensile_pa=tensile)["shears"]
    assert wasted == pytest.approx(0.75**3 * clean)


def test_a_measured_waist_counts_instead_of_the_eye():
    """The thinnest place over the core, never more than the core, refused below half."""
    core = thread_limits(thread_named("M12")).root_min_m
    clean = answer("M12", rust="clean")["shears"]
    assert answer("M12", thinnest_m=0.8 * core)["shears"] == pytest.approx(0.8**3 * clean)
    assert answer("M12", thinnest_m=0.012)["shears"] == pytest.approx(clean)
    with pytest.raises(OutsideLimits, match="less than half of the bolt is left; it will not"):
        answer("M12", thinnest_m=0.4 * core)


def test_beyond_the_standard_a_round_bar_is_reckoned_with():
    """Textbook: a bar that yields throughout stands π/12 d³ τ, τ = Rm/√3; and 3 % less at most."""
    thread = thread_named("M12")
    strength = strength_of("8.8", thread)
    found = shearing(thread, strength, strength.tensile_pa)
    assert not found.by_standard
    throughout = pi / 12 * found.core_m**3 * 800e6 / sqrt(3)
    assert 0.97 * throughout < found.torque_nm < throughout


def test_the_standard_is_for_its_own_classes_and_sizes():
    """M10 8.8 by ISO 898-7; M10 4.6 and 3/8-24 grade 5 are not in it."""
    thread = thread_named("M10")
    assert shearing(thread, strength_of("8.8", thread), 800e6).by_standard
    assert not shearing(thread, strength_of("4.6", thread), 400e6).by_standard
    inch = thread_named("3/8-24")
    assert not shearing(inch, strength_of("5", inch), 827e6).by_standard
    assert answer("M10", grade="8.8").sources[0].startswith("ISO 898-7")


def test_body_weight_goes_in_place_of_the_hands():
    """80 kg at 0.3 m is 235 N·m (standard gravity), which shears a small bolt."""
    found = answer("3/8-24", body_kg=80.0)
    assert found["applied"] == pytest.approx(80 * 9.80665 * 0.3)
    assert found.verdict.startswith("This pull on this bar shears 3/8-24 UNF: at most ")
    assert found["is_safe"] is False


def test_the_verdict_knows_three_answers():
    """It stands, it is too near, it shears."""
    assert answer("M12", grade="8.8", bar_m=0.2).verdict.startswith(
        "M12x1.75 stands this bar, at "
    )
    shears = answer("M10", grade="8.8")["shears"]
    near = answer("M10", grade="8.8", force_n=0.85 * shears / 0.3)
    assert near.verdict.startswith("Too near: 85% of what shears M10x1.5; at most ")


@pytest.mark.parametrize("row", data_table("heat").rows, ids=lambda row: row["near"])
def test_heat_is_forbidden_where_it_hurts(row):
    """Common practice: fuel, fluid, rubber, springs, dampers, plating, batteries: none."""
    found = answer("M8", near=row["near"])
    assert found["heat"] == row["allowed"]
    assert (f"No heat near {row['near']}." in found.verdict) is (row["allowed"] == "no")
    assert row["why"] in found.cautions[-1]
    assert found.cautions[-1].startswith("No heat") is (row["allowed"] == "no")
    steps = {step.value for step, *_ in found.tables[0].rows}
    assert ({"heat", "weld"} <= steps) is (row["allowed"] != "no")
    assert {"soak", "split", "drill"} <= steps


def test_advice_begins_with_what_costs_least():
    """Brush and soak before force, drill last; every row is there."""
    (table,) = answer("M8").tables
    steps = [row[0].value for row in table.rows]
    assert steps[:2] == ["clean", "soak"]
    assert steps[-1] == "drill"
