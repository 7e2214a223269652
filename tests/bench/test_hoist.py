"""Hoist: the plate holds, nothing between its places or beyond."""

import pytest

from putback.bench.calculator import OutsideLimits
from putback.bench.hoist import CALCULATOR, Place, rating_at, read_plate
from putback.errors import BadInput

PLATE = "1000 500\n1200 350\n1500 200"


def hoist(**changed):
    """Ask for 200 kg at 1.2 m but for what is changed."""
    usual = {"mass_kg": 200.0, "tackle_kg": 10.0, "reach_m": 1.2, "plate": PLATE, "unit": "mm",
             "mass_unit": "kg", "legs_m": None}  # fmt: skip
    return CALCULATOR.work(**{**usual, **changed})


@pytest.mark.parametrize(
    ("reach", "rating"), [(0.5, 500), (1.0, 500), (1.01, 350), (1.2, 350), (1.5, 200)]
)
def test_between_two_places_the_longer_one_holds(reach, rating):
    """Nothing is drawn between them."""
    assert rating_at(reach, read_plate(PLATE, "mm", "kg")).rating_kg == rating


def test_beyond_the_plate_there_is_no_rating():
    """Refused rather than worked out."""
    with pytest.raises(OutsideLimits, match="rated to 1500 mm, and this reach is 1510"):
        hoist(reach_m=1.51)


def test_tackle_counts():
    """What hangs on the hook is the load and all between."""
    answer = hoist()
    assert answer["hangs"] == 210
    assert answer["used"] == pytest.approx(0.6)
    assert answer.verdict == "It holds: 210 kg (463 lb) of 350 kg (772 lb) at this reach."
    assert hoist(tackle_kg=151.0).verdict.startswith(
        "Too heavy at this reach: 351 kg (774 lb) hang where"
    )


def test_a_hook_beyond_its_castors_could_tip():
    """It is said even where the rating is kept."""
    assert hoist(legs_m=1.1).verdict.startswith("It could tip: the hook is 100 mm (3.9 in) beyond")
    assert hoist(legs_m=1.4)["inside"] == pytest.approx(0.2)


def test_the_plate_may_be_in_inches_and_pounds():
    """Lines in any order; the shortest reach comes first."""
    plate = read_plate("48 500\n36 1000", "in", "lb")
    assert plate[0] == Place(pytest.approx(0.9144), pytest.approx(453.59237))


@pytest.mark.parametrize(
    ("plate", "what"),
    [
        ("# none", "no rating is given"),
        ("1000 200\n1200 300", "a longer reach is rated for more"),
        ("1000 500\n1000 400", "one reach is there twice"),
        ("1000 0", "reach and rating are more than nothing"),
        ("1000 200 3", "is one too many"),
    ],
)
def test_a_plate_misread_is_refused(plate, what):
    """It says what is wrong."""
    with pytest.raises(BadInput, match=what):
        hoist(plate=plate)


def test_the_picture_falls_where_the_plate_does():
    """Steps at its reaches, a dot for what hangs there, the castors where they stand."""
    (drawing,) = hoist(legs_m=1.45).drawings
    (steps,) = (shape.points_m for shape in drawing.shapes if shape.role == "accent")
    (dot,) = (shape.points_m for shape in drawing.shapes if shape.role == "dot")
    (castors,) = (shape.points_m for shape in drawing.shapes if shape.role == "hidden")
    assert [x for x, _ in steps] == [0.0, 1.0, 1.0, 1.2, 1.2, 1.5]
    heights = [y / steps[0][1] for _, y in steps]
    assert heights == pytest.approx([1, 1, 0.7, 0.7, 0.4, 0.4])
    assert dot[0] == pytest.approx((1.2, 210 / 500 * steps[0][1]))
    assert {x for x, _ in castors} == {1.45}
    assert [s.words for s in drawing.shapes if s.role == "text"][:3] == [
        "500 kg", "350 kg", "200 kg"]  # fmt: skip
