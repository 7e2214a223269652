"""Gauges, panels, patches, welds and folds."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from putback.bench.calculator import OutsideLimits
from putback.bench.sheet import panel
from putback.bench.sheet.calculator import work
from putback.bench.sheet.gauges import Series, gauges, nearest, ordered_kg_m2, thickness_m
from putback.errors import BadInput

PLAIN = {
    "series": "US steel",
    "metal": "steel",
    "margin_m": 0.025,
    "joint": "butt",
    "overlap_m": 0.015,
}
sides = st.floats(0.01, 2)


@pytest.mark.parametrize("series", Series)
def test_a_higher_number_is_thinner(series):
    """In every series, all the way, and each gauge is the nearest to its own thickness."""
    known = gauges(series)
    sizes = [thickness_m(series, gauge) for gauge in known]
    assert sizes == sorted(sizes, reverse=True)
    assert len(set(sizes)) == len(sizes)
    assert [nearest(series, size) for size in sizes] == list(known)


@pytest.mark.parametrize("series", Series)
def test_what_no_gauge_is_near_has_none(series):
    """Foil and armour plate are beyond every series."""
    assert nearest(series, 1e-5) is None
    assert nearest(series, 0.05) is None


def test_a_gauge_that_the_series_has_not_is_refused():
    """Nothing is extrapolated past the table."""
    with pytest.raises(OutsideLimits) as caught:
        thickness_m(Series.US_STEEL, 39)
    assert str(caught.value) == (
        "gauge: no gauge 39 in the series US steel; it goes from 3 to 38; otherwise give the"
        " thickness"
    )


@pytest.mark.parametrize("typed", ["18", " 18 ", "18 SWG", "18g", "No. 18", "18 ga"])
def test_a_gauge_is_read_as_people_write_it(typed):
    """With the words that stand beside a number."""
    assert work(**{**PLAIN, "series": "SWG"}, gauge=typed)["t"] == pytest.approx(0.048 * 0.0254)


@pytest.mark.parametrize("typed", ["thin", "1/8", "-3", ""])
def test_what_is_no_gauge_is_refused(typed):
    """A word, a fraction, a sign."""
    with pytest.raises(BadInput, match="is no gauge; write its number"):
        work(**PLAIN, gauge=typed)


@pytest.mark.parametrize("given_", [{}, {"gauge": "18", "sheet_m": 1e-3}])
def test_a_sheet_is_known_by_one_thing(given_):
    """By its gauge or by its thickness, not by neither or both."""
    with pytest.raises(BadInput, match="give one of the two"):
        work(**PLAIN, **given_)


def test_a_panel_weighs_its_volume():
    """1 m² of 1 mm steel is 7.85 kg: the figure every stockholder has."""
    answer = work(**PLAIN, sheet_m=1e-3, length_m=2.0, width_m=0.5)
    assert answer["mass"] == pytest.approx(7.85)
    assert answer["per_m2"] == pytest.approx(7.85)
    aluminium = work(**{**PLAIN, "metal": "aluminium"}, sheet_m=1e-3, length_m=1.0, width_m=1.0)
    assert aluminium["mass"] == pytest.approx(2.7)


@pytest.mark.parametrize("gauge", [10, 16, 22])
def test_steel_is_ordered_a_little_heavier_than_it_is(gauge):
    """41.82 lb/ft² an inch against 7,850 kg/m³: 2.4 % of rolling tolerance."""
    real = thickness_m(Series.US_STEEL, gauge) * 7850
    assert ordered_kg_m2(gauge) / real == pytest.approx(1.024, abs=0.001)


@settings(max_examples=50)
@given(sides, sides, st.floats(0, 0.2), st.floats(0, 0.05))
def test_a_patch_covers_its_hole(length, width, margin, overlap):
    """By the overlap all round; the same either way round; a butt joint is the hole itself."""
    mended = panel.patch((length, width), margin, overlap)
    assert mended.hole_m[0] - length == pytest.approx(2 * margin, abs=1e-12)
    assert mended.patch_m[1] - mended.hole_m[1] == pytest.approx(2 * overlap, abs=1e-12)
    assert mended.seam_m == pytest.approx(panel.patch((width, length), margin, overlap).seam_m)
    assert panel.patch((length, width), margin, 0.0).patch_m == mended.hole_m


def test_a_repair_is_counted_from_rust_to_wire():
    """120 × 60 mm of rust, cut back 25 mm: a patch of 170 × 110 mm and 560 mm of weld."""
    answer = work(**PLAIN, sheet_m=1e-3, rust_length_m=0.12, rust_width_m=0.06)
    assert (answer["patch_length"], answer["patch_width"]) == pytest.approx((0.17, 0.11))
    assert answer["seam"] == pytest.approx(0.56)
    assert answer["wire"] == pytest.approx(0.6e-3)
    arc, gas = (next(f for f in answer.results if f.name == name) for name in ("arc", "gas"))
    assert (arc.low, arc.high) == pytest.approx((560 / 450, 560 / 250))
    assert (gas.low, gas.high) == pytest.approx((0.0124444, 0.0336), rel=1e-4)
    lapped = work(**{**PLAIN, "joint": "lap"}, sheet_m=1e-3, rust_length_m=0.12, rust_width_m=0.06)
    assert lapped["seam"] == pytest.approx(0.56 + 8 * 0.015)


@settings(max_examples=50)
@given(st.floats(0.01, 5), st.floats(0.5e-3, 3.5e-3), st.floats(1.1, 3))
def test_a_longer_seam_takes_more_of_all(seam, thick, more):
    """In proportion: wire, minutes of arc and gas."""
    one, other = (panel.weld(each, thick, 7850) for each in (seam, seam * more))
    assert other.wire_kg == pytest.approx(one.wire_kg * more)
    assert other.wire_length_m == pytest.approx(one.wire_length_m * more)
    assert other.gas_m3[1] == pytest.approx(one.gas_m3[1] * more)


def test_only_what_the_practice_is_for_is_answered():
    """Thick plate is not welded as body sheet; other metals than steel get no wire."""
    with pytest.raises(OutsideLimits, match="no practice is known here"):
        work(**PLAIN, sheet_m=0.006, rust_length_m=0.1, rust_width_m=0.1)
    brass = work(**{**PLAIN, "metal": "brass"}, sheet_m=1e-3, rust_length_m=0.1, rust_width_m=0.1)
    assert "wire" not in {figure.name for figure in brass.results}


def test_half_a_size_is_refused():
    """A panel has a length and a width."""
    with pytest.raises(OutsideLimits, match="give width too") as caught:
        work(**PLAIN, sheet_m=1e-3, length_m=1.0)
    assert caught.value.field == "width"


@settings(max_examples=50)
@given(st.floats(1e-3, 0.05), st.floats(0.5e-3, 3e-3))
def test_a_fold_opens_when_released(inside, thick):
    """The wider and thinner, the more; never does it close."""
    ratio = panel.springback_ratio(inside, 200e6, 205e9, thick)
    assert 0 < ratio < 1
    assert panel.springback_ratio(inside * 1.5, 200e6, 205e9, thick) < ratio
    assert panel.springback_ratio(inside, 200e6, 205e9, thick * 1.5) > ratio


def test_a_fold_that_nothing_keeps_is_refused():
    """So wide that the sheet only flexes."""
    with pytest.raises(OutsideLimits, match="springs back flat"):
        work(**PLAIN, sheet_m=0.5e-3, fold_m=0.9)


@pytest.mark.parametrize(
    ("gauge", "series", "metal", "inches"),
    [
        ("18 SWG", None, "steel", 0.048),  # its own words win over the metal's usual series
        ("18", None, "steel", 0.0478),
        ("0000", "SWG", "steel", 0.400),
        ("7/0", "SWG", "steel", 0.500),
        ("50", "SWG", "steel", 0.001),
        ("16", None, "aluminium", 0.0508),
        ("20", None, "stainless steel", 0.0375),
        ("38 ga", "US steel", "steel", 0.0060),
    ],
)
def test_a_gauge_is_of_the_series_that_is_said_or_usual(gauge, series, metal, inches):
    """BS 3737, ASTM B 258, US Standard Gauge and Manufacturers' Standard Gauge, from memory."""
    answer = work(series, metal, 0.025, "butt", 0.015, gauge=gauge)
    assert answer["t"] == pytest.approx(inches * 0.0254, abs=0.00005 * 0.0254 + 1e-9)


def test_a_gauge_of_two_series_is_refused():
    """18 SWG is no gauge of US steel."""
    with pytest.raises(BadInput, match="is of the series SWG"):
        work("US steel", "steel", 0.025, "butt", 0.015, gauge="18 SWG")


@pytest.mark.parametrize(("joint", "patch"), [("butt", (0.17, 0.11)), ("lap", (0.2, 0.14))])
def test_the_repair_is_drawn_to_scale(joint, patch):
    """Rust within the hole, the hole within the patch or as large; nothing without rust."""
    asked = {"gauge": "18", "rust_length_m": 0.12, "rust_width_m": 0.06}
    (drawing,) = work(**{**PLAIN, "joint": joint}, **asked).drawings
    sizes = {
        shape.role: (shape.points_m[2][0] * 2, shape.points_m[2][1] * 2)
        for shape in drawing.shapes
        if shape.role != "text"
    }
    assert sizes["hidden"] == pytest.approx((0.12, 0.06))
    assert sizes["outline"] == pytest.approx((0.17, 0.11))
    assert sizes["accent"] == pytest.approx(patch)
    assert work(**PLAIN, gauge="18").drawings == ()
