"""Figures of an answer as people read them, metric and imperial."""

import re
from collections.abc import Mapping
from dataclasses import replace

from putback.bench.calculator import Figure, Quantity, Step
from putback.units.scales import Kind, measured_text, significant
from putback.units.show import System

NOT_KNOWN = "not known"
_FIGURES = 5
_KINDS: Mapping[Quantity, Kind] = {
    Quantity.LENGTH: Kind.LENGTH,
    Quantity.AREA: Kind.AREA,
    Quantity.VOLUME: Kind.VOLUME,
    Quantity.ANGLE: Kind.ANGLE,
    Quantity.MASS: Kind.MASS,
    Quantity.FORCE: Kind.FORCE,
    Quantity.TORQUE: Kind.TORQUE,
    Quantity.STRESS: Kind.STRESS,
    Quantity.PRESSURE: Kind.PRESSURE,
    Quantity.TEMPERATURE: Kind.TEMPERATURE,
    Quantity.TIME: Kind.TIME,
    Quantity.SHARE: Kind.SHARE,
    Quantity.PITCH: Kind.PITCH,
}


def figure_text(figure: Figure, system: System = System.METRIC, *, both: bool = True) -> str:
    """Write a figure with its unit, its scatter and the range it lies in."""
    value = figure.value
    if value is None:
        return NOT_KNOWN
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, str):
        return value
    between = (
        (figure.low, figure.high) if figure.low is not None and figure.high is not None else None
    )
    if (kind := _KINDS.get(figure.quantity)) is not None:
        return measured_text(
            kind, value, system, plus_minus=figure.plus_minus, between=between, both=both
        )
    shown = _number(value)
    if figure.plus_minus:
        shown += f" ± {significant(figure.plus_minus, 2)}"
    return f"{shown}, from {_number(between[0])} to {_number(between[1])}" if between else shown


def _number(value: float) -> str:
    return str(value) if isinstance(value, int) else significant(value, _FIGURES)


def put_in(step: Step, system: System = System.METRIC) -> str:
    """Write a step with its numbers: ``S = T L / (L + E cos θ) = 50 N·m ... = 45.2 N·m``."""

    def short(figure: Figure) -> str:
        bare = Figure(figure.name, figure.words, figure.value, figure.quantity)
        text = figure_text(bare, system, both=False)
        return f"({text})" if text.startswith("-") else text

    gives = figure_text(step.gives, system)
    numbers = replace(step, formula=_with_times(step.formula)).put_in(short)
    return f"{step.formula} = {numbers} = {gives}" if step.symbols else f"{step.formula} = {gives}"


_FUNCTION = re.compile(
    r".*\b(?:sqrt|a?cos|a?sin|a?tan2?|ln|log|exp|min|max|abs|sum|of|and|or)|.*[√Σ]"
)


def _with_times(formula: str) -> str:
    """Write a × wherever two terms of a formula stand side by side, as ``T L`` does.

    Numbers with their units side by side could not be told apart.
    """
    before, equals, right = formula.partition("=")
    terms = right.split()
    written: list[str] = []
    for term in terms:
        if written and _is_factor_end(written[-1]) and re.match(r"[\w(\[|√Σ]", term):
            written.append("×")
        written.append(term)
    return f"{before}{equals} {' '.join(written)}"


def _is_factor_end(term: str) -> bool:
    return re.search(r"[\w)\]|'°]$", term) is not None and not _FUNCTION.fullmatch(term)
