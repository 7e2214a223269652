"""Sub-assemblies that many vehicles have, added to a description in one step.

"Drum brake, rear, left" is a template, a place and a side. What comes of it are ordinary records
of the vehicle's tables, which a description may take up and change one by one like any others.
A template is a file of such records with gaps for place, side and zone, in data/templates.
"""

import re
import tomllib
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from difflib import get_close_matches
from functools import cache
from importlib.resources import files
from typing import Any

from putback.errors import AlreadyExists, BadInput, NotFound
from putback.vehicle.codec import TABLES, from_plain, key_field
from putback.vehicle.ids import JointId, PartId, StandingId, ZoneId
from putback.vehicle.part import PartKind, Side
from putback.vehicle.standing import Zone
from putback.vehicle.vehicle import Vehicle

FORMAT = "putback template 1"

PLACES = ("front", "rear")
SIDES: Mapping[str, Side] = {
    **{"left": Side.LEFT, "l": Side.LEFT, "lh": Side.LEFT},
    **{"right": Side.RIGHT, "r": Side.RIGHT, "rh": Side.RIGHT},
}

Addition = tuple[str, Any]
"""A table of the vehicle and one record for it."""

_GAP = re.compile(r"\{(place|side|zone|wheels)\}")
_GAP_IN_ID = re.compile(r"-?\{(?:place|side)\}-?")


@dataclass(frozen=True, slots=True)
class Template:
    """One sub-assembly; ``tables`` are records with gaps, as its file has them."""

    id: str
    name: str
    what: str
    also: tuple[str, ...]
    """Other words for it."""
    zone: str
    """Where it usually is, in words."""
    sided: bool
    outside: tuple[str, ...]
    """Keys of parts that the vehicle, or another template, may have already."""
    tables: Mapping[str, tuple[Mapping[str, Any], ...]]

    @property
    def part_keys(self) -> tuple[str, ...]:
        """Short names of its parts, by which they are matched with parts of a vehicle."""
        return tuple(_key(row["id"]) for row in self.tables["parts"])


@dataclass(frozen=True, slots=True)
class Wanted:
    """What a person asked for: a template, and where it goes."""

    template: Template
    place: str = ""
    side: Side | None = None


@cache
def list_templates() -> tuple[Template, ...]:
    """Read all templates, by name."""
    folder = files("putback.vehicle") / "data" / "templates"
    read = [_read(file.read_text(encoding="utf-8")) for file in folder.iterdir()]
    return tuple(sorted(read, key=lambda template: template.name))


def find(text: str) -> Wanted:
    """Read what a person types: ``drum brake, rear, left``.

    Raises
    ------
    NotFound
        If no template goes by these words.
    """
    words = re.findall(r"\w+", text.casefold())
    side = next((SIDES[word] for word in words if word in SIDES), None)
    place = next((word for word in words if word in PLACES), "")
    rest = " ".join(word for word in words if word not in SIDES and word not in PLACES)
    by_word = {
        " ".join(re.findall(r"\w+", word.casefold())): template
        for template in list_templates()
        for word in (template.id, template.name, *template.also)
    }
    if rest not in by_word:
        near = get_close_matches(rest, by_word, n=3, cutoff=0.5)
        names = dict.fromkeys(by_word[word].name for word in near)
        raise NotFound("template", text, tuple(names))
    return Wanted(by_word[rest], place, side)


def add(
    vehicle: Vehicle,
    template: Template,
    *,
    side: Side | None = None,
    place: str = "",
    zone: ZoneId | None = None,
    parts: Mapping[str, PartId] | None = None,
) -> tuple[Addition, ...]:
    """Say which records the template adds to a vehicle; nothing is changed.

    ``parts`` says which parts of the template the vehicle has already, by their keys (``hub``).
    Parts of the same name and side are taken as they are, so that a second side finds what both
    share. Without a ``zone`` it goes where the parts are that it is fixed to, else into a zone of
    its own.

    Raises
    ------
    BadInput
        If the side is missing, or makes no sense.
    NotFound
        If ``parts`` names something that the template or the vehicle has not.
    AlreadyExists
        If the vehicle has all of it.
    """
    if template.sided != (side is not None):
        what = f"a {template.name} is on one side" if template.sided else "it has no side"
        mend = "say left or right" if template.sided else f"leave {side!s} away"
        raise BadInput(what, template.name, mend)
    had = dict(parts or {})
    for key, part in had.items():
        if key not in template.part_keys:
            raise NotFound(f"part of the template {template.name!r}", key, template.part_keys)
        if part not in vehicle.parts:
            near = get_close_matches(part, vehicle.parts, n=3)
            raise NotFound("part", part, tuple(near))
    return _Filling(vehicle, template, side, place, had).additions(zone)


def with_additions(vehicle: Vehicle, additions: tuple[Addition, ...]) -> Vehicle:
    """Return the vehicle with records added to its tables."""
    tables: dict[str, dict[str, Any]] = {}
    for table, record in additions:
        tables.setdefault(table, dict(getattr(vehicle, table)))
        tables[table][getattr(record, key_field(table))] = record
    return vehicle.with_records(**tables)


def _read(text: str) -> Template:
    said = tomllib.loads(text)
    if said["format"] != FORMAT:
        raise ValueError(f"template {said['id']!r} is not in the format {FORMAT!r}")
    return Template(
        id=said["id"],
        name=said["name"],
        what=said["what"],
        also=tuple(said["also"]),
        zone=said["zone"],
        sided=said["sided"],
        outside=tuple(said["outside"]),
        tables={name: tuple(said[name]) for name in TABLES if name in said},
    )


def _key(identity: str) -> str:
    return _GAP_IN_ID.sub("", identity)


class _Filling:
    """One template being filled in for one place and side of one vehicle."""

    def __init__(
        self,
        vehicle: Vehicle,
        template: Template,
        side: Side | None,
        place: str,
        had: Mapping[str, PartId],
    ) -> None:
        self._vehicle = vehicle
        self._template = template
        self._gaps = {"place": place, "side": side or "", "zone": "", "wheels": _wheels(vehicle)}
        self._had = had
        self._known = {
            (part.name.casefold(), part.side): part.id for part in vehicle.parts.values()
        }
        self._names: dict[str, str] = {}

    def additions(self, zone: ZoneId | None) -> tuple[Addition, ...]:
        """Fill in every table, parts first, since the others name them."""
        there = {row["id"]: part for row in self._rows("parts") if (part := self._part(row))}
        found = list(self._zone(zone, there.values()))
        self._name_all("parts", there)
        joined = {row["id"]: joint for row in self._rows("joints") if (joint := self._joint(row))}
        self._name_all("joints", joined)
        self._name_all("obstructions", {})
        self._name_all("befores", {})
        for table, rows in self._template.tables.items():
            for row in rows:
                if row.get("id") in there.keys() | joined.keys():
                    continue
                record = from_plain(table, self._filled(row))
                if not self._has(table, record):
                    found.append((table, record))
        if not any(table == "joints" for table, _ in found):
            where = ", ".join(filter(None, (self._gaps["place"], self._gaps["side"])))
            name = ", ".join(filter(None, (self._template.name, where)))
            raise AlreadyExists("sub-assembly", name, "add the other side, or change its records")
        return tuple(found)

    def _rows(self, table: str) -> tuple[Mapping[str, Any], ...]:
        return self._template.tables.get(table, ())

    def _part(self, row: Mapping[str, Any]) -> PartId | None:
        """The part of the vehicle that a part of the template is, if it is one."""
        said = self._had.get(_key(row["id"]))
        if said is not None:
            return said
        side = Side(self._gaps["side"]) if "side" in row else None
        return self._known.get((self._text(row["name"]).casefold(), side))

    def _joint(self, row: Mapping[str, Any]) -> JointId | None:
        """The joint that holds the same parts on the vehicle already, if one does."""
        parts = {self._names[part] for part in row["parts"]}
        joints = self._vehicle.joints.values()
        return next((joint.id for joint in joints if parts == set(joint.parts)), None)

    def _zone(self, zone: ZoneId | None, near: Iterable[PartId]) -> Iterator[Addition]:
        if zone is None:
            zone = next((self._vehicle.parts[part].zone for part in near), None)
        if zone is None:
            name = " ".join(filter(None, (self._gaps["place"], self._template.zone)))
            zone = ZoneId(name.replace(" ", "-"))
            if zone not in self._vehicle.zones:
                yield "zones", Zone(zone, name.capitalize())
        self._gaps["zone"] = zone

    def _name_all(self, table: str, there: Mapping[str, str]) -> None:
        """Give each record an identity: what is there its own, the others one not yet taken."""
        self._names |= there
        taken = set(getattr(self._vehicle, table))
        for row in self._rows(table):
            if row["id"] in self._names:
                continue
            wanted = "-".join(filter(None, _GAP.sub(self._gap, row["id"]).split("-")))
            numbers = (f"{wanted}-{number}" for number in range(2, len(taken) + 3))
            identity = next(each for each in (wanted, *numbers) if each not in taken)
            taken.add(identity)
            self._names[row["id"]] = identity

    def _gap(self, gap: re.Match[str]) -> str:
        return str(self._gaps[gap[1]])

    def _filled(self, value: Any) -> Any:
        """A value of a record with its gaps filled and its references renamed."""
        if isinstance(value, dict):
            filled = {key: self._filled(each) for key, each in value.items()}
            return {key: each for key, each in filled.items() if each != "" or value[key] == ""}
        if isinstance(value, list):
            return [self._filled(each) for each in value]
        if not isinstance(value, str):
            return value
        kind, colon, identity = value.partition(":")
        if identity in self._names:
            return f"{kind}{colon}{self._names[identity]}"
        return self._names.get(value) or self._text(value)

    def _text(self, text: str) -> str:
        """Words with their gaps filled; a capital first where a name began with the place."""
        filled = _GAP.sub(self._gap, text)
        if filled == text:
            return text
        tidy = re.sub(r"\s+", " ", filled).strip(" ,")
        return tidy[:1].upper() + tidy[1:] if text.startswith("{place} ") else tidy

    def _has(self, table: str, record: Any) -> bool:
        """Whether the vehicle says the same already, under whatever identity."""
        there = getattr(self._vehicle, table).values()
        match table:
            case "runs":
                return record.part in self._vehicle.runs
            case "obstructions":
                return any(each.of == record.of and each.any_of == record.any_of for each in there)
            case "befores":
                return any(
                    each.first == record.first and each.then == record.then for each in there
                )
            case _:
                return False


def _wheels(vehicle: Vehicle) -> StandingId | str:
    """Find the standing in which the wheels carry the vehicle; empty if none is described."""
    wheels = {part.id for part in vehicle.parts.values() if part.kind is PartKind.WHEEL}
    for standing in vehicle.standings.values():
        carrying = [each.bears_on for each in standing.supports if not each.beside]
        if carrying and wheels.issuperset(carrying) and not standing.wrong:
            return standing.id
    return ""
