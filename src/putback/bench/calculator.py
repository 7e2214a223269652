"""What a calculator is: what it asks for, and an answer that knows how it came about.

A calculator is a pure function on plain floats in SI. It gives an `Answer`, and page, command,
paper and tests all show that one record. Figures keep their quantity, so that whoever shows them
can write metric and imperial; nothing here knows how a person types or reads.
"""

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from enum import StrEnum
from typing import Any

from putback.errors import BadInput


class Quantity(StrEnum):
    """What a figure measures; its unit inside is SI (angles in radians, temperatures in °C)."""

    NUMBER = "number"
    COUNT = "count"
    TEXT = "text"
    CHOICE = "choice"
    YES = "yes or no"
    LENGTH = "length"  # m
    AREA = "area"  # m²
    VOLUME = "volume"  # m³
    ANGLE = "angle"  # rad
    MASS = "mass"  # kg
    FORCE = "force"  # N
    TORQUE = "torque"  # N·m
    STRESS = "stress"  # Pa; shown as MPa or psi
    PRESSURE = "pressure"  # Pa; shown as bar or psi
    TEMPERATURE = "temperature"  # °C
    TIME = "time"  # minutes
    SHARE = "share"  # 1; shown in per cent
    PITCH = "threads per length"  # 1/m; shown as threads per inch
    LINES = "lines"  # text of several lines, read by the calculator itself


TAPE_M, RULE_M = 1e-3, 1e-4
"""How finely a tape is read over a vehicle, and a rule or calliper at the vice [m]."""


@dataclass(frozen=True, slots=True)
class Asked:
    """One thing a calculator asks for.

    ``name`` is typed on the command line, ``argument`` is the function's keyword (with its unit).
    ``default`` is as a person would type it; without one the field must be given, unless it
    `is_optional` (the function then gets None). ``low`` and ``high`` are in SI and included.
    """

    name: str
    argument: str
    words: str
    quantity: Quantity
    default: str = ""
    hint: str = ""
    choices: tuple[str, ...] = ()
    low: float | None = None
    high: float | None = None
    is_optional: bool = False
    bare: str = ""
    """The unit of a number typed without one; empty where such a number is refused."""
    meant: Callable[[str], tuple[str, ...]] | None = None
    """Tells which choices somebody may mean who typed none of them, such as a thread's name."""


@dataclass(frozen=True, slots=True)
class Figure:
    """One number, word or yes/no with what it measures; ``plus_minus`` in the same unit.

    ``step`` says how finely it is meant to be read, in the same unit (`TAPE_M`, `RULE_M`); without
    one it is shown as finely as the usual instrument for its size reads.
    """

    name: str
    words: str
    value: float | int | str | bool | None
    quantity: Quantity = Quantity.NUMBER
    plus_minus: float | None = None
    low: float | None = None
    high: float | None = None
    step: float | None = None


@dataclass(frozen=True, slots=True)
class Step:
    """One formula with its numbers: ``S = T L / (L + E cos θ)``.

    Every symbol of the formula that has a figure is a key of ``symbols``; `put_in` writes the
    formula with the numbers in their places.
    """

    formula: str
    symbols: Mapping[str, Figure]
    gives: Figure
    source: str = ""

    def put_in(self, show: Callable[[Figure], str]) -> str:
        """Write the right-hand side with the figures in place of their symbols."""
        _, _, right = self.formula.partition("=")
        names = sorted(self.symbols, key=len, reverse=True)
        if not names:
            return right.strip()
        pattern = "|".join(rf"(?<!\w){re.escape(name)}(?!\w)" for name in names)
        return re.sub(pattern, lambda found: show(self.symbols[found[0]]), right).strip()


@dataclass(frozen=True, slots=True)
class Table:
    """Rows of an answer: candidates, cuts, points; each cell a figure."""

    title: str
    head: tuple[str, ...]
    rows: tuple[tuple[Figure, ...], ...]


@dataclass(frozen=True, slots=True)
class Shape:
    """One line of a drawing: points [m] in drawing axes (y up), joined in order.

    ``role`` says how it is drawn: ``outline``, ``thin``, ``hidden``, ``accent``, ``warn``, ``dot``
    (its points one by one), ``text`` (``words`` at its first point).
    """

    role: str
    points_m: tuple[tuple[float, float], ...]
    words: str = ""


@dataclass(frozen=True, slots=True)
class Drawing:
    """A picture to scale; told in words as well, for whoever cannot see it."""

    title: str
    words: str
    shapes: tuple[Shape, ...]


@dataclass(frozen=True, slots=True)
class Answer:
    """What a calculator found, and all that is needed to believe it.

    ``verdict`` is one sentence in the trade's words; ``results`` has what was asked, the most
    wanted first; ``limits`` says where the formula holds, ``cautions`` what could hurt.
    """

    calculator: str
    inputs: tuple[Figure, ...]
    results: tuple[Figure, ...]
    verdict: str
    steps: tuple[Step, ...] = ()
    tables: tuple[Table, ...] = ()
    drawings: tuple[Drawing, ...] = ()
    sources: tuple[str, ...] = ()
    limits: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()

    def __getitem__(self, name: str) -> Any:
        """Give the value of a result by its name."""
        for figure in self.results:
            if figure.name == name:
                return figure.value
        raise KeyError(name)


@dataclass(frozen=True, slots=True)
class Calculator:
    """A calculator by its name, with what it asks for; ``work`` is the pure function."""

    name: str
    title: str
    words: str
    asked: tuple[Asked, ...]
    work: Callable[..., Answer]
    example: Mapping[str, str]
    """What a person might type, by the names of `asked`: for docs, tests and the form's hint."""


@dataclass(eq=False)
class OutsideLimits(BadInput):
    """A figure lies where the formula does not hold; nothing is extrapolated."""

    field: str = ""
