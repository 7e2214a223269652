"""Figures on paper in the units that are wanted, and the closed words around them."""

import pytest

from putback.errors import NotFound
from putback.language import reteller
from putback.paper.language import words_in
from putback.paper.words import ENGLISH
from putback.planning.plan import Action
from putback.planning.rebuild.torque import torque_words
from putback.vehicle.ids import JointId
from putback.vehicle.joint import Does, FinalWhen, Joint, Stage, Tightening, TorqueOrigin
from putback.workshop.plans.job_card import _STANDS_FOR
from putback.workshop.printing.units import Units, torque_in, units_called


def joint(*stages: Stage, origin: TorqueOrigin | None = None, condition: str = "") -> Joint:
    """One with a figure of 38 N·m."""
    tightening = Tightening(38.0, origin, condition, stages)
    return Joint(JointId("a"), "a", (), tightening=tightening)


@pytest.mark.parametrize(
    ("units", "said"),
    [
        (Units.METRIC, "640 mm"),
        (Units.IMPERIAL, "25 3/16 in"),
        (Units.BOTH, "640 mm (25 3/16 in)"),
    ],
)
def test_a_pipe_is_as_long_as_a_tape_tells(units, said):
    """640 mm are 25.197 in (1 in is 25.4 mm, NIST SP 811), and a tape has sixteenths: 25.1875."""
    assert units.run_length(0.64) == said


@pytest.mark.parametrize(
    ("units", "torque", "length", "mass"),
    [
        (Units.METRIC, "38 N·m", "12.7 mm", "4.5 kg"),
        (Units.IMPERIAL, "28 lbf·ft", "1/2 in", "9.9 lb"),
        (Units.BOTH, "38 N·m (28 lbf·ft)", "12.7 mm (1/2 in)", "4.5 kg (9.9 lb)"),
    ],
)
def test_a_figure_is_written_in_the_units_wanted(units, torque, length, mass):
    """1 lbf·ft is 1.3558 N·m, 1 in is 25.4 mm, 1 lb is 0.45359 kg (NIST SP 811, appendix B)."""
    assert units.torque(38.0) == torque
    assert units.length(0.0127) == length
    assert units.mass(4.5) == mass
    assert units_called(f" {units.upper()} ") is units


def test_units_nobody_has_are_refused():
    """With those there are."""
    with pytest.raises(NotFound, match="metric"):
        units_called("cubits")


@pytest.mark.parametrize(
    "told",
    [
        joint(origin=TorqueOrigin.MAKER, condition="oiled"),
        joint(Stage(20.0), Stage(angle_deg=90.0)),
        Joint(JointId("a"), "a", ()),
    ],
)
def test_in_english_and_both_units_a_figure_is_as_the_plan_tells_it(told):
    """So that a card and a page never differ."""
    assert torque_in(ENGLISH, Units.BOTH, told) == torque_words(told)


def test_a_figure_is_told_in_german():
    """Stages, the condition of the thread and by whose word."""
    told = joint(Stage(angle_deg=90.0), origin=TorqueOrigin.MAKER)
    german = words_in("de").respell
    assert german(torque_in(ENGLISH, Units.METRIC, told)) == "38 N·m, dann 90°, Angabe: Hersteller"
    told = joint(origin=TorqueOrigin.HANDBOOK, condition="copper grease")
    said = german(torque_in(ENGLISH, Units.BOTH, told))
    assert said == "38 N·m (28 lbf·ft), copper grease, Angabe: Handbuch"


def test_every_closed_word_of_the_planner_has_a_german_one():
    """Verbs of jobs, when a joint is tightened for good, what moves, by whose word a figure is."""
    assert set(_STANDS_FOR) == set(Action)
    said = {*_STANDS_FOR.values(), *FinalWhen, *TorqueOrigin, *Does, *(f"it {e}" for e in Does)}
    untold = [each for each in said if not reteller("de").told(str(each)).is_known]
    assert untold == []
    assert words_in("de").respell("It falls: the pump") == "Es fällt: the pump"
