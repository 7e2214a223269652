"""The adaptor's answer: setting, what the fastener got, what is refused."""

from math import pi

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from putback.bench.adaptor import setting_nm, torque_from_setting_nm, work
from putback.bench.calculator import OutsideLimits

TORQUES = st.floats(1, 500)
LENGTHS = st.floats(0.15, 1.2)
ADAPTORS = st.floats(0, 0.1)
ANGLES = st.floats(0, pi)


def answer(**given):
    """80 N·m by a wrench of 0.4 m and an adaptor of 50 mm straight ahead, unless told else."""
    usual = {"torque_nm": 80.0, "length_m": 0.4, "adaptor_m": 0.05, "angle_rad": 0.0}
    return work(**{**usual, "set_nm": None, **given})


@settings(max_examples=50)
@given(TORQUES, LENGTHS, ADAPTORS, ANGLES)
def test_setting_and_torque_are_each_others_inverse(torque, length, adaptor, angle):
    """What the wrench is set to gives back the torque that was wanted."""
    there = setting_nm(torque, length, adaptor, angle)
    assert torque_from_setting_nm(there, length, adaptor, angle) == pytest.approx(torque)


@settings(max_examples=50)
@given(TORQUES, LENGTHS, ADAPTORS, ANGLES, st.floats(0.1, 10))
def test_only_the_shape_counts(torque, length, adaptor, angle, scale):
    """A wrench and adaptor twice as long have the same setting; torque and setting scale alike."""
    found = setting_nm(torque, length, adaptor, angle)
    assert setting_nm(torque, scale * length, scale * adaptor, angle) == pytest.approx(found)
    assert setting_nm(scale * torque, length, adaptor, angle) == pytest.approx(scale * found)


@settings(max_examples=50)
@given(TORQUES, LENGTHS, ADAPTORS)
def test_square_changes_nothing_and_sides_are_alike(torque, length, adaptor):
    """At 90 degrees the setting is the torque; below it is less, above more."""
    assert setting_nm(torque, length, adaptor, pi / 2) == pytest.approx(torque)
    assert setting_nm(torque, length, adaptor, 0) <= torque * (1 + 1e-12)
    assert setting_nm(torque, length, adaptor, pi) >= torque * (1 - 1e-12)


def test_the_answer_says_which_way():
    """Straight ahead lower, square the same, turned back higher, with the numbers put in."""
    found = answer()
    assert found["setting"] == pytest.approx(80 * 0.4 / 0.45)
    assert found.verdict == "Set the wrench 11% lower: the adaptor adds to its arm."
    assert answer(angle_rad=pi / 2).verdict.endswith("this adaptor changes nothing.")
    assert "14% higher" in answer(angle_rad=pi).verdict
    assert found.steps[0].put_in(lambda figure: f"{figure.value:g}") == (
        "80 0.4 / (0.4 + 0.05 cos 0)"
    )


def test_what_the_fastener_got_is_told_when_asked():
    """A wrench set to the full torque overdoes it with an adaptor straight ahead."""
    found = answer(set_nm=80.0)
    assert found["got"] == pytest.approx(90.0)
    assert found.verdict.endswith("; as it was set, the fastener got 112% of the torque.")
    with pytest.raises(KeyError):
        answer()["got"]


def test_an_adaptor_that_eats_the_arm_is_refused():
    """Turned back, an adaptor nearly as long as the wrench leaves no arm to pull at."""
    with pytest.raises(OutsideLimits, match="takes nearly all of the wrench's arm away") as raised:
        answer(adaptor_m=0.35, angle_rad=pi)
    assert raised.value.field == "angle"


def test_the_drawing_is_to_scale():
    """Grip, square and fastener lie as the wrench lies."""
    (drawing,) = answer(angle_rad=pi / 2).drawings
    dots = next(shape for shape in drawing.shapes if shape.role == "dot").points_m
    assert dots[0] == (-0.4, 0.0)
    assert dots[2] == pytest.approx((0.0, 0.05))
