"""Records to plain values and back: the one bridge to files, entries and snapshots.

A plain value is what JSON and TOML can hold. Fields at their default are left out, so that a
record written and read again is the same and a file says only what somebody said.
"""

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, fields
from difflib import get_close_matches
from functools import cache
from typing import Any, get_type_hints

from pydantic import ConfigDict, TypeAdapter, ValidationError

from putback.vehicle.assembly import Assembly
from putback.vehicle.facts import Before, HarderAfter, Obstruction
from putback.vehicle.goal import Goal
from putback.vehicle.job import Job
from putback.vehicle.joint import (
    Consumable,
    Fixing,
    Joint,
    Piece,
    Shim,
    ShimPack,
    Stage,
    Tightening,
    WhenUndone,
)
from putback.vehicle.minutes import Minutes
from putback.vehicle.opening import Fluid, Opening
from putback.vehicle.part import MarkNeeded, Part, PartNumber
from putback.vehicle.run import Passage, Run, RunEnd
from putback.vehicle.standing import Standing, Support, TemporarySupport, Zone
from putback.vehicle.vehicle import About

TABLES: Mapping[str, type] = {
    "about": About,
    "zones": Zone,
    "parts": Part,
    "joints": Joint,
    "runs": Run,
    "openings": Opening,
    "fluids": Fluid,
    "standings": Standing,
    "temporary_supports": TemporarySupport,
    "jobs": Job,
    "obstructions": Obstruction,
    "befores": Before,
    "harder_afters": HarderAfter,
    "assemblies": Assembly,
    "goals": Goal,
}
"""Every table of a vehicle and the record it holds; named as the fields of ``Vehicle``."""

_NESTED: tuple[type, ...] = (
    *(Consumable, Fixing, MarkNeeded, Minutes, PartNumber, Passage, Piece, RunEnd),
    *(Shim, ShimPack, Stage, Support, Tightening, WhenUndone),
)

for _record in (*TABLES.values(), *_NESTED):
    # A misspelt field must be a fault, not silently dropped, at every depth of a record; and what
    # is neither more nor less than anything (nan) cannot be compared, added up or written as JSON.
    _record.__pydantic_config__ = ConfigDict(  # type: ignore[attr-defined]
        extra="forbid", allow_inf_nan=False
    )

_FIELD_NAMES = sorted(
    {each.name for record in (*TABLES.values(), *_NESTED) for each in fields(record)}
)

LARGEST_NUMBER = 10**15
"""Nothing about a vehicle is counted or measured in numbers beyond this, in any unit we keep."""

DEEPEST = 12
"""Levels of tables and lists in one record; ours need five."""

LONGEST_IDENTITY = 80

_UNWRITABLE = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f\ud800-\udfff]")
"""What a file or a database cannot hold as text: control characters, halves of a pair."""


@dataclass(frozen=True, slots=True)
class FieldFault:
    """One value that cannot be read: where in the record, what is wrong with it, how to mend it.

    ``value`` is ``None`` where the fault is that there is none.
    """

    where: str
    what: str
    value: object = None
    mend: str = ""

    def said(self) -> str:
        """Say it without its place."""
        shown = "" if self.value is None else f", not {show(self.value)}"
        return f"{self.what}{shown}{'; ' if self.mend else ''}{self.mend}"

    def __str__(self) -> str:
        return f"{self.where}{': ' if self.where else ''}{self.said()}"


class RecordFaults(ValueError):
    """A record cannot be read; ``faults`` has every reason at once."""

    def __init__(self, table: str, faults: tuple[FieldFault, ...]) -> None:
        self.table = table
        self.faults = faults
        super().__init__("; ".join(map(str, faults)))


def key_field(table: str) -> str:
    """Name the field that identifies a record of the table."""
    return "part" if table == "runs" else "id"


@cache
def _adapter(table: str) -> TypeAdapter[Any]:
    return TypeAdapter(TABLES[table])


@cache
def _hints(table: str) -> Mapping[str, Any]:
    return get_type_hints(TABLES[table], include_extras=True)


@cache
def _field_adapter(table: str, name: str) -> TypeAdapter[Any]:
    return TypeAdapter(_hints(table)[name])


def to_plain(table: str, record: Any) -> dict[str, Any]:
    """Write a record as plain values, leaving out what is at its default."""
    plain = _adapter(table).dump_python(record, mode="json", exclude_defaults=True)
    return dict(plain)


def from_plain(table: str, plain: Mapping[str, Any]) -> Any:
    """Read a record from plain values.

    Raises
    ------
    RecordFaults
        With every value that cannot be read, unknown fields included.
    """
    faults = list(unfit(plain))
    if not faults:  # else a value may be too wild even to be shown
        try:
            record = _adapter(table).validate_python(dict(plain))
        except ValidationError as error:
            faults = list(_faults(error))
        else:
            faults = list(identity_faults(key_field(table), plain[key_field(table)]))
    if faults:
        raise RecordFaults(table, tuple(faults))
    return record


def read_fields(table: str, plain: Mapping[str, Any]) -> dict[str, Any]:
    """Read some fields of a record, each by itself, as a description entry gives them.

    Raises
    ------
    RecordFaults
        With every field that is unknown or cannot be read.
    """
    read: dict[str, Any] = {}
    faults: list[FieldFault] = []
    for name, value in plain.items():
        if name not in _hints(table):
            faults.append(_unknown(name))
        elif wild := list(unfit(value, (name,))):
            faults.extend(wild)
        else:
            try:
                read[name] = _field_adapter(table, name).validate_python(value)
            except ValidationError as error:
                faults.extend(_faults(error, (name,)))
    if faults:
        raise RecordFaults(table, tuple(faults))
    return read


def show(value: object, width: int = 60) -> str:
    """Say a value in a message, cut where it is long, however wild it is."""
    match value:
        case bool():
            return str(value).lower()
        case int() if abs(value) > LARGEST_NUMBER:
            return f"a number of {value.bit_length()} bits"
        case Mapping():
            return "a table"
        case list() | tuple():
            return f"a list of {len(value)}"
    said = repr(value[: width + 1] if isinstance(value, str) else value)
    return said if len(said) <= width else f"{said[:width]}..."


def _where(steps: tuple[int | str, ...]) -> str:
    """Say a place inside a record as a person counts: ``fixings[1].stack[2].spec``."""
    said = "".join(f"[{step + 1}]" if isinstance(step, int) else f".{step}" for step in steps)
    return said.removeprefix(".")


def unfit(value: object, at: tuple[int | str, ...] = ()) -> Iterator[FieldFault]:
    """Find what no field can hold, before its type is looked at: it may come from anywhere."""
    if not _is_plainly_fit(value, len(at)):
        yield from _unfit(value, at)


def _is_plainly_fit(value: object, depth: int) -> bool:
    """Whether a value is of the usual types and holds nothing odd, which is quick to see."""
    if isinstance(value, str):
        return _UNWRITABLE.search(value) is None
    if isinstance(value, dict):
        return depth < DEEPEST and all(_is_plainly_fit(each, depth + 1) for each in value.values())
    if isinstance(value, (list, tuple)):
        return depth < DEEPEST and all(_is_plainly_fit(each, depth + 1) for each in value)
    return value is None or (isinstance(value, (int, float)) and abs(value) <= LARGEST_NUMBER)


def _unfit(value: object, at: tuple[int | str, ...]) -> Iterator[FieldFault]:
    match value:
        case str() if _UNWRITABLE.search(value):
            yield FieldFault(_where(at), "should be text without control characters", value)
        case int() | float() if abs(value) > LARGEST_NUMBER:
            yield FieldFault(_where(at), f"should be a number below {LARGEST_NUMBER:g}", value)
        case Mapping() | list() | tuple() if len(at) >= DEEPEST:
            yield FieldFault(_where(at[:2]), f"is nested more than {DEEPEST} levels deep")
        case Mapping():
            for key, each in value.items():
                yield from _unfit(each, (*at, str(key)))
        case list() | tuple():
            for place, each in enumerate(value):
                yield from _unfit(each, (*at, place))


def identity_faults(key: str, identity: str) -> Iterator[FieldFault]:
    """Find what is wrong with an identity, which must be easy to type and to tell apart."""
    if not identity or identity != identity.strip() or "\n" in identity:
        yield FieldFault(key, "should be one line without blanks at its ends", identity)
    elif len(identity) > LONGEST_IDENTITY:
        yield FieldFault(key, f"should have at most {LONGEST_IDENTITY} characters", identity)


def _unknown(name: str, at: tuple[int | str, ...] = ()) -> FieldFault:
    near = get_close_matches(name, _FIELD_NAMES, n=1)
    mend = f"did you mean {near[0]!r}?" if near else "leave it out, or say it in a note"
    return FieldFault(_where((*at, name)), "is not a field here", mend=mend)


_SAID = {
    "missing": "is missing",
    "dataclass_type": "should be a table of its fields",
    "dict_type": "should be a table",
    "tuple_type": "should be a list",
    "string_type": "should be text",
    "int_type": "should be a whole number",
    "int_parsing": "should be a whole number",
    "int_from_float": "should be a whole number",
    "float_type": "should be a number",
    "float_parsing": "should be a number",
    "finite_number": "should be a number that can be counted to",
    "bool_type": "should be true or false",
    "bool_parsing": "should be true or false",
    "is_instance_of": "should be a specification as text",
}
"""What pydantic finds, in the words of somebody who edits the file."""


def _faults(error: ValidationError, at: tuple[int | str, ...] = ()) -> Iterator[FieldFault]:
    for each in error.errors(include_url=False):
        steps, kind = (*at, *each["loc"]), each["type"]
        if kind == "unexpected_keyword_argument":
            yield _unknown(str(steps[-1]), steps[:-1])
        elif kind == "missing":
            yield FieldFault(_where(steps), _SAID[kind])
        elif kind == "value_error":  # our own words, with the value in them
            yield FieldFault(_where(steps), str(each["ctx"]["error"]))
        else:
            what = _SAID.get(kind) or each["msg"].removeprefix("Input ")
            yield FieldFault(_where(steps), what, each["input"])
