"""Figures and formulas of an answer as people read them."""

import re

import pytest

from putback.bench.calculator import RULE_M, TAPE_M, Figure, Quantity, Step
from putback.units.show import System
from putback.workshop.benching.every import EVERY
from putback.workshop.benching.reading import work_out
from putback.workshop.benching.showing import figure_text, label, put_in, symbols_told


@pytest.mark.parametrize(
    ("figure", "shown"),
    [
        (Figure("x", "", 36.607, Quantity.TORQUE), "36.6 N·m (27 lbf·ft)"),
        (Figure("x", "", 0.0106, Quantity.LENGTH, plus_minus=2e-5), "10.600 ± 0.020 mm (0.417"),
        (Figure("x", "", 0.022859, Quantity.LENGTH), "22.859 mm (0.9 in)"),
        (Figure("x", "", 0.022859, Quantity.LENGTH, step=TAPE_M), "23 mm (0.9 in)"),
        (Figure("x", "", 0.018184, Quantity.LENGTH, step=RULE_M), "18.2 mm (0.716 in)"),
        (Figure("x", "", 5.1265, Quantity.LENGTH, step=0.01), "5130 mm (201.8 in)"),
        (Figure("x", "", 7.022501, Quantity.AREA, step=1e-6), "7.022501 m² (75.58957 ft²)"),
        (Figure("x", "", 2.48293), "2.483"),
        (Figure("x", "", 0.14, plus_minus=0.02), "0.14 ± 0.02"),
        (Figure("x", "", 11234.5, low=9443.5, high=12751.2), "11234, from 9444 to 12751"),
        (Figure("x", "", 5, Quantity.COUNT), "5"),
        (Figure("x", "", True, Quantity.YES), "yes"),
        (Figure("x", "", False, Quantity.YES), "no"),
        (Figure("x", "", None, Quantity.MASS), "not known"),
        (Figure("x", "", "M8x1", Quantity.TEXT), "M8x1"),
    ],
)
def test_a_figure_is_written_by_its_quantity(figure, shown):
    """Metric with imperial, scatter and range."""
    assert figure_text(figure).startswith(shown)


def test_imperial_comes_first_if_asked_for():
    """As somebody chose."""
    torque = Figure("x", "", 36.607, Quantity.TORQUE)
    assert figure_text(torque, System.IMPERIAL) == "27 lbf·ft (36.6 N·m)"


def test_a_label_begins_with_a_capital_and_a_symbol_stays():
    """An X is not an x."""
    said = {
        "nose weight": "Nose weight",
        "a point": "A point",
        "at": "At",
        "x": "x",
        "s0": "s0",
        "": "",
    }
    assert {words: label(words) for words in said} == said


TORQUE = Figure("T", "torque", 80.0, Quantity.TORQUE)
ARM = Figure("L", "arm", 0.4, Quantity.LENGTH)
EXTRA = Figure("E", "adaptor", 0.05, Quantity.LENGTH)
ANGLE = Figure("θ", "angle", 0.0, Quantity.ANGLE)
SYMBOLS = {"T": TORQUE, "L": ARM, "E": EXTRA, "θ": ANGLE}


@pytest.mark.parametrize(
    ("formula", "right"),
    [
        (
            "S = T L / (L + E cos θ)",
            "80 N·m × 400 mm / (400 mm + 50 mm × cos 0°)",
        ),
        ("S = π E² / 4", "π × (50 mm)² / 4"),
        ("S = π/4 (L - 0.94 E)^2", "π/4 × (400 mm - 0.94 × 50 mm)^2"),
        ("S = 1 / (L E)", "1 / (400 mm × 50 mm)"),
        ("S = 0.1 |L - 75 cm| per cm", "0.1 × |400 mm - 75 cm| per cm"),
        ("S = Table 5 (L, T)", "Table 5 (400 mm, 80 N·m)"),
        ("S = 2 sqrt(L)", "2 × sqrt(400 mm)"),
    ],
)
def test_a_formula_is_shown_with_its_numbers(formula, right):
    """What stands side by side is multiplied; words are left alone."""
    gives = Figure("S", "setting", 71.111, Quantity.TORQUE)
    said = put_in(Step(formula, SYMBOLS, gives))
    assert said == f"{formula} = {right} = 71.1 N·m (52.4 lbf·ft)"


def test_what_is_below_zero_stands_in_brackets():
    """Two signs in a row are misread."""
    offset = Figure("x", "", -17.75)
    step = Step("y = 80 - x", {"x": offset}, Figure("y", "", 97.75))
    assert put_in(step) == "y = 80 - x = 80 - (-17.75) = 97.75"


def test_a_formula_without_symbols_stands_alone():
    """There is nothing to put in."""
    assert put_in(Step("n = of the table", {}, Figure("n", "", 3))) == "n = of the table = 3"


def test_the_squares_of_diagonals_can_be_recomputed_from_what_is_shown():
    """The small difference of two large squares is lost if they are rounded."""
    (step,) = work_out(EVERY["diagonals"], EVERY["diagonals"].example).steps
    one, other = map(float, re.findall(r"([\d.]+) m²", put_in(step)))
    assert (one - other) / (4 * 2.5) == pytest.approx(step.gives.value, abs=1e-6)


def test_every_symbol_of_a_formula_is_explained():
    """That which it gives first."""
    force = Figure("F", "preload", 25e3, Quantity.FORCE)
    step = Step("T = K F", {"K": Figure("K", "nut factor", 0.2), "F": force},
                Figure("torque", "torque", 5.0, Quantity.TORQUE))  # fmt: skip
    assert symbols_told(step) == "T: torque; K: nut factor; F: preload"
