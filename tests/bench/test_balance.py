"""Balance: parts, scales, stands and tipping, against exact constructions."""

from math import atan2, cos, degrees, radians, sin

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from putback.bench.balance.calculator import CALCULATOR
from putback.bench.balance.weighing import (
    behind_front_m,
    height_by_tilting_m,
    height_doubt_m,
    reading_doubt_m,
    to_the_right_m,
)
from putback.bench.calculator import OutsideLimits
from putback.errors import BadInput

NOTHING = {each.argument: None for each in CALCULATOR.asked} | {
    "unit": "mm", "mass_unit": "kg", "reading_kg": 1.0, "lifted": "rear", "rated": "each",
    "stands_lift_m": 0.0,
}  # fmt: skip
PARTS = "engine 200 -100 20 700\nbody 300 1200 -10 800\naxle 100 2300 0 300"


def balance(**given):
    """Work out a balance of what is given and nothing else."""
    return CALCULATOR.work(**{**NOTHING, **given})


def tilted_front_kg(mass, x, height, base, radius, slope):
    """What the front axle carries with the rear raised: moments about the rear axle."""
    from_rear, over = base - x, height - radius
    # The weight acts straight down; its lever about the rear axle, along the floor.
    lever = from_rear * cos(slope) + over * sin(slope)
    return mass * lever / (base * cos(slope))


def test_parts_add_up():
    """Mass and place are those of the definition, in the unit that was chosen."""
    answer = balance(parts=PARTS)
    assert answer["mass"] == 600
    assert answer["x"] == pytest.approx((-20 + 360 + 230) / 600)
    assert answer["y"] == pytest.approx((4 - 3) / 600)
    assert answer["z"] == pytest.approx((140 + 240 + 30) / 600)
    inches = balance(parts="a 100 10 0 20", unit="in", mass_unit="lb")
    assert inches["x"] == pytest.approx(0.254)
    assert inches["mass"] == pytest.approx(45.359237)


def test_wheels_are_loaded_as_statics_says():
    """On four wheels the axles carry their shares, and margin and slope follow."""
    answer = balance(parts=PARTS, wheelbase_m=2.3, track_m=1.3)
    assert answer["front"] + answer["rear"] == pytest.approx(600)
    assert answer["rear"] * 2.3 == pytest.approx(600 * answer["x"])
    wheels = {row[0].value: row[1].value for row in answer.tables[-1].rows}
    assert wheels["front left"] + wheels["front right"] == pytest.approx(answer["front"])
    assert answer["margin"] == pytest.approx(0.65 - abs(answer["y"]))
    assert answer["tips_at"] == pytest.approx(atan2(answer["margin"], answer["z"]))
    assert answer["stability"] == pytest.approx(1.3 / (2 * answer["z"]))
    assert answer.verdict.startswith(
        "It stands: the weight of 600 kg (1323 lb) lies 648 mm (25.5 in) inside"
    )


def test_four_scales_say_where_it_lies():
    """Wheel by wheel; the cross weight and the doubt of the reading are told."""
    answer = balance(
        front_left_kg=310, front_right_kg=300, rear_left_kg=255, rear_right_kg=262,
        wheelbase_m=2.34, track_m=1.3,
    )  # fmt: skip
    assert answer["x"] == pytest.approx(2.34 * 517 / 1127)
    assert answer["y"] == pytest.approx(0.65 * (562 - 565) / 1127)
    assert answer["cross"] == pytest.approx(572 / 1127)
    x = next(figure for figure in answer.results if figure.name == "x")
    assert x.plus_minus == pytest.approx(reading_doubt_m(610, 517, 2.34, 1.0))


@given(
    st.floats(300, 3000), st.floats(0.2, 0.8), st.floats(0.3, 1.2), st.floats(1.8, 3.5),
    st.floats(3, 25),
)  # fmt: skip
@settings(max_examples=50)
def test_a_tilt_gives_back_the_height_it_was_made_of(mass, share, height, base, angle):
    """Loads by moments about the other axle; the formula turns them round."""
    x, slope = share * base, radians(angle)
    level = mass * (1 - share)
    tilted = tilted_front_kg(mass, x, height, base, 0.3, slope)
    assert tilted_front_kg(mass, x, height, base, 0.3, 0.0) == pytest.approx(level)
    found = height_by_tilting_m(level, tilted, mass, base, slope, 0.3)
    assert found == pytest.approx(height)


@pytest.mark.parametrize("lifted", ["rear", "front"])
def test_either_axle_may_be_raised(lifted):
    """The load that counts is that of the axle left on the ground."""
    base, x, height, radius, raised = 2.4, 1.1, 0.6, 0.3, 0.7
    slope = atan2(raised, (base**2 - raised**2) ** 0.5)
    front = {"rear": x, "front": base - x}[lifted]
    tilted = tilted_front_kg(1000, front, height, base, radius, slope)
    answer = balance(
        front_kg=1000 * (base - x) / base, rear_kg=1000 * x / base, wheelbase_m=base,
        lifted=lifted, raised_m=raised, tilted_kg=tilted, radius_m=radius,
    )  # fmt: skip
    assert answer["z"] == pytest.approx(height)
    z = next(figure for figure in answer.results if figure.name == "z")
    assert z.plus_minus == pytest.approx(height_doubt_m(1.0, 1000, base, slope))


def test_doubts_are_slopes_found_by_trial():
    """What a kilogram on one reading changes, both readings together."""
    step = 1e-4
    by_front = (behind_front_m(610 + step, 517, 2.34) - behind_front_m(610, 517, 2.34)) / step
    by_rear = (behind_front_m(610, 517 + step, 2.34) - behind_front_m(610, 517, 2.34)) / step
    doubt = reading_doubt_m(610, 517, 2.34, 3.0)
    assert doubt == pytest.approx(3 * (by_front**2 + by_rear**2) ** 0.5, rel=1e-5)


def test_stands_carry_it_and_are_judged():
    """Loads add up, ratings count for one or for a pair, and the lift makes the slope less."""
    stands = "A 0 -400 300\nB 0 400 300\nC 2000 -400 300\nD 2000 400 300"
    given = {"parts": PARTS, "stands": stands, "stands_lift_m": 0.4}
    answer = balance(**given)
    assert sum(row[1].value for row in answer.tables[-1].rows) == pytest.approx(600)
    assert answer["margin"] == pytest.approx(0.4 - answer["y"])
    assert answer["tips_at"] == pytest.approx(atan2(answer["margin"], answer["z"] + 0.4))
    assert answer.verdict.startswith("It stands: ")
    assert balance(**given, rated="a pair").verdict.startswith(
        "A stand carries more than it is rated for: "
    )


def test_what_tips_is_told():
    """Outside its stands, or nearer to the edge than a hand's breadth."""
    outside = balance(parts=PARTS, stands="A 1200 -400\nB 1200 400\nC 2200 0")
    assert outside.verdict == "It would tip: the weight lies 250 mm (9.8 in) outside the stands."
    assert "loads" not in {table.title for table in outside.tables}
    near = balance(parts=PARTS, stands="A 900 -400\nB 900 400\nC 2200 0")
    assert near.verdict.startswith("Too near to tipping: the weight lies 50 mm (2.0 in) ")
    assert outside["tips_at"] < 0


@pytest.mark.parametrize(
    ("given", "what"),
    [
        ({}, "there is nothing to weigh"),
        ({"parts": PARTS, "front_kg": 1.0}, "both parts and loads are given"),
        ({"front_kg": 500.0, "wheelbase_m": 2.0}, "not every load is there"),
        ({"front_kg": 500.0, "rear_kg": 400.0}, "loads say nothing about a place"),
        ({"front_kg": 0.0, "rear_kg": 0.0, "wheelbase_m": 2.0}, "the scales read nothing"),
        ({"front_kg": 1.0, "rear_kg": 1.0, "rear_left_kg": 1.0}, "wheels and axles are both"),
        ({"front_kg": 9.0, "rear_kg": 9.0, "wheelbase_m": 2.0, "raised_m": 0.5},
         "the height needs tilted, radius too"),
        ({"parts": "a 0 1 1 1"}, "no part weighs anything"),
        ({"parts": "a -1 1 1 1"}, "line 1 of parts: a mass of -1 is less than nothing"),
        ({"parts": "a 1 1 1"}, "line 1 of parts: the z is missing"),
        ({"parts": PARTS, "stands": "A 0 0\nA 1 1"}, "line 2 of stands: 'A' is there twice"),
        ({"parts": PARTS, "stands": "A 0 0 0"}, "a stand is rated for more than nothing"),
    ],
)  # fmt: skip
def test_what_cannot_be_meant_is_refused(given, what):
    """Each says what is missing or wrong, and where."""
    with pytest.raises(BadInput, match=what):
        balance(**given)


def test_loads_that_contradict_are_refused():
    """A centre of gravity under the ground, or an axle raised by the whole wheelbase."""
    scales = {"front_kg": 500.0, "rear_kg": 500.0, "wheelbase_m": 2.0, "radius_m": 0.3}
    with pytest.raises(OutsideLimits, match="under the ground"):
        balance(**scales, raised_m=0.5, tilted_kg=400.0)
    with pytest.raises(OutsideLimits, match="less than the wheelbase"):
        balance(**scales, raised_m=2.0, tilted_kg=600.0)


@given(st.floats(1, 1e4), st.floats(1, 1e4), st.floats(0.5, 3))
@settings(max_examples=25)
def test_left_and_right_are_mirror_images(left, right, track):
    """Changing sides changes the sign, and no load lies outside its wheels."""
    found = to_the_right_m(left, right, track)
    assert found == pytest.approx(-to_the_right_m(right, left, track))
    assert abs(found) <= track / 2


def test_the_picture_says_where_the_weight_lies():
    """In words too, for whoever cannot see it."""
    (drawing,) = balance(parts=PARTS, wheelbase_m=2.3, track_m=1.3).drawings
    assert "648 mm inside the nearest edge of the polygon round 4 feet" in drawing.words
    assert degrees(balance(parts=PARTS, wheelbase_m=2.3, track_m=1.3)["tips_at"]) > 30
