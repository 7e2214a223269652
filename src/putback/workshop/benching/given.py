"""What was put into a calculator, as it was typed and as it was understood."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from putback.bench.calculator import Asked, Calculator, Figure, Quantity
from putback.workshop.benching.reading import Value, read
from putback.workshop.benching.showing import figure_text
from putback.workshop.benching.wording import input_named


@dataclass(frozen=True, slots=True)
class Given:
    """One thing that was put in; ``understood`` is empty where it is what was typed."""

    name: str
    words: str
    typed: str
    understood: str
    is_usual: bool
    """Whether nobody typed it, so that it is what is usual."""


def given(calculator: Calculator, typed: Mapping[str, str]) -> tuple[Given, ...]:
    """Give what a calculator worked with; what was left out, and may be, is not there.

    Raises
    ------
    BadFields
        Something that was typed cannot be meant.
    """
    return tuple(_given(calculator, typed, read(calculator, typed)))


def _given(
    calculator: Calculator, typed: Mapping[str, str], values: Mapping[str, Value]
) -> Iterator[Given]:
    by_name = {input_named(calculator, name): text.strip() for name, text in typed.items()}
    for each in calculator.asked:
        value = values[each.argument]
        if value is None:
            continue
        said = by_name.get(each.name, "")
        text = said or each.default
        yield Given(each.name, each.words, _lined(each, text), _shown(each, value, text), not said)


def _lined(asked: Asked, text: str) -> str:
    """Write lines that were typed as one, with strokes between them, as lines."""
    if asked.quantity is not Quantity.LINES:
        return text
    return "\n".join(line.strip() for line in text.replace("|", "\n").splitlines())


def _shown(asked: Asked, value: Value, text: str) -> str:
    """Write what it was taken for, unless that is what stands there already."""
    if asked.quantity in (Quantity.TEXT, Quantity.LINES):
        return ""
    shown = figure_text(Figure(asked.name, asked.words, value, asked.quantity))
    return "" if shown == text else shown
