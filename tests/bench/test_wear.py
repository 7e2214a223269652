"""Good, marginal or worn, and when."""

from statistics import NormalDist

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from putback.bench.calculator import OutsideLimits
from putback.bench.wear import (
    Condition,
    chance_beyond,
    condition,
    margin_m,
    read_use,
    use_left,
    work,
)

MM = 1e-3
sizes = st.floats(1e-3, 0.5)


@pytest.mark.parametrize(
    ("kind", "measured_mm", "said"),
    [
        ("disc", 10.43, "good"),
        ("disc", 10.42, "marginal"),
        ("disc", 10.38, "marginal"),
        ("disc", 10.37, "worn"),
        ("drum", 10.37, "good"),
        ("drum", 10.40, "marginal"),
        ("drum", 10.43, "worn"),
    ],
)
def test_the_reading_must_be_surely_inside(kind, measured_mm, said):
    """ISO 14253-1: inside by more than the uncertainty, beyond by more than it, or neither."""
    assert work(measured_mm * MM, 10.4 * MM, kind, 0.02 * MM)["condition"] == said


def test_at_its_limit_a_part_is_never_good():
    """However well it is measured."""
    assert condition(0.0, 0.0) is Condition.MARGINAL
    assert chance_beyond(0.0, 0.0) == 1


@settings(max_examples=50)
@given(st.floats(-1e-3, 1e-3), st.floats(1e-6, 1e-3))
def test_the_chance_is_that_of_a_normal_error(margin, uncertainty):
    """Against the standard library's normal distribution."""
    expected = NormalDist(margin, uncertainty / 2).cdf(0)
    assert chance_beyond(margin, uncertainty) == pytest.approx(expected, abs=1e-12)


@settings(max_examples=50)
@given(sizes, sizes, st.floats(0, 1e-3))
def test_thin_and_wide_mirror_each_other(measured, limit, uncertainty):
    """What is good for a disc is worn for a drum of the same figures."""
    thin = condition(margin_m(measured, limit, wears_thin=True), uncertainty)
    wide = condition(margin_m(measured, limit, wears_thin=False), uncertainty)
    mirrored = {
        Condition.GOOD: Condition.WORN,
        Condition.WORN: Condition.GOOD,
        Condition.MARGINAL: Condition.MARGINAL,
    }
    assert wide is mirrored[thin]


def test_when_at_this_rate():
    """0.5 mm in 24,000 miles leaves 9,600 for 0.2 mm; doubt makes it fewer or more."""
    answer = work(10.6 * MM, 10.4 * MM, "disc", 0.02 * MM, 11.1 * MM, 24000, "miles")
    (left,) = (figure for figure in answer.results if figure.name == "left")
    assert left.value == pytest.approx(9600)
    assert left.low == pytest.approx(0.18 * 24000 / (0.5 + 0.02 * 2**0.5))
    assert left.high == pytest.approx(0.22 * 24000 / (0.5 - 0.02 * 2**0.5))
    assert "in about 9,600 miles" in answer.verdict


@settings(max_examples=50)
@given(
    st.floats(0, 1e-2),
    st.floats(1e-6, 1e-2),
    st.floats(0, 1e6),
    st.floats(0, 1e-3),
    st.floats(1, 5),
)
def test_more_margin_lasts_longer(margin, lost, used, uncertainty, more):
    """Use left grows with the margin and stands between its least and its most."""
    left = use_left(margin, lost, used, uncertainty)
    assert left.least <= left.likely
    assert left.most is None or left.likely <= left.most
    assert use_left(margin * more, lost, used, uncertainty).likely >= left.likely


def test_a_worn_part_has_no_use_left():
    """Never less than none."""
    assert use_left(-1e-3, 1e-3, 1000, 1e-5).likely == 0


def test_no_wear_gives_no_rate():
    """Nothing is extrapolated from nothing."""
    with pytest.raises(OutsideLimits, match="before: no wear between the two readings"):
        work(11.1 * MM, 10.4 * MM, "disc", 0.02 * MM, 11.1 * MM, 24000)


@pytest.mark.parametrize(
    ("before", "between", "field"), [(0.0111, None, "between"), (None, 5, "before")]
)
def test_half_a_rate_is_refused(before, between, field):
    """An earlier reading and the use since belong together."""
    with pytest.raises(OutsideLimits, match="give both or neither") as caught:
        work(10.6 * MM, 10.4 * MM, "disc", 0.0, before, between)
    assert caught.value.field == field


@pytest.mark.parametrize(
    ("typed", "read"),
    [
        ("24000", (24000.0, "miles")),
        ("24000 miles", (24000.0, "miles")),
        ("38000km", (38000.0, "km")),
        ("3 years", (36.0, "months")),
        ("2,5 years", (30.0, "months")),
    ],
)
def test_use_is_read_with_what_it_is_counted_in(typed, read):
    """A unit that is typed wins over the field beside it; a year is twelve months."""
    assert read_use(typed, "miles") == read


@pytest.mark.parametrize("typed", ["24,000 miles", "often", "3 winters", "1e9", "99999999"])
def test_use_that_cannot_be_meant_is_refused(typed):
    """A comma in thousands has two meanings; winters have none."""
    with pytest.raises(OutsideLimits):
        read_use(typed, "miles")


@pytest.mark.parametrize(
    ("kind", "measured_mm", "limit_mm", "before_mm", "is_refused"),
    [
        ("drum", 229.9, 9.09, None, True),
        ("shaft", 50.7, 50.6, 2.0, True),
        ("drum", 229.9, 230.0, 228.6, False),
        ("free play", 5.0, 0.2, None, False),
        ("pad", 3.0, 1.5, 12.0, False),
        ("disc", 10.0, 0.0, None, False),
    ],
)
def test_sizes_that_cannot_be_of_one_part_are_refused(
    kind, measured_mm, limit_mm, before_mm, is_refused
):
    """A drum of 229.9 mm has no limit of 9.09: that was inches, and is not called worn."""
    before = {} if before_mm is None else {"before_m": before_mm * MM, "between": 1000.0}
    ask = (measured_mm * MM, limit_mm * MM, kind, 0.02 * MM)
    if is_refused:
        with pytest.raises(OutsideLimits, match=f"cannot be sizes of one {kind}: measured"):
            work(*ask, **before)
    else:
        assert work(*ask, **before).verdict


def test_wear_within_the_doubt_gives_a_least_alone():
    """0.01 mm between readings good to 0.02 may be none: only the least is told."""
    verdict = work(10.6 * MM, 10.4 * MM, "disc", 0.02 * MM, 10.61 * MM, 24000, "miles").verdict
    least = 0.18 * 24000 / (0.01 + 0.02 * 2**0.5)
    assert verdict.endswith(f"at this rate it lasts {round(least, -4):,.0f} miles or more.")
    assert "about" not in verdict


def drawn(**asked):
    """The lines of the picture by their role."""
    (drawing,) = work(**asked).drawings
    return {shape.role: shape.points_m for shape in drawing.shapes if shape.role != "text"}


def test_the_picture_meets_the_limit_where_the_use_ends():
    """Half of the way worn in half of the use; the line goes on until it meets the limit."""
    asked = {"kind": "disc", "uncertainty_m": 1e-5, "before_m": 0.012, "between": 1000.0}
    lines = drawn(measured_m=0.011, limit_m=0.010, **asked)
    assert lines["hidden"][1] == pytest.approx(lines["warn"][1])
    assert lines["hidden"][0] == lines["outline"][1] == lines["dot"][1]
    assert lines["outline"][1][0] == pytest.approx(0.5)
    assert "hidden" not in drawn(measured_m=0.0099, limit_m=0.010, **asked)
    slow = drawn(measured_m=0.0119, limit_m=0.010, **asked)
    assert slow["hidden"][1][1] > slow["warn"][1][1]
    assert work(0.011, 0.010, "disc", 1e-5).drawings == ()


def test_dust_is_warned_of_where_there_are_linings():
    """On discs and drums, not on shafts and bores."""
    assert any("asbestos" in each for each in work(0.011, 0.010, "drum", 1e-5).cautions)
    assert not any("asbestos" in each for each in work(0.011, 0.010, "shaft", 1e-5).cautions)
