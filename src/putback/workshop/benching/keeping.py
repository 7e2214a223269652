"""An answer of the bench kept in the logbook: as a note, or as a reading."""

import shlex
from collections.abc import Mapping

from putback.bench.calculator import Answer, Calculator, Figure
from putback.errors import BadInput
from putback.logbook.entries.base import Body, Subject
from putback.logbook.entries.working import Measured, NoteMade
from putback.workshop.benching.document import SI_UNIT

KEPT_ON = ("part", "joint", "assembly")
"""What an answer can be kept on."""


def command_line(calculator: Calculator, typed: Mapping[str, str]) -> str:
    """Write the command that gives the answer again; an empty field is left out."""
    asked = [each.name for each in calculator.asked]
    given = [
        f"{name}={' | '.join(value.splitlines())}"
        for name in asked
        if (value := typed.get(name, "").strip())
    ]
    return shlex.join(["putback", "bench", calculator.name, *given])


def as_note(
    calculator: Calculator, typed: Mapping[str, str], answer: Answer, on: Subject
) -> NoteMade:
    """Write an answer down as a note that says how to come by it again."""
    said = answer.verdict.rstrip(".")
    again = " ".join(command_line(calculator, typed).split())
    return NoteMade(text=f"{calculator.title}: {said}. ({again})", of=(on,))


def readings_of(answer: Answer) -> tuple[Figure, ...]:
    """Give the results that can be kept as a reading: those that are numbers."""
    return tuple(
        each
        for each in answer.results
        if isinstance(each.value, (int, float)) and not isinstance(each.value, bool)
    )


def as_reading(answer: Answer, named: str, on: Subject) -> Measured:
    """Write one result down as a reading of a part or joint, in SI.

    Raises
    ------
    BadInput
        The answer has no such result, or it is no number.
    """
    numbers = {each.name: each for each in readings_of(answer)}
    if (figure := numbers.get(named)) is None:
        raise BadInput(
            f"{named!r} is no number that this answers with",
            mend=f"it could be {', '.join(numbers)}" if numbers else "keep it as a note",
        )
    return Measured(
        of=on,
        what=figure.words,
        value=float(figure.value or 0),
        unit=SI_UNIT.get(figure.quantity, ""),
        low=figure.low,
        high=figure.high,
    )


def kept(
    calculator: Calculator,
    typed: Mapping[str, str],
    answer: Answer,
    on: Subject,
    reading: str = "",
) -> tuple[Body, ...]:
    """Give what is logged: the note, and the reading that goes with it if one is named."""
    note = as_note(calculator, typed, answer, on)
    return (note, as_reading(answer, reading, on)) if reading else (note,)
