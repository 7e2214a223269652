"""Figures of an answer as people read them, metric and imperial."""

import re
from collections.abc import Mapping
from dataclasses import replace

from putback.bench.calculator import Figure, Quantity, Step
from putback.units.scales import Kind, measured_text, significant
from putback.units.show import System

NOT_KNOWN = "not known"
NONE = "–"
_FIGURES = 4
_SYMBOL = re.compile(r"\w\d*")
KINDS: Mapping[Quantity, Kind] = {
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
"""What is measured in units; the rest are numbers and words."""


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
    if (kind := KINDS.get(figure.quantity)) is not None:
        return measured_text(
            kind,
            value,
            system,
            plus_minus=figure.plus_minus,
            between=between,
            step=figure.step,
            both=both,
        )
    if between and not isinstance(value, int):
        value = float(significant(value))
    shown = _number(value)
    if figure.plus_minus:
        shown += f" ± {significant(figure.plus_minus, 2)}"
    return f"{shown}, from {_whole(between[0])} to {_whole(between[1])}" if between else shown


def label(words: str) -> str:
    """Begin what stands before a figure or over a column with a capital; a bare symbol does not.

    Examples
    --------
    >>> label("nose weight"), label("a reading is good to"), label("x"), label("d2")
    ('Nose weight', 'A reading is good to', 'x', 'd2')
    """
    return words if _SYMBOL.fullmatch(words) else words[:1].upper() + words[1:]


def cell_text(figure: Figure) -> str:
    """Write a figure in a table, where what there is none of is a dash."""
    return NONE if figure.value is None else figure_text(figure)


def _number(value: float) -> str:
    return str(value) if isinstance(value, int) else significant(value, _FIGURES)


def _whole(value: float) -> str:
    return significant(value)


def put_in(step: Step, system: System = System.METRIC) -> str:
    """Write a step with its numbers: ``S = T L / (L + E cos θ) = 50 N·m ... = 45.2 N·m``."""

    def short(figure: Figure) -> str:
        bare = replace(figure, plus_minus=None, low=None, high=None)
        text = figure_text(bare, system, both=False)
        return f"({text})" if text.startswith("-") else text

    gives = figure_text(step.gives, system)
    numbers = replace(step, formula=_with_times(step)).put_in(short)
    return f"{step.formula} = {numbers} = {gives}" if step.symbols else f"{step.formula} = {gives}"


def symbols_told(step: Step) -> str:
    """Say what each symbol of a formula is, that which it gives first.

    A name that says itself, such as ``drill`` for a tapping drill, is told as well: the longer
    words are clearer.
    """
    left = step.formula.partition("=")[0].strip()
    told = {left: step.gives, **step.symbols}
    return "; ".join(f"{symbol}: {figure.words}" for symbol, figure in told.items())


_FUNCTIONS = frozenset(
    {"√", "sqrt", "sin", "cos", "tan", "asin", "acos", "atan", "arcsin", "arccos", "arctan"}
    | {"atan2", "ln", "log", "exp", "min", "max", "abs"}
)
_BRACKETS = "()[]|"
_FACTOR = re.compile(r"\d[\d.,/]*|π(?:/\d+)?")


def _with_times(step: Step) -> str:
    """Write a × where two factors of a formula stand side by side, as in ``T L``.

    Their figures, each with its unit, could not be told apart otherwise. A symbol that is raised
    to a power is put in brackets, since its unit is raised as well; words are left as they are.
    """
    before, equals, right = step.formula.partition("=")
    for symbol in step.symbols:
        right = re.sub(rf"(?<!\w){re.escape(symbol)}(?=[\^²³⁴])", f"({symbol})", right)
    written: list[str] = []
    last_is_factor = last_is_word = False
    for term in right.split():
        core = re.split(r"[\^²³⁴]", term.strip(_BRACKETS))[0].strip(_BRACKETS)
        is_function = core in _FUNCTIONS or term.split("(")[0] in _FUNCTIONS
        is_factor = core in step.symbols or _FACTOR.fullmatch(core) is not None or not core
        is_word = not (is_factor or is_function) and re.match(r"\w", core) is not None
        opens = term[0] in "([|"
        if last_is_factor and (is_factor or is_function or (opens and not is_word)):
            written.append("×")
        written.append(term)
        last_is_factor = is_factor and not last_is_word
        last_is_word = is_word
    return f"{before}{equals} {' '.join(written)}"
