"""From the pedal to the pads; fluids; the order to bleed."""

from math import pi

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from putback.bench.brake import (
    GRADES,
    bleed_order,
    circle_area_m2,
    line_pressure_pa,
    may_mix,
    moved_m3,
    pipe_volume_m3,
    piston_force_n,
    read_wheels,
    work,
)
from putback.bench.calculator import OutsideLimits
from putback.errors import BadInput

FOUR = """
RF floating 54 1 0.15 1900
LF floating 54 1 0.15 800   # beside the master cylinder
RR drum 19.05 2 0.8 4200
LR drum 19.05 2 0.8 3600
"""
PLAIN = {
    "pedal_n": 400.0,
    "ratio": 5.0,
    "boost": 1.0,
    "bore_m": 0.01905,
    "pipe_m": 0.00333,
    "fluid": "DOT 4",
    "unit": "mm",
}
sizes = st.floats(5e-3, 0.1)


def cell(answer, wheel, name):
    """A cell of the table of wheels."""
    (row,) = (row for row in answer.tables[0].rows if row[0].value == wheel)
    return next(figure.value for figure in row if figure.name == name)


@settings(max_examples=50)
@given(st.floats(1, 3000), st.floats(0.5, 20), sizes, sizes)
def test_forces_go_as_areas_and_travels_against_them(force, ratio, bore, piston):
    """Work in is work out: force times travel is the same at the pedal and at the piston."""
    pressure = line_pressure_pa(force, ratio, 1.0, bore)
    out_n = piston_force_n(pressure, piston)
    assert out_n == pytest.approx(force * ratio * (piston / bore) ** 2)
    pedal_m = moved_m3(piston, 1e-3) / circle_area_m2(bore) * ratio
    assert force * pedal_m == pytest.approx(out_n * 1e-3)


def test_longest_pipe_is_bled_first():
    """Common practice: from the far wheel to the near one."""
    assert bleed_order(read_wheels(FOUR, "mm")) == ("RR", "LR", "RF", "LF")
    assert work(**PLAIN, wheels=FOUR)["bleed"] == "RR, LR, RF, LF"


def test_a_wheel_without_a_pipe_is_left_out():
    """What was not measured has no place in the order."""
    assert bleed_order(read_wheels("A drum 20 2 1\nB drum 20 2 1 0", "mm")) == ("B",)


def test_a_pad_gets_the_pistons_of_its_side():
    """A floating caliper's one piston presses both pads; of four opposed, two press each."""
    answer = work(**PLAIN, wheels="A floating 50 1|B opposed 50 4|C drum 50 2")
    one_n = answer["pressure"] * pi / 4 * 0.05**2
    assert cell(answer, "A", "side") == pytest.approx(one_n)
    assert cell(answer, "B", "side") == pytest.approx(2 * one_n)
    assert cell(answer, "B", "push") == pytest.approx(4 * one_n)
    assert cell(answer, "C", "side") == pytest.approx(one_n)


def test_fluid_and_stroke_are_summed_over_the_wheels():
    """The master cylinder moves what all pistons take up."""
    answer = work(**PLAIN, wheels=FOUR, stroke_m=0.006)
    volume = 2 * pi / 4 * 0.054**2 * 0.15e-3 + 4 * pi / 4 * 0.01905**2 * 0.8e-3
    assert answer["moved"] == pytest.approx(volume)
    assert answer["stroke"] == pytest.approx(volume / (pi / 4 * 0.01905**2))
    assert answer["pedal_travel"] == pytest.approx(5 * answer["stroke"])
    assert answer["held"] == pytest.approx(pipe_volume_m3(0.00333, 10.5))
    assert answer["enough"] is True
    assert work(**PLAIN, wheels=FOUR, stroke_m=0.005)["enough"] is False


def test_fluid_is_not_summed_where_travel_is_not_known():
    """A wheel without its travel gives no stroke, and none is called enough."""
    answer = work(**PLAIN, wheels="RF drum 20 2 | LF drum 20 2 0.8 700")
    assert not {"moved", "stroke", "pedal_travel"} & {each.name for each in answer.results}
    assert answer["held"] == pytest.approx(pipe_volume_m3(0.00333, 0.7))
    for wheels in "RF drum 20 2 | LF drum 20 2 0.8 700", None:
        with pytest.raises(OutsideLimits, match="how far the pistons still have to go") as caught:
            work(**PLAIN, wheels=wheels, stroke_m=0.02)
        assert caught.value.field == "wheels"
    bare = work(**PLAIN, wheels="RF drum 20 2")
    assert "held" not in {each.name for each in bare.results}


@pytest.mark.parametrize("one", GRADES)
@pytest.mark.parametrize("other", GRADES)
def test_only_glycol_mixes(one, other):
    """DOT 3, 4 and 5.1 with one another; silicone and mineral oil with nothing else."""
    glycol = {"DOT 3", "DOT 4", "DOT 5.1"}
    assert may_mix(one, other) == (one == other or {one, other} <= glycol)
    verdict = work(**{**PLAIN, "fluid": one}, there=other).verdict
    assert ("Never put" in verdict) != may_mix(one, other)


@pytest.mark.parametrize(
    ("line", "message"),
    [
        ("A disk 50 1", "line 1 of wheels: 'disk' is no kind of brake"),
        ("A drum 50", "line 1 of wheels: the number of pistons is missing"),
        ("A drum 0 2", "line 1 of wheels: a size below zero, or no diameter"),
        ("A opposed 50 3", "line 1 of wheels: 3 pistons cannot be opposed"),
        ("A drum 50 1.5", r"line 1 of wheels: 1.5 is no number of pistons"),
        ("A drum 50 2 1 2 3", "line 1 of wheels: '3' is one too many"),
        ("A drum 50 2\nA drum 50 2", "line 2 of wheels: there is a wheel A already"),
    ],
)
def test_a_line_that_is_no_wheel_is_refused(line, message):
    """The message names the line and what it should be."""
    with pytest.raises(BadInput, match=message):
        read_wheels(line, "mm")


def test_a_pressure_beyond_any_such_brake_is_refused():
    """A wrong bore or ratio, rather than a pressure to believe."""
    with pytest.raises(OutsideLimits, match="bar is more than such brakes are made for"):
        work(**{**PLAIN, "pedal_n": 3000.0})
