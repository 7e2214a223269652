"""Reading what is typed into a calculator's fields, each by its quantity."""

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from fractions import Fraction
from types import MappingProxyType

from putback.bench.calculator import Answer, Asked, Calculator, Figure, OutsideLimits, Quantity
from putback.errors import BadInput, InputError, NotFound
from putback.units import parse
from putback.units.figures import NUMBER, is_grouped, read_number, tidy
from putback.vehicle.nearest import SeveralMeant, find, fold_words
from putback.workshop.benching.showing import figure_text
from putback.workshop.benching.wording import choice_words, folded, input_named

Value = float | int | str | bool | None

_LONGEST_LINES = 20_000  # characters: 400 distances are not half of it
_LONGEST = 200
_MOST_NAMED = 6
_YES = frozenset({"yes", "y", "true", "on", "1"})
_NO = frozenset({"no", "n", "false", "off", "0"})
_PER_INCH = re.compile(r"\b(?:tpi|threads?)\b|(?<=\d)tpi\b", re.IGNORECASE)
_PITCH = "pitch_m"
"""What takes threads per inch too, if they say so."""
_MEASURES: Mapping[Quantity, Callable[..., float]] = {
    Quantity.LENGTH: parse.length_m,
    Quantity.AREA: parse.area_m2,
    Quantity.VOLUME: parse.volume_m3,
    Quantity.ANGLE: parse.angle_rad,
    Quantity.MASS: parse.mass_kg,
    Quantity.FORCE: parse.force_n,
    Quantity.TORQUE: parse.torque_nm,
    Quantity.STRESS: parse.stress_pa,
    Quantity.PRESSURE: parse.pressure_pa,
    Quantity.TEMPERATURE: parse.temperature_c,
    Quantity.TIME: parse.duration_minutes,
    Quantity.PITCH: parse.pitch_per_m,
}


@dataclass(eq=False)
class BadFields(InputError):
    """Fields of a calculator that cannot be meant; ``faults`` has what is wrong by its field."""

    calculator: str
    faults: Mapping[str, InputError]

    def fault(self) -> str:
        """What is wrong, one field a line."""
        if len(self.faults) == 1:
            (error,) = self.faults.values()
            return error.fault()
        said = (f"{name}: {error}" for name, error in self.faults.items())
        return "\n  - ".join([f"{len(self.faults)} inputs are wrong:", *said])

    def place(self) -> str:
        """Which calculator, and which field or line of it where it is one."""
        ((name, error), *others) = self.faults.items()
        where = "" if others else f", {place}" if (place := error.place()) else f" {name}"
        return f"bench {self.calculator}{where}"

    def remedy(self) -> str:
        """How to mend the one fault; with several each says it."""
        (first, *others) = self.faults.values()
        return "" if others else first.remedy()


def work_out(calculator: Calculator, typed: Mapping[str, str]) -> Answer:
    """Read what was typed, and work it out.

    Raises
    ------
    BadFields
        Names each field that cannot be meant, and how to mend it.
    InputError
        The fields are good one by one, and not together.
    """
    arguments = read(calculator, typed)
    try:
        return calculator.work(**arguments)
    except BadInput as error:
        field = _field_of(calculator, error)
        if not field:
            raise
        raise BadFields(calculator.name, {field: error}) from error


def _field_of(calculator: Calculator, error: BadInput) -> str:
    """Name the field that a fault speaks of: the one it says, or the one whose line it is."""
    said = error.field if isinstance(error, OutsideLimits) else error.where.rpartition(" of ")[2]
    return said if said in {each.name for each in calculator.asked} else ""


def read(calculator: Calculator, typed: Mapping[str, str]) -> dict[str, Value]:
    """Read every field a calculator asks for; gives its function's arguments.

    An empty field is one that was left out: it has its default.

    Raises
    ------
    BadFields
        As `work_out`.
    """
    faults: dict[str, InputError] = {}
    given: dict[str, str] = {}
    for typed_name, text in typed.items():
        name = input_named(calculator, typed_name)
        if name is None:
            faults[typed_name] = _unknown(calculator, typed_name)
        elif name in given:
            faults[name] = BadInput(
                f"it is given twice, as {typed_name} too", mend=f"give {name} once"
            )
        else:
            given[name] = text
    arguments: dict[str, Value] = {}
    for each in calculator.asked:
        try:
            words = choice_words(calculator.name, each.name)
            arguments[each.argument] = read_field(each, given.get(each.name, ""), words)
        except InputError as error:
            faults.setdefault(each.name, error)
    if faults:
        raise BadFields(calculator.name, faults)
    return arguments


def read_field(
    asked: Asked, text: str, words: Mapping[str, tuple[str, ...]] = MappingProxyType({})
) -> Value:
    """Read one field, in SI; ``None`` where it may be left out and was.

    Parameters
    ----------
    asked : Asked
        The field.
    text : str
        What was typed.
    words : Mapping of str to tuple of str
        Other words for its choices, by the choice.

    Raises
    ------
    InputError
        It cannot be read, is not among its choices, or lies outside its limits.
    """
    text = text.strip() or asked.default
    if not text:
        if asked.is_optional:
            return None
        how = f" ({asked.hint})" if asked.hint else ""
        if asked.choices:
            more = ", ..." if len(asked.choices) > _MOST_NAMED else ""
            how = f", one of {', '.join(asked.choices[:_MOST_NAMED])}{more}"
        raise BadInput("nothing was given", mend=f"asked for: {asked.words}{how}")
    longest = _LONGEST_LINES if asked.quantity is Quantity.LINES else _LONGEST
    if len(text) > longest:
        raise BadInput(f"{len(text)} characters are too many", mend=f"at most {longest}")
    value = _value(asked, text, words)
    if isinstance(value, (int, float)) and not isinstance(value, bool):
        _check_limits(asked, value)
    return value


def _value(asked: Asked, text: str, words: Mapping[str, tuple[str, ...]]) -> Value:
    quantity = asked.quantity
    if quantity in (Quantity.TEXT, Quantity.LINES):
        return text
    if quantity is Quantity.CHOICE:
        return _choice(asked, text, words)
    if quantity is Quantity.YES:
        return _yes(text)
    if quantity in (Quantity.NUMBER, Quantity.COUNT):
        return _number(text, is_count=quantity is Quantity.COUNT)
    if quantity is Quantity.SHARE:
        return _share(text, asked.bare)
    return _measure(asked, text)


def _choice(asked: Asked, text: str, words: Mapping[str, tuple[str, ...]]) -> str:
    choices = asked.choices
    typed = folded(text)
    for choice in choices:
        if typed in {folded(each) for each in (choice, *words.get(choice, ()))}:
            return choice
    try:
        return find("choice", {each: (each, *words.get(each, ())) for each in choices}, text)
    except NotFound as error:
        meant = asked.meant(text) if asked.meant else ()
        if len(meant) == 1:
            return meant[0]
        if meant:
            raise SeveralMeant("choice", text, meant) from error
        if error.nearest:
            raise
        raise BadInput(f"no choice {text!r}", mend=f"one of {', '.join(choices)}") from error


def _measure(asked: Asked, text: str) -> float:
    if asked.argument == _PITCH and _PER_INCH.search(text):
        return 1 / parse.pitch_per_m(text)
    reader = _MEASURES[asked.quantity]
    tidied = tidy(text)
    reads_signs = asked.quantity in (Quantity.TEMPERATURE, Quantity.ANGLE)
    if tidied.startswith("-") and not reads_signs and asked.low is not None and asked.low < 0:
        return -reader(tidied[1:].strip(), bare=asked.bare)
    return reader(text, bare=asked.bare)


def _number(text: str, *, is_count: bool) -> float | int:
    tidied = tidy(text)
    if not is_count and (ratio := re.fullmatch(r"(.*\S) ?: ?1", tidied)):
        tidied = ratio[1]
    if is_grouped(tidied):
        mend = "leave the comma out of thousands, or write a point"
        raise BadInput(f"cannot read {text!r} as a number", mend=mend)
    found = re.fullmatch(rf"([+-]?) ?({NUMBER})", tidied)
    if found is None:
        example = "a whole number, like 4" if is_count else "a number, like 0.14"
        raise BadInput(f"cannot read {text!r} as a number", mend=f"write {example}")
    number = read_number(found[2]) * (-1 if found[1] == "-" else 1)
    if not is_count:
        return float(number)
    if number.denominator != 1:
        raise BadInput(f"{text!r} is no whole number", mend="write a whole number, like 4")
    return int(number)


def _share(text: str, bare: str) -> float:
    """Read a share; a number without a sign is refused unless the field says what it is of.

    Where it is of a hundred, nobody means less than one in a hundred: 0.75 is 75 %, and so is 75.
    """
    found = re.fullmatch(rf"([+-]?) ?({NUMBER}) ?(%|per ?cent|percent)?", tidy(text))
    if found is None or not (found[3] or bare):
        raise BadInput(f"cannot read {text!r} as a share", mend="write it like '12 %'")
    number = read_number(found[2])
    is_per_cent = found[3] or (bare == "%" and number > 1)
    size = Fraction(1, 100) if is_per_cent else Fraction(1)
    return float(number * size * (-1 if found[1] == "-" else 1))


def _yes(text: str) -> bool:
    said = fold_words(text)
    if said not in _YES | _NO:
        raise BadInput(f"cannot read {text!r} as yes or no", mend="say yes or no")
    return said in _YES


def _check_limits(asked: Asked, value: float) -> None:
    def shown(figure: float) -> str:
        return figure_text(Figure(asked.name, asked.words, figure, asked.quantity))

    if asked.low is not None and value < asked.low:
        raise OutsideLimits(
            f"{shown(value)} is less than {shown(asked.low)}, the least this holds for",
            field=asked.name,
        )
    if asked.high is not None and value > asked.high:
        raise OutsideLimits(
            f"{shown(value)} is more than {shown(asked.high)}, the most this holds for",
            mend="type threads per inch as 24 tpi" if asked.argument == _PITCH else "",
            field=asked.name,
        )


def _unknown(calculator: Calculator, name: str) -> InputError:
    names = {each.name: (each.name,) for each in calculator.asked}
    asked = ", ".join(names)
    try:
        find("input", names, name)
    except NotFound as error:
        if error.nearest:
            return error
    return BadInput("this is not asked for", mend=f"it asks for {asked}")
