"""An answer of the bench as one plain document, for JSON: figures in SI, and as shown."""

from collections.abc import Iterable, Mapping
from typing import Any

from putback.bench.calculator import (
    Answer,
    Asked,
    Calculator,
    Drawing,
    Figure,
    Quantity,
    Step,
    Table,
)
from putback.workshop.benching.showing import figure_text, put_in

SI_UNIT: Mapping[Quantity, str] = {
    Quantity.LENGTH: "m",
    Quantity.AREA: "m²",
    Quantity.VOLUME: "m³",
    Quantity.ANGLE: "rad",
    Quantity.MASS: "kg",
    Quantity.FORCE: "N",
    Quantity.TORQUE: "N·m",
    Quantity.STRESS: "Pa",
    Quantity.PRESSURE: "Pa",
    Quantity.TEMPERATURE: "°C",
    Quantity.TIME: "min",
    Quantity.SHARE: "1",
    Quantity.PITCH: "1/m",
}
"""The unit of a figure's value inside; what is not here is a number or words."""


def answer_document(answer: Answer) -> dict[str, Any]:
    """Write an answer as mappings, sequences, numbers and words; inputs and results by name."""
    return {
        "calculator": answer.calculator,
        "verdict": answer.verdict,
        "inputs": _by_name(answer.inputs),
        "results": _by_name(answer.results),
        "steps": [_step(each) for each in answer.steps],
        "tables": [_table(each) for each in answer.tables],
        "drawings": [_drawing(each) for each in answer.drawings],
        "sources": answer.sources,
        "limits": answer.limits,
        "cautions": answer.cautions,
    }


def calculator_document(calculator: Calculator) -> dict[str, Any]:
    """Write what a calculator is and asks for; limits are in SI."""
    return {
        "name": calculator.name,
        "title": calculator.title,
        "words": calculator.words,
        "asked": [_asked(each) for each in calculator.asked],
        "example": dict(calculator.example),
    }


def _by_name(figures: Iterable[Figure]) -> dict[str, Any]:
    return {each.name: _figure(each) for each in figures}


def _figure(figure: Figure) -> dict[str, Any]:
    return {
        "words": figure.words,
        "value": figure.value,
        "unit": SI_UNIT.get(figure.quantity, ""),
        "quantity": figure.quantity.value,
        "plus_minus": figure.plus_minus,
        "low": figure.low,
        "high": figure.high,
        "shown": figure_text(figure),
    }


def _step(step: Step) -> dict[str, Any]:
    return {
        "formula": step.formula,
        "symbols": {symbol: _figure(each) for symbol, each in step.symbols.items()},
        "gives": _figure(step.gives) | {"name": step.gives.name},
        "put_in": put_in(step),
        "source": step.source,
    }


def _table(table: Table) -> dict[str, Any]:
    return {
        "title": table.title,
        "head": table.head,
        "rows": [[_figure(cell) for cell in row] for row in table.rows],
    }


def _drawing(drawing: Drawing) -> dict[str, Any]:
    shapes = [
        {"role": each.role, "points_m": each.points_m, "words": each.words}
        for each in drawing.shapes
    ]
    return {"title": drawing.title, "words": drawing.words, "shapes": shapes}


def _asked(asked: Asked) -> dict[str, Any]:
    return {
        "name": asked.name,
        "words": asked.words,
        "quantity": asked.quantity.value,
        "default": asked.default,
        "bare": asked.bare,
        "hint": asked.hint,
        "choices": asked.choices,
        "low": asked.low,
        "high": asked.high,
        "unit": SI_UNIT.get(asked.quantity, ""),
        "must_be_given": not (asked.default or asked.is_optional),
    }
