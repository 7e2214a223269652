"""Whether everything that is named is described.

Which fields name what is read off their types, so that no field can be forgotten: a `PartId`
names a part, wherever it stands in a record.
"""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import fields, is_dataclass
from difflib import get_close_matches
from functools import cache
from typing import Any, get_args, get_type_hints

from putback.vehicle.check.fault import Fault, doubt, error
from putback.vehicle.codec import TABLES, key_field
from putback.vehicle.ids import (
    NOT_SAID,
    FluidId,
    GoalId,
    JobId,
    JointId,
    OpeningId,
    PartId,
    Ref,
    StandingId,
    ZoneId,
    split_ref,
)
from putback.vehicle.vehicle import Vehicle

_TABLE_OF: Mapping[Any, str] = {
    PartId: "parts",
    JointId: "joints",
    OpeningId: "openings",
    ZoneId: "zones",
    StandingId: "standings",
    JobId: "jobs",
    GoalId: "goals",
    FluidId: "fluids",
}

_WORK = {"joint": "joints", "part": "parts", "job": "jobs"}
"""What a `Ref` may name: everything that is done or undone."""

_REF_KINDS = {"obstructions": ("joint", "part")}
"""Where fewer will do."""

KINDS: Mapping[str, str] = {
    "about": "vehicle",
    "zones": "zone",
    "parts": "part",
    "joints": "joint",
    "runs": "run",
    "openings": "opening",
    "fluids": "fluid",
    "standings": "standing",
    "temporary_supports": "temporary support",
    "jobs": "job",
    "obstructions": "obstruction",
    "befores": "before",
    "harder_afters": "harder after",
    "assemblies": "assembly",
    "goals": "goal",
}
"""What a record of each table is called."""


def nothing_by_that_name(vehicle: Vehicle) -> Iterator[Fault]:
    """Find names of parts, joints, zones and so on that nothing described goes by."""
    for table in TABLES:
        if table == "about":
            continue
        for identity, record in getattr(vehicle, table).items():
            for where, type_, value in _names(record):
                if where != key_field(table) or table == "runs":
                    yield from _missing(vehicle, table, identity, where, type_, value)


def _missing(
    vehicle: Vehicle, table: str, identity: str, where: str, type_: Any, value: str
) -> Iterator[Fault]:
    kind = KINDS[table]
    if type_ is Ref:
        kinds = _REF_KINDS.get(table, tuple(_WORK))
        wanted, value = split_ref(Ref(value))
        if wanted not in kinds:
            said = f"{wanted}:{value}".removesuffix(":")
            yield error(
                kind,
                identity,
                f"{kind} {identity!r} names {said!r} under {where}, which is no reference",
                f"write it as {' or '.join(f'{each}:...' for each in kinds)}",
            )
            return
        described = getattr(vehicle, _WORK[wanted])
    else:
        described = getattr(vehicle, _TABLE_OF[type_])
        wanted = KINDS[_TABLE_OF[type_]]
    if value == NOT_SAID:
        message = f"{kind} {identity!r} names no {wanted} under {where} yet"
        yield doubt(kind, identity, message, "name it when you know it")
    elif value not in described and type_ is ZoneId and not described:
        message = f"{kind} {identity!r} is in zone {value!r}, and no zone is described yet"
        yield doubt(kind, identity, message, "describe the zones of the vehicle")
    elif value not in described:
        near = get_close_matches(value, described, n=1)
        yield error(
            kind,
            identity,
            f"{kind} {identity!r} names {wanted} {value!r} under {where}, and there is none",
            f"did you mean {near[0]!r}?" if near else f"describe the {wanted}, or leave it out",
        )


def _names(record: Any, where: str = "") -> Iterator[tuple[str, Any, str]]:
    """Go through every value of a record that names another: its place, its type, itself."""
    for name, hint in _hints(type(record)).items():
        yield from _values(getattr(record, name), hint, f"{where}{name}")


def _values(value: Any, hint: Any, where: str) -> Iterator[tuple[str, Any, str]]:
    if value is None:
        return
    if hint is Ref or hint in _TABLE_OF:
        yield where, hint, value
    elif is_dataclass(value):
        yield from _names(value, f"{where}.")
    elif isinstance(value, tuple | Mapping):
        inner = next(iter(get_args(hint)), None)
        for each in value:
            yield from _values(each, inner, where)
    else:  # a name where there may be none
        yield from _values(value, get_args(hint)[0], where)


def _naming_fields(record: Any) -> Mapping[str, Any]:
    """Give the types of the fields of a record through which it may name another."""
    hints = get_type_hints(record)
    return {each.name: hints[each.name] for each in fields(record) if _may_name(hints[each.name])}


_hints: Callable[[Any], Mapping[str, Any]] = cache(_naming_fields)


def _may_name(hint: Any) -> bool:
    return (
        hint is Ref
        or hint in _TABLE_OF
        or (is_dataclass(hint) and bool(_hints(hint)))
        or any(_may_name(each) for each in get_args(hint))
    )
