"""What a step of the rebuild tells to look at, once and no more."""

from dataclasses import replace

import pytest

from tests.makers import vehicle
from tests.planning.rebuilding import apart, plan_of, step_in, with_joint


def notes(*heads: str) -> tuple[str, ...]:
    """The notes of a joint with two fixings of one stack, whose heads face so."""
    stack = "2 bolt M8x1.25x20 + plain washer M8 + nut M8"
    car = vehicle(f"lid - frame: {stack} & {stack}", datum="frame")
    fixings = car.joints["lid-frame"].fixings
    turned = tuple(replace(each, head=head) for each, head in zip(fixings, heads, strict=True))
    car = with_joint(car, "lid-frame", fixings=turned)
    return step_in(plan_of(car, apart(car, "lid-frame", "lid")), "make lid-frame").notes


def test_equal_fixings_are_told_once():
    """One stack, one line, however many fixings have it."""
    (order,) = notes("", "")
    assert order.startswith("in this order: bolt")


@pytest.mark.parametrize(
    ("head", "told"), [("outboard", "heads: outboard"), ("heads outboard", "heads outboard")]
)
def test_which_way_heads_face_is_told_in_plain_words(head, told):
    """However it was written; never twice."""
    assert notes(head, head)[0] == told


def test_where_fixings_differ_it_says_which():
    """One with its head outboard, one inboard."""
    found = notes("outboard", "inboard")
    assert "heads: outboard (a)" in found
    assert "heads: inboard (b)" in found
