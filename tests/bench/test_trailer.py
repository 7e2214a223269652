"""Trailer: nose weight, and the place that gives it."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from putback.bench.trailer import CALCULATOR, ahead_for_m, nose_kg


def trailer(**changed):
    """Ask for 1,000 kg on 500 kg of trailer but for what is changed."""
    usual = {"empty_kg": 500.0, "empty_nose_kg": 40.0, "drawbar_m": 3.0, "mass_kg": 1000.0,
             "ahead_m": None, "side": "ahead", "habit": "10 to 15 %", "hitch_kg": None,
             "plated_kg": None}  # fmt: skip
    return CALCULATOR.work(**{**usual, **changed})


@given(st.floats(1, 500), st.floats(0, 100), st.floats(10, 3000), st.floats(1, 6))
@settings(max_examples=30)
def test_place_and_nose_weight_turn_each_other_round(wanted, empty, mass, drawbar):
    """What lies so far ahead gives the nose weight that was wanted."""
    ahead = ahead_for_m(wanted, empty, mass, drawbar)
    assert nose_kg(empty, mass, ahead, drawbar) == pytest.approx(wanted)


def test_moments_about_the_coupling_agree():
    """What nose and axle carry holds both weights, turned about the other end."""
    answer = trailer(ahead_m=0.4)
    empty_at = 40 * 3.0 / 500  # the empty trailer's own centre of gravity ahead of the axle
    about_coupling = 1000 * (3 - 0.4) + 500 * (3 - empty_at)
    assert answer["axles"] * 3 == pytest.approx(about_coupling)
    assert answer["nose"] + answer["axles"] == pytest.approx(1500)


def test_it_tells_where_the_vehicle_stands():
    """Both ends of the range give the shares aimed at."""
    answer = trailer()
    assert answer["nose_low"] == pytest.approx(150)
    assert answer["nose_high"] == pytest.approx(225)
    assert nose_kg(40, 1000, answer["ahead_low"], 3) == pytest.approx(150)
    assert answer.verdict.startswith(
        "Stand it so that its weight lies 330 to 555 mm (13.0 to 21.9 in) ahead"
    )


@pytest.mark.parametrize(
    ("ahead", "words"),
    [
        (-0.3, "It lifts the hitch"),
        (0.0, "Too light on the nose, it will sway: 40 kg"),
        (0.4, "The nose weight is right: 173 kg (382 lb) of 1500 kg (3307 lb)."),
        (1.0, "Too heavy on the nose: 373 kg"),
    ],
)
def test_what_is_wrong_is_said(ahead, words):
    """From lifting the hitch to breaking it."""
    side = "behind" if ahead < 0 else "ahead"
    assert trailer(ahead_m=abs(ahead), side=side).verdict.startswith(words)
    assert trailer(ahead_m=ahead, side=side) == trailer(ahead_m=abs(ahead), side=side)
    assert trailer(ahead_m=ahead) == trailer(ahead_m=abs(ahead), side=side)


def test_other_limits_count():
    """The hitch takes off the top, and an overloaded trailer is told first."""
    assert trailer(hitch_kg=160.0)["nose_high"] == 160
    assert trailer(plated_kg=1400.0).verdict == (
        "Too heavy: 1500 kg (3307 lb) on a trailer plated for 1400 kg (3086 lb)."
    )
    assert trailer(hitch_kg=100.0, habit="5 to 7 %")["nose_high"] == 100


def test_a_hitch_that_is_too_weak_is_told_with_the_figures():
    """No place is right then; how heavy the nose is shows by how much."""
    answer = trailer(hitch_kg=100.0, ahead_m=0.4)
    assert answer.verdict.startswith(
        "The hitch is too weak: 10 to 15 % of 1500 kg (3307 lb) is 150 kg (331 lb) at least, and"
        " it allows 100 kg (220 lb);"
    )
    assert answer["nose"] == pytest.approx(40 + 1000 * 0.4 / 3)
    assert (answer["nose_low"], answer["nose_high"]) == pytest.approx((150, 225))
    heavy = trailer(hitch_kg=100.0, plated_kg=1400.0)
    assert heavy.verdict.startswith("Too heavy: 1500 kg")


def test_the_picture_says_on_which_side_of_the_axle_the_weight_lies():
    """Never a length below nothing: so far ahead of it, or behind it."""
    (drawing,) = trailer(ahead_m=-0.3, empty_nose_kg=200.0).drawings
    (dot,) = (shape.points_m[0] for shape in drawing.shapes if shape.role == "dot")
    assert dot[0] == -0.3
    assert drawing.words == (
        "The load's weight lies 300 mm (11.8 in) behind the axle. The nose weight aimed at is met "
        "from 150 mm (5.9 in) behind it to 75 mm (3.0 in) ahead of it."
    )


@pytest.mark.parametrize(
    ("empty_nose", "words"),
    [(200.0, "from 150 mm (5.9 in) behind to 75 mm (3.0 in) ahead of"),
     (300.0, "225 to 450 mm (8.9 to 17.7 in) behind")],
)  # fmt: skip
def test_a_heavy_nose_is_balanced_from_behind_the_axle(empty_nose, words):
    """The place is told without a sign, wherever it is."""
    assert trailer(empty_nose_kg=empty_nose).verdict == (
        f"Stand it so that its weight lies {words} the axle: 150 to 225 kg (331 to 496 lb) on the "
        "nose."
    )
