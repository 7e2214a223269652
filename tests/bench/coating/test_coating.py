"""The coating calculator: growth, gap, relief, baking."""

from math import sin

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from putback.bench.calculator import OutsideLimits
from putback.bench.coating.calculator import work
from putback.bench.coating.growth import (
    baking_hours,
    coat_named,
    coats,
    diameter_growth_m,
    pitch_growth_m,
    thickest_m,
)
from putback.bench.designation import thread_named
from putback.bench.thread_form import form_of
from putback.bench.thread_limits import thread_limits

UM, MM = 1e-6, 1e-3
THREADS = st.sampled_from(["M3", "M8", "M10x1", "3/8-24", "1/2 BSW", "1/4 BSF", "2 BA", "1/8 BSP"])
USUAL = {
    "what": "male thread", "size": None, "diameter_m": None, "coat": "zinc plate",
    "thickness_m": None, "clearance_m": None, "grade": None, "tensile_pa": None,
    "is_spring": False,
}  # fmt: skip


def answer(**given):
    """The answer for zinc on a male thread, unless told else."""
    return work(**{**USUAL, **given})


@pytest.mark.parametrize(
    ("size", "micrometres"),
    [("M3", 5), ("M5", 6), ("M6", 6.5), ("M8", 7), ("M10", 8), ("M12", 8.5), ("M16", 9.5),
     ("M20", 10.5), ("M24", 12)],
)  # fmt: skip
def test_a_6g_thread_takes_a_quarter_of_its_gap(size, micrometres):
    """ISO 4042 (from memory): es / 4, with es of ISO 965-1, before it is rounded down."""
    found = answer(size=size)["thickest"]
    assert found == pytest.approx(micrometres * UM)


@settings(max_examples=50)
@given(THREADS, st.floats(1e-6, 2e-4))
def test_a_coat_moves_each_flank_square_to_itself(name, thickness):
    """Geometry: a flank that moves out by t square to itself moves t / sin α along the radius."""
    thread = thread_named(name)
    half = form_of(thread).half_angle_rad
    found = pitch_growth_m(thread, thickness)
    assert found / 2 * sin(half) == pytest.approx(thickness)
    assert found >= 1.999 * diameter_growth_m(thickness)
    assert pitch_growth_m(thread, thickness, 0.5) == pytest.approx(found / 2)


@settings(max_examples=50)
@given(THREADS, st.floats(1e-6, 1e-4))
def test_the_thickest_coat_fills_the_gap(name, gap):
    """What it takes at most grows the pitch diameter by the gap; no gap takes nothing."""
    thread = thread_named(name)
    assert pitch_growth_m(thread, thickest_m(thread, gap)) == pytest.approx(gap)
    assert thickest_m(thread, 0.0) == 0.0


@settings(max_examples=50)
@given(THREADS, st.floats(1e-6, 2e-4))
def test_relief_and_gap_make_room_for_the_coat(name, thickness):
    """Cut under by the relief, the coated thread is where the bare one may be."""
    found = answer(size=name, thickness_m=thickness)
    gap = max(0.0, thread_limits(thread_named(name)).gap_m)
    assert found["relief"] == pytest.approx(max(0.0, found["pitch_growth"] - gap), abs=1e-8)
    assert found["fits"] is (found["relief"] == 0.0)


def test_inside_grows_smaller_and_has_no_gap():
    """A nut's thread shrinks by what a bolt's grows."""
    male = answer(size="M10", thickness_m=8 * UM)
    female = answer(size="M10", what="female thread", thickness_m=8 * UM)
    assert female["pitch_growth"] == -male["pitch_growth"] == pytest.approx(-32 * UM)
    assert male["fits"] is True
    assert female["fits"] is False
    assert "must be masked, or cut over by 0.032 mm on its pitch diameter" in female.verdict


def test_shafts_and_bores_grow_by_two_coats():
    """Hard chrome of 50 µm: a shaft 0.1 mm larger, a bore 0.1 mm smaller."""
    shaft = answer(what="shaft", diameter_m=25 * MM, coat="hard chrome", thickness_m=50 * UM)
    bore = answer(what="bore", diameter_m=25 * MM, coat="hard chrome", thickness_m=50 * UM)
    assert shaft["coated"] == pytest.approx(25.1 * MM)
    assert bore["coated"] == pytest.approx(24.9 * MM)
    assert "must be turned down by 0.100 mm" in shaft.verdict
    assert "must be opened by 0.100 mm" in bore.verdict
    fits = answer(
        what="bore", diameter_m=25 * MM, coat="zinc plate", thickness_m=8 * UM, clearance_m=20 * UM
    )
    assert fits["fits"] is True
    assert fits["thickest"] == pytest.approx(10 * UM)


def test_an_anodised_layer_stands_out_by_half():
    """It grows half into the metal (common practice)."""
    found = answer(
        what="shaft", diameter_m=25 * MM, coat="anodised aluminium", thickness_m=20 * UM
    )
    assert found["growth"] == pytest.approx(20 * UM)


@pytest.mark.parametrize(
    ("megapascals", "hours"),
    [(900, 0), (999, 0), (1000, 8), (1150, 10), (1250, 12), (1520, 18), (1900, 22)],
)
def test_baking_goes_by_strength(megapascals, hours):
    """ASTM B850, Table 1 (from memory)."""
    assert baking_hours(megapascals * 1e6) == hours


def test_high_tensile_bolts_are_baked_where_the_bath_puts_hydrogen_in():
    """Class 10.9 (1040 MPa) after zinc, not after zinc flake; class 8.8 not at all."""
    zinc = answer(size="M10", grade="10.9")
    assert zinc["bake"] is True
    assert zinc["bake_time"] == 8 * 60
    assert zinc.verdict.endswith("bake it at 190 to 220 °C for 8 hours.")
    assert zinc.cautions[0].startswith("Hydrogen from pickling and plating")
    assert answer(size="M10", grade="10.9", coat="zinc flake")["bake"] is False
    assert answer(size="M10", grade="8.8")["bake"] is False


def test_a_spring_is_baked_whatever_is_known_of_it():
    """Its strength counts as 1500 MPa at least, and it is best not plated at all."""
    found = answer(what="shaft", diameter_m=12 * MM, is_spring=True)
    assert found["bake_time"] == 18 * 60
    assert any("best not plated at all" in said for said in found.cautions)


def test_an_unknown_strength_is_said():
    """Nothing is promised of a part whose strength nobody gave."""
    assert any("The strength is not known" in said for said in answer(size="M10").cautions)


def test_paint_under_a_head_is_warned_of():
    """Powder needs a mask: it does not go on a thread."""
    found = answer(size="M10", coat="powder coat")
    assert found["fits"] is False
    assert any("Nothing that is torqued stands on paint" in said for said in found.cautions)


@pytest.mark.parametrize(
    ("given", "says"),
    [
        ({}, "which thread is not said; give its size"),
        ({"what": "bore"}, "the diameter is not said; measure the bare part"),
        ({"what": "shaft", "diameter_m": 0.01, "grade": "8.8"}, "a class or grade goes with a"),
    ],
)
def test_what_is_missing_is_asked_for(given, says):
    """Each by its field."""
    with pytest.raises(OutsideLimits, match=says):
        answer(**given)


def test_coats_are_in_order():
    """Least, usual, most; and a share of it stands out."""
    for name in coats():
        coat = coat_named(name)
        assert coat.least_m < coat.usual_m < coat.most_m
        assert 0 < coat.stands_out <= 1


def test_the_steps_have_their_numbers():
    """Formula and figures stand side by side."""
    step = answer(size="M10", thickness_m=8 * UM).steps[1]
    assert step.put_in(lambda figure: f"<{figure.name}>") == "2 <b> <t> / sin <α>"
