"""An answer of the bench kept in the logbook: as a note, or as a reading."""

import re
import shlex
from collections.abc import Mapping
from dataclasses import dataclass

from putback.bench.calculator import Answer, Calculator, Figure
from putback.errors import BadInput, InputError
from putback.logbook.entries.base import Body, Subject
from putback.logbook.entries.working import Measured, NoteMade
from putback.logbook.state import State
from putback.units.scales import in_handy_unit, significant
from putback.units.show import System
from putback.vehicle.ids import PartId
from putback.workshop.benching.showing import KINDS
from putback.workshop.benching.wording import input_named
from putback.workshop.saying.names import find_subject

KEPT_ON = ("part", "joint", "assembly")
"""What an answer can be kept on."""
_LONGEST_COMMAND = 400
"""A longer one is for a file of lines [letters]."""


def command_line(calculator: Calculator, typed: Mapping[str, str]) -> str:
    """Write the command that gives the answer again; an empty field is left out."""
    by_name = {input_named(calculator, name): text.strip() for name, text in typed.items()}
    given = [
        f"{each.name}={' | '.join(value.splitlines())}"
        for each in calculator.asked
        if (value := by_name.get(each.name, ""))
    ]
    return shlex.join(["putback", "bench", calculator.name, *given])


def short_command(calculator: Calculator, typed: Mapping[str, str]) -> str:
    """Write the command if somebody could type it; nothing where it has more lines than that."""
    command = command_line(calculator, typed)
    return command if len(command) <= _LONGEST_COMMAND else ""


def as_note(
    calculator: Calculator, typed: Mapping[str, str], answer: Answer, on: Subject
) -> NoteMade:
    """Write an answer down as a note that says how to come by it again."""
    said = answer.verdict.rstrip(".")
    again = " ".join(command_line(calculator, typed).split())
    return NoteMade(text=f"{calculator.title}: {said}. ({again})", of=(on,))


def readings_of(answer: Answer) -> tuple[Figure, ...]:
    """Give what can be kept as a reading: results that are numbers, then inputs that are."""
    results = {each.name: each for each in answer.results}
    inputs = (each for each in answer.inputs if each.name not in results)
    return tuple(
        each
        for each in (*answer.results, *inputs)
        if isinstance(each.value, (int, float)) and not isinstance(each.value, bool)
    )


def measures_of(state: State, named: str) -> tuple[str, ...]:
    """Give what a part's description asks to be measured, and what was measured of it before.

    Parameters
    ----------
    state : State
        Of its vehicle.
    named : str
        A subject, ``part:disc``, or the name of one; nothing else has measurements.
    """
    try:
        subject = find_subject(state, named, KEPT_ON)
    except InputError:
        return ()
    kind, _, identity = subject.partition(":")
    about = state.vehicle.parts.get(PartId(identity)) if kind == "part" else None
    common = state.common_of(subject)
    read = (each.what for each in common.readings) if common else ()
    return tuple(dict.fromkeys((*(about.measures if about else ()), *read)))


@dataclass(frozen=True, slots=True)
class AsReading:
    """Which result is kept as a reading; ``what`` it is called there, if not as it is here."""

    name: str
    what: str = ""


def as_reading(
    answer: Answer, wanted: AsReading, on: Subject, system: System = System.METRIC
) -> Measured:
    """Write one result down as a reading of a part or joint, in the unit it would be read in.

    Raises
    ------
    BadInput
        The answer has no such result, or it is no number.
    """
    numbers = {each.name: each for each in readings_of(answer)}
    if (figure := numbers.get(wanted.name)) is None:
        raise BadInput(
            f"{wanted.name!r} is no number that this answers with",
            mend=f"it could be {', '.join(numbers)}" if numbers else "keep it as a note",
        )
    value, unit, (low, high) = _as_read(figure, system)
    what = wanted.what.strip() or figure.words
    return Measured(of=on, what=what, value=value, unit=unit, low=low, high=high)


def _as_read(
    figure: Figure, system: System
) -> tuple[float, str, tuple[float | None, float | None]]:
    """Give a figure as it would be read off: number, unit, and its limits in that unit."""
    value = float(figure.value or 0)
    if (kind := KINDS.get(figure.quantity)) is None:
        is_count = isinstance(figure.value, int)
        number = value if is_count else float(significant(value, 4))
        return number, "", (figure.low, figure.high)
    number, unit, (low, high) = in_handy_unit(
        kind,
        value,
        system,
        plus_minus=figure.plus_minus,
        step=figure.step,
        others=(figure.low, figure.high),
    )
    return number, unit, (low, high)


_IMPERIAL = re.compile(
    r"(?<![a-z])(?:in|inch|inches|thou|mil|ft|feet|yd|lbs?|lbf|oz|ozf|psi|ksi|tpi|gal)(?![a-z])"
    r"|[\"'″′]|°? ?F$",
    re.IGNORECASE,
)


def system_typed(calculator: Calculator, typed: Mapping[str, str]) -> System:
    """Say in which system somebody measures: imperial where any figure was typed so."""
    measured = {each.name for each in calculator.asked if each.quantity in KINDS}
    texts = (text for name, text in typed.items() if input_named(calculator, name) in measured)
    is_imperial = any(_IMPERIAL.search(text) for text in texts)
    return System.IMPERIAL if is_imperial else System.METRIC


def kept(
    calculator: Calculator,
    typed: Mapping[str, str],
    answer: Answer,
    on: Subject,
    reading: AsReading | None = None,
) -> tuple[Body, ...]:
    """Give what is logged: the note, and the reading that goes with it if one is named."""
    note = as_note(calculator, typed, answer, on)
    if reading is None:
        return (note,)
    return (note, as_reading(answer, reading, on, system_typed(calculator, typed)))
