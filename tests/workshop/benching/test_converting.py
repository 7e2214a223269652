"""The calculator of units: its answer, and what it refuses at which field."""

import pytest

from putback.bench.calculator import Quantity
from putback.workshop.benching.converting import CALCULATOR
from putback.workshop.benching.reading import BadFields, work_out


def answer(value: str, to: str):
    """Convert."""
    return work_out(CALCULATOR, {"value": value, "to": to})


def test_a_torque_is_given_in_both_systems():
    """The number in the unit asked for, and the figure as everywhere."""
    found = answer("27 lbf ft", "Nm")
    assert found["number"] == pytest.approx(27 * 1.3558179483314004, rel=1e-15)
    assert found.results[1].quantity is Quantity.TORQUE
    assert found.verdict == "27 lbf ft = 36.6070846 Nm."


@pytest.mark.parametrize(
    ("value", "mark"),
    [("7.9375 mm", "5/16 in"), ("8 mm", "5/16 in and +0.06 mm"), ("38.1 mm", "1 1/2 in")],
)
def test_a_length_is_found_on_a_rule(value, mark):
    """The nearest sixty-fourth, and how far beyond it."""
    assert answer(value, "in")["mark"] == mark


def test_every_step_gives_what_it_says():
    """The formula with its numbers put in comes to the number."""
    for value, to, worked in (
        ("24 tpi", "mm", lambda s: 1 / (s["n"] * s["u"])),
        ("80 C", "F", lambda s: (s["x"] - s["z"]) / s["u"]),
        ("5 lb", "kg", lambda s: s["x"] / s["u"]),
    ):
        found = answer(value, to)
        (step,) = found.steps
        symbols = {name: figure.value for name, figure in step.symbols.items()}
        assert worked(symbols) == pytest.approx(found["number"], rel=1e-12)


@pytest.mark.parametrize(
    ("value", "to", "field"),
    [("5", "mm", "value"), ("5 mm", "Nm", "value"), ("5 Nm", "ells", "to"), ("5 l", "pint", "to")],
)
def test_what_is_wrong_is_told_at_its_field(value, to, field):
    """The unit where it is unknown or doubtful, else the value."""
    with pytest.raises(BadFields) as caught:
        answer(value, to)
    assert set(caught.value.faults) == {field}


def test_kilograms_of_force_are_said_to_be_a_weight():
    """Nobody is told a mass by mistake."""
    assert answer("500 N", "kg").limits == (
        "Kilograms and pounds count as weights under standard gravity.",
    )
