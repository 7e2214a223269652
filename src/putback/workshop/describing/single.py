"""Answers of one value, and those that name things: how each is read and written."""

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from putback.errors import BadInput, InputError
from putback.logbook.state import State
from putback.units import parse
from putback.workshop.saying.names import find, find_subject, names_of

Plain = Any
"""A plain value of a record, as the vehicle file has it."""


@dataclass(frozen=True, slots=True)
class Known:
    """What a reader may look at: the state, and what the field held."""

    state: State
    before: Plain


@dataclass(frozen=True, slots=True)
class Sort:
    """How one sort of answer is read and written."""

    read: Callable[[str, Known], Plain]
    write: Callable[[Plain, State], str]


def lines_of(text: str) -> list[str]:
    """Part a text into its lines, without empty ones."""
    return [line.strip() for line in text.splitlines() if line.strip()]


# -- values -------------------------------------------------------------------------------------


def _text_of(plain: Plain, state: State) -> str:
    del state
    return str(plain)


TEXT = Sort(lambda text, _: text, _text_of)
LINES = Sort(lambda text, _: lines_of(text), lambda plain, _: "\n".join(map(str, plain)))
TICK = Sort(lambda text, _: True, lambda plain, _: "yes" if plain else "")
TICK_AGAINST = Sort(lambda text, _: False, lambda plain, _: "" if plain else "yes")
"""A tick that denies what holds otherwise."""


def _whole(text: str, known: Known) -> int:
    del known
    if not re.fullmatch(r"[0-9]{1,6}", text):
        raise BadInput(f"{text!r} is no whole number", mend="write it in figures, like 4")
    return int(text)


WHOLE = Sort(_whole, _text_of)


def quantity(parsed: Callable[..., float], unit: str, of: float = 1, bare: str = "") -> Sort:
    """Make a sort of quantity, written in ``unit``, of which ``of`` are one in SI."""

    def read(text: str, known: Known) -> float:
        del known
        return parsed(text, bare=bare)

    def write(plain: Plain, state: State) -> str:
        del state
        return f"{plain * of:.10g} {unit}"

    return Sort(read, write)


_THREE = re.compile(r"([0-9.]+)[\s,/-]+([0-9.]+)[\s,/-]+([0-9.]+)\s*(?:min(?:utes)?)?")


def _minutes(text: str, known: Known) -> Mapping[str, float]:
    del known
    try:
        if three := _THREE.fullmatch(text):
            best, likely, worst = map(float, three.groups())
        else:
            best = likely = worst = parse.duration_minutes(text, bare="min")
    except ValueError as error:
        raise BadInput(f"{text!r} is no time", mend="write it like 10 15 30") from error
    if not 0 <= best <= likely <= worst:
        raise BadInput(f"{text!r} is out of order", mend="best, likely and worst, in minutes")
    return {"best": best, "likely": likely, "worst": worst}


def _write_minutes(plain: Plain, state: State) -> str:
    del state
    times = [f"{plain[each]:.10g}" for each in ("best", "likely", "worst")]
    return f"{times[0]} min" if len(set(times)) == 1 else " ".join(times)


MINUTES = Sort(_minutes, _write_minutes)

_NEVER = "never"
_TIMES = re.compile(r"([0-9]+(?:[.,][0-9]+)?)\s*(?:x|×|times)?(?:\s+as\s+long)?", re.IGNORECASE)


def _factor(text: str, known: Known) -> float | str:
    """Read how many times as long work takes, or that it cannot be done."""
    del known
    if text.casefold() == _NEVER:
        return _NEVER
    found = _TIMES.fullmatch(text)
    if found is None:
        raise BadInput(f"{text!r} is no factor", mend="write it like 3, or: never")
    return float(found[1].replace(",", "."))


def _write_factor(plain: Plain, state: State) -> str:
    del state
    return plain if isinstance(plain, str) else f"{plain:.10g}"


FACTOR = Sort(_factor, _write_factor)


def point(text: str, axes: int) -> list[float]:
    """Read a place by its coordinates, metres unless they say otherwise [m].

    Raises
    ------
    BadInput
        If there are more or fewer than ``axes`` of them.
    """
    coordinates = [each.strip() for each in text.split(";" if ";" in text else ",")]
    if len(coordinates) != axes:
        mend = "write it like " + ", ".join(("2.1", "-0.5", "0.4")[:axes])
        raise BadInput(f"{text!r} is no place of {axes} figures", mend=mend)
    found = []
    for each in coordinates:
        size = parse.length_m(each.removeprefix("-").strip(), bare="m")
        found.append(-size if each.startswith("-") else size)
    return found


def write_point(plain: Plain) -> str:
    """Write a place as `point` reads it."""
    return ", ".join(f"{each:.10g}" for each in plain)


def point_of(axes: int) -> Sort:
    """Make a sort of places with so many coordinates [m]."""
    return Sort(lambda text, _: point(text, axes), lambda plain, _: write_point(plain))


# -- references ---------------------------------------------------------------------------------


def name_for(kind: str, identity: str, state: State) -> str:
    """Name a thing so that it is found by that: by its name, or its identity if that is not."""
    name = next(filter(None, names_of(state, kind).get(identity, ())), identity)
    try:
        found = find(state, kind, name)
    except InputError:  # several go by it
        return identity
    return name if found == identity else identity


def one(kind: str) -> Sort:
    """Make a sort that names one thing of a kind."""
    return Sort(
        lambda text, known: find(known.state, kind, text),
        lambda plain, state: name_for(kind, plain, state),
    )


def several(kind: str) -> Sort:
    """Make a sort that names things of a kind, one a line."""

    def read(text: str, known: Known) -> list[str]:
        return list(dict.fromkeys(find(known.state, kind, line) for line in lines_of(text)))

    return Sort(
        read, lambda plain, state: "\n".join(name_for(kind, each, state) for each in plain)
    )


def one_of(*kinds: str) -> Sort:
    """Make a sort that names one thing of any of the kinds."""

    def write(plain: Plain, state: State) -> str:
        kind, _, identity = plain.partition(":")
        return f"{kind}:{name_for(kind, identity, state)}"

    return Sort(lambda text, known: find_subject(known.state, text, kinds), write)


def _zone(text: str, known: Known) -> str:
    """Find a zone; one that is not there is left as it was typed, to be described with it."""
    wanted = text.casefold()
    zones = known.state.vehicle.zones.values()
    return next((each.id for each in zones if wanted in {each.id, each.name.casefold()}), text)


ZONE = Sort(_zone, lambda plain, state: state.name_of(f"zone:{plain}"))
