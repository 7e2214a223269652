"""The form of a calculator: its fields as they were typed, and what is wrong beside each."""

import re
from collections.abc import Mapping
from dataclasses import dataclass

from putback.bench.calculator import Asked, Calculator, Figure, Quantity
from putback.errors import InputError
from putback.workshop.benching.reading import read_field
from putback.workshop.benching.showing import figure_text
from putback.workshop.benching.wording import choice_shown, choice_words

_EXAMPLE = re.compile(r"(?:[A-Z]\w? ?)*[\"\d]|Nm\Z")
"""How a hint begins that is a thing to type, ``FL RR 3214``, and no words about it."""


@dataclass(frozen=True, slots=True)
class Field:
    """One thing that is asked for."""

    name: str
    words: str
    kind: str
    """``line``, ``lines``, ``choice``."""
    value: str
    hint: str
    choices: tuple[tuple[str, str], ...]
    """Each, and how it is shown: with what else it is called."""
    must: bool
    """Whether it has to be given."""
    may_be_empty: bool
    """Whether a choice has one for nothing."""
    fault: str


def typed_in(calculator: Calculator, sent: Mapping[str, str]) -> dict[str, str]:
    """Give what a request holds of the calculator's fields, and nothing else of it."""
    return {
        each.name: str(sent[each.name]).strip() for each in calculator.asked if each.name in sent
    }


def fields_of(
    calculator: Calculator, typed: Mapping[str, str], faults: Mapping[str, InputError]
) -> tuple[Field, ...]:
    """Fill the form: with what was typed, else with what is sensible."""
    return tuple(
        _field(calculator, each, typed.get(each.name, each.default), faults.get(each.name))
        for each in calculator.asked
    )


def _field(calculator: Calculator, asked: Asked, value: str, fault: InputError | None) -> Field:
    must = not (asked.default or asked.is_optional)
    words = choice_words(calculator.name, asked.name)
    kind, choices = "line", _choices(calculator, asked)
    if asked.quantity is Quantity.LINES:
        kind = "lines"
        value = "\n".join(line.strip() for line in value.replace("|", "\n").splitlines())
    elif asked.quantity is Quantity.YES:
        kind, choices = "choice", (("yes", "yes"), ("no", "no"))
    elif asked.quantity is Quantity.CHOICE:
        kind = "choice"
    if kind == "choice" and value and fault is None:
        value = figure_text(Figure("", "", read_field(asked, value, words), asked.quantity))
    return Field(
        name=asked.name,
        words=asked.words,
        kind=kind,
        value=value,
        hint=_hint(asked),
        choices=choices,
        must=must,
        may_be_empty=asked.is_optional or not (value or must),
        fault=str(fault) if fault else "",
    )


def _choices(calculator: Calculator, asked: Asked) -> tuple[tuple[str, str], ...]:
    return tuple((each, choice_shown(calculator.name, asked.name, each)) for each in asked.choices)


def _hint(asked: Asked) -> str:
    said = [f"like {asked.hint}" if _EXAMPLE.match(asked.hint) else asked.hint]
    if asked.bare:
        said.append(f"in {asked.bare} if no unit is typed")
    if asked.is_optional:
        said.append("may be left empty")
    return "; ".join(filter(None, said))
