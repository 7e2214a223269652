"""Pipe ends cut open: angles as the form has them, both sides alike, told in words."""

from math import atan2, degrees

import pytest

from putback.bench.calculator import Drawing
from putback.bench.ends.calculator import work
from putback.bench.ends.mating import ends

DRAWN = [code for code, end in ends().items() if end.form.name not in ("banjo", "taper")]


def steepest(drawing: Drawing, role: str) -> float:
    """The angle to the axis of the line that goes up most, level and square ones apart."""
    angles = [
        degrees(atan2(abs(y2 - y1), abs(x2 - x1)))
        for shape in drawing.shapes
        if shape.role == role
        for (x1, y1), (x2, y2) in zip(shape.points_m, shape.points_m[1:], strict=False)
        if abs(y2 - y1) > 1e-9 and abs(x2 - x1) > 1e-9
    ]
    return max(angles, default=0.0)


@pytest.mark.parametrize(
    ("end", "flare", "seat"), [("SAE 3/16", 45, 42), ("JIC 1/4", 37, 37), ("flare 45 1/4", 45, 45)]
)
def test_flare_and_seat_have_the_angles_of_the_form(end, flare, seat):
    """SAE J533: a flare of 45° on a seat of 42°; SAE J514: 37° both."""
    (drawing,) = work(end).drawings
    outer = next(shape for shape in drawing.shapes if shape.role == "outline").points_m
    assert degrees(atan2(outer[2][1] - outer[1][1], outer[2][0] - outer[1][0])) == pytest.approx(
        flare
    )
    assert steepest(drawing, "accent") == pytest.approx(seat)


@pytest.mark.parametrize("end", DRAWN)
def test_both_sides_of_the_axis_are_alike(end):
    """Whatever is drawn above it is drawn below it."""
    (drawing,) = work(end).drawings
    lines = {shape.points_m for shape in drawing.shapes if shape.role not in ("text", "hidden")}
    assert lines == {tuple((x, -y) for x, y in line) for line in lines}
    assert ends()[end].form.words in drawing.words


def test_the_port_is_drawn_beneath_where_it_is_made_for_another_form():
    """So that it is seen why they do not mate; nothing is drawn of a thread alone."""
    assert len(work("SAE 3/16", "ISO 4.75").drawings) == 2
    assert len(work("SAE 3/16", "BSF 3/16").drawings) == 1
    assert work("banjo M10").drawings == ()
    assert work("M10x1").drawings == ()
