"""A list of parts from a spreadsheet: all of it or none of it.

Columns are recognised by their headings, as British, American and German lists have them, or
chosen by the caller. What is read goes through the same codec as everything else; every row that
cannot be read is told with its number, and then nothing is imported.

A row that tells of a part which is there already is that part, so that a list can be mended and
imported again: what it says otherwise is described anew, and nothing stands there twice.
"""

from collections import Counter
from collections.abc import Container, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from difflib import get_close_matches
from itertools import chain, count
from pathlib import Path
from typing import Any

from putback.errors import InputError, UnitError, UnreadableFile
from putback.units.parse import mass_kg
from putback.vehicle.codec import LONGEST_IDENTITY, RecordFaults, from_plain
from putback.vehicle.ids import NOT_SAID, PartId, ZoneId
from putback.vehicle.nearest import fold_words
from putback.vehicle.part import Part, PartKind, Side
from putback.vehicle.standing import Zone
from putback.vehicle.table_known import KnownParts, otherwise, with_fields
from putback.vehicle.table_rows import Row, read_rows
from putback.vehicle.vehicle import Vehicle

HEADINGS: Mapping[str, tuple[str, ...]] = {
    "id": ("id", "identity", "code", "ref", "reference", "tag", "item no", "item number"),
    "name": ("name", "part", "part name", "description", "item", "component", "designation"),
    "name_us": ("american name", "us name", "name us"),
    "zone": ("zone", "area", "region", "where", "location on vehicle"),
    "side": ("side", "hand", "handed", "lh rh", "l r"),
    "quantity": ("quantity", "qty", "no off", "number off", "count", "pcs", "pieces"),
    "kind": ("kind", "type", "category", "class"),
    "system": ("system", "group", "assembly", "section"),
    "mass_kg": ("mass", "weight", "wt"),
    "crew": ("crew", "people", "persons", "lift crew"),
    "hoist": ("hoist", "lifting gear"),
    "part_number": ("part number", "part no", "part num", "pn", "number", "stock number"),
    "casting_number": ("casting number", "casting no"),
    "serial_number": ("serial number", "serial no", "serial"),
    "cautions": ("caution", "cautions", "hazard", "hazards", "warning"),
    "as_found": ("as found", "condition", "found"),
    "correct": ("correct", "correct for kind"),
    "store_as": ("store as", "storage", "store"),
    "outside_work": ("outside work", "sent out for"),
    "note": ("note", "notes", "remark", "remarks", "comment", "comments"),
}
"""Fields of a part, each with the headings by which lists call it."""

GERMAN_HEADINGS: Mapping[str, tuple[str, ...]] = {
    "id": ("kennung", "kürzel"),
    "name": ("bezeichnung", "benennung", "teil", "bauteil", "teilename", "teilebezeichnung"),
    "zone": ("bereich", "ort", "einbauort", "wo"),
    "side": ("seite",),
    "quantity": ("anzahl", "menge", "stück", "stückzahl", "stk"),
    "kind": ("art", "teileart", "typ", "kategorie"),
    "system": ("baugruppe", "gruppe"),
    "mass_kg": ("gewicht", "masse"),
    "crew": ("personen", "leute"),
    "hoist": ("hebezeug",),
    "part_number": ("teilenummer", "teile nr", "teilenr", "bestellnummer", "artikelnummer"),
    "casting_number": ("gussnummer",),
    "serial_number": ("seriennummer",),
    "cautions": ("achtung", "vorsicht", "warnung", "gefahr", "gefahren"),
    "as_found": ("zustand", "vorgefunden"),
    "store_as": ("lagerung", "aufbewahrung"),
    "outside_work": ("fremdarbeit",),
    "note": (
        "bemerkung",
        "bemerkungen",
        "anmerkung",
        "anmerkungen",
        "notiz",
        "notizen",
        "hinweis",
    ),
}
"""The same in German; one counts where no English heading stands for its field."""

_FIELD_OF = [
    {heading: name for name, headings in table.items() for heading in headings}
    for table in (HEADINGS, GERMAN_HEADINGS)
]
_MASS_UNITS = ("kg", "g", "lb", "lbs", "oz", "kilograms", "grams", "pounds", "ounces")
_NUMBERS = {
    "part_number": "part number",
    "casting_number": "casting number",
    "serial_number": "serial number",
}
_AS_TYPED = HEADINGS.keys() - {"id", "zone", "side", "kind", "mass_kg", "cautions", *_NUMBERS}
_COUNTS = ("quantity", "crew")
_SIDES = {
    **dict.fromkeys(("left", "l", "lh", "left hand", "links", "li"), Side.LEFT),
    **dict.fromkeys(("right", "r", "rh", "right hand", "rechts", "re"), Side.RIGHT),
    **dict.fromkeys(("nearside", "near side", "ns", "n s"), Side.LEFT),
    **dict.fromkeys(("offside", "off side", "os", "o s"), Side.RIGHT),
    **dict.fromkeys(("both", "none", "centre", "center", "n a"), None),
    **dict.fromkeys(("beide", "beidseitig", "mitte", "mittig", "keine"), None),
    **dict.fromkeys(("l r", "lh rh", "left right", "links rechts", "li re"), None),
}
_KINDS = {
    **{word: kind for kind in PartKind for word in (str(kind), f"{kind}s")},
    **dict.fromkeys(("glasses", "glas", "scheibe"), PartKind.GLASS),
    **dict.fromkeys(("teil", "teile"), PartKind.PART),
    **dict.fromkeys(("träger", "rahmen"), PartKind.STRUCTURE),
    **dict.fromkeys(("blechteil", "blechteile", "blech"), PartKind.PANEL),
    **dict.fromkeys(("verkleidung", "verkleidungen"), PartKind.TRIM),
    **dict.fromkeys(("aggregat", "aggregate"), PartKind.MACHINE),
    **dict.fromkeys(("rad", "räder"), PartKind.WHEEL),
    **dict.fromkeys(("feder", "federn"), PartKind.SPRING),
    **dict.fromkeys(("rohr", "rohre", "rohrleitung"), PartKind.PIPE),
    **dict.fromkeys(("schlauch", "schläuche"), PartKind.HOSE),
    **dict.fromkeys(("zug", "züge", "seilzug", "bowdenzug"), PartKind.CABLE),
    **dict.fromkeys(("kabelbaum", "kabelbäume"), PartKind.LOOM),
}
"""Kinds of parts as lists call them, in English and German."""
_ENDS = {
    **dict.fromkeys(("front", "vorn", "vorne"), ("front", "vorn", "vord")),
    **dict.fromkeys(("rear", "hinten"), ("rear", "hint")),
}
"""Which end of the vehicle, where lists have the side: each with how words of a name begin that
say so already. A part knows no such side, so its name has to tell it."""
_CORNERS = {
    **dict.fromkeys(("nsf", "lhf", "lf", "fl"), "left front"),
    **dict.fromkeys(("nsr", "lhr", "lr", "rl"), "left rear"),
    **dict.fromkeys(("osf", "rhf", "rf", "fr"), "right front"),
    **dict.fromkeys(("osr", "rhr", "rr"), "right rear"),
    **{"vl": "links vorn", "vr": "rechts vorn", "hl": "links hinten", "hr": "rechts hinten"},
}
"""Side and end in one word. Nearside is the kerb's: left wherever the word is used, as it is only
where one drives on the left (common practice)."""
_ERRORS = ("#REF!", "#N/A", "#VALUE!", "#NAME?", "#DIV/0!", "#NUM!", "#NULL!")

UNSORTED = Zone(ZoneId("unsorted"), "Not sorted yet")
"""Where a part goes whose row names no zone."""


@dataclass(frozen=True, slots=True)
class RowFault:
    """Why one row, or one of its cells, cannot be read."""

    row: int
    column: str
    what: str

    def __str__(self) -> str:
        return f"row {self.row}{', ' if self.column else ''}{self.column}: {self.what}"


@dataclass(eq=False)
class TableFaults(InputError):
    """A list of parts that cannot be imported as it is; names every fault, and imports nothing."""

    source: str
    faults: tuple[RowFault, ...]
    unclear: tuple[str, ...] = ()
    """Fields of which nobody can tell which column holds them."""
    headings: tuple[str, ...] = ()

    def fault(self) -> str:
        """What is wrong, with the value shown."""
        count = len(self.faults)
        head = f"{count} fault{'' if count == 1 else 's'} in the list, nothing was imported:"
        return "\n  - ".join([head, *map(str, self.faults)])

    def place(self) -> str:
        """Where it is wrong."""
        return self.source


@dataclass(frozen=True, slots=True)
class Imported:
    """Parts read from a list, what it says of those known, new zones, columns nobody knew."""

    parts: tuple[Part, ...]
    """Those that are new."""
    zones: tuple[Zone, ...] = ()
    ignored_columns: tuple[str, ...] = ()
    known: tuple[PartId, ...] = ()
    """Parts of the vehicle that the list has too."""
    changed: Mapping[PartId, Mapping[str, Any]] = field(default_factory=dict)
    """Of these, the fields that the list says otherwise; ``None`` is what is usual."""
    not_listed: tuple[PartId, ...] = ()
    """Parts of the vehicle that the list does not have."""

    def into(self, vehicle: Vehicle) -> Vehicle:
        """Return the vehicle as it is described with the list."""
        anew = {
            part: with_fields(vehicle.parts[part], fields) for part, fields in self.changed.items()
        }
        return vehicle.with_records(
            parts={**vehicle.parts, **anew, **{part.id: part for part in self.parts}},
            zones={**vehicle.zones, **{zone.id: zone for zone in self.zones}},
        )


def import_parts(
    path: Path, vehicle: Vehicle, columns: Mapping[str, str] | None = None
) -> Imported:
    """Read a list of parts from a CSV or XLSX file.

    Parameters
    ----------
    path : Path
        The file; its first row with anything in it holds the headings.
    vehicle : Vehicle
        What is known already: its parts are recognised by identity, or by name, side and zone;
        its zones by name.
    columns : Mapping of str to str, optional
        Headings to take for fields of `HEADINGS`, over what would be recognised.

    Raises
    ------
    UnreadableFile
        It is no table.
    TableFaults
        Rows that cannot be read, all of them; nothing is imported.
    """
    found = read_rows(path)
    if not found:
        raise UnreadableFile(path, None, "has nothing in it", "save the list again")
    head, *rows = found
    reader = _Reader(vehicle, head, rows, columns or {})
    if not reader.faults:
        reader.read(rows)
        if not rows:
            reader.faults.append(RowFault(head.number, "", "no part is below the headings"))
    if reader.faults:
        headings = tuple(filter(None, head.cells))
        by_row = sorted(reader.faults, key=lambda fault: fault.row)
        raise TableFaults(str(path), tuple(by_row), tuple(reader.unclear), headings)
    return Imported(
        tuple(reader.parts.values()),
        tuple(reader.zones.values()),
        reader.ignored,
        tuple(reader.known),
        {part: fields for part, fields in reader.known.items() if fields},
        tuple(part for part in vehicle.parts if part not in reader.known),
    )


class _Reader:
    """Reads rows into parts and gathers everything that is wrong with them."""

    def __init__(
        self, vehicle: Vehicle, head: Row, rows: Sequence[Row], chosen: Mapping[str, str]
    ) -> None:
        self.faults: list[RowFault] = []
        self.unclear: list[str] = []
        self.parts: dict[PartId, Part] = {}
        self.zones: dict[str, Zone] = {}
        self._head = head
        self.known: dict[PartId, Mapping[str, Any]] = {}
        """Parts of the vehicle that the list has, and what it says of them otherwise."""
        self._row_of: dict[str, int] = {}
        self._known = KnownParts(vehicle.parts)
        self._known_zones = vehicle.zones
        self._zone_called = {
            fold_words(name): zone.id
            for zone in vehicle.zones.values()
            for name in (zone.name, zone.id)
        }
        self._field_at = self._recognise(chosen)
        if "kind" not in chosen:
            self._leave_out_other_kinds(rows)
        self.ignored = tuple(
            heading
            for place, heading in enumerate(head.cells)
            if heading and place not in self._field_at
        )

    # --- headings -------------------------------------------------------------------------------

    def _recognise(self, chosen: Mapping[str, str]) -> dict[int, str]:
        """Say which column holds which field."""
        headings = [_fold_heading(cell) for cell in self._head.cells]
        found: dict[int, str] = {}
        for name, heading in chosen.items():
            if name not in HEADINGS:
                there = ", ".join(HEADINGS)
                self._fault(self._head, name, f"is no field of a part; there are {there}")
            elif (folded := _fold_heading(heading)) not in headings:
                near = get_close_matches(folded, headings, n=1)
                mend = f"; did you mean {near[0]!r}?" if near else ""
                self._fault(self._head, heading, f"no column is headed so{mend}")
            else:
                found[headings.index(folded)] = name
        for field_of in _FIELD_OF:
            taken = {*chosen, *found.values()}
            for place, heading in enumerate(headings):
                name = field_of.get(heading) or field_of.get(_without_unit(heading)[0], "")
                if name and name not in taken and place not in found:
                    found[place] = name
        for name, times in Counter(found.values()).items():
            if times > 1:
                columns = [self._head.cells[place] for place in found if found[place] == name]
                both = " and ".join(map(repr, columns))
                self._fault(self._head, "", f"columns {both} both look like {name}; choose one")
                self.unclear.append(name)
        if "name" not in found.values():
            self._fault(self._head, "", "no column is headed like a name; choose one")
            self.unclear.append("name")
        return found

    def _leave_out_other_kinds(self, rows: Sequence[Row]) -> None:
        """Leave out a column headed like kinds that says none: a list's own classes."""
        for place in [at for at, name in self._field_at.items() if name == "kind"]:
            cells = [row.cells[place] for row in rows if place < len(row.cells)]
            if not any(fold_words(cell) in _KINDS or cell in _ERRORS for cell in cells if cell):
                del self._field_at[place]

    # --- rows -----------------------------------------------------------------------------------

    def read(self, rows: Iterable[Row]) -> None:
        """Read the rows. What names its part by an identity is no other row's."""
        cells = [(row, self._cells(row)) for row in rows]
        self._known.leave_out({said["id"] for _, said in cells if "id" in said})
        for row, said in cells:
            self._read(row, said)

    def _cells(self, row: Row) -> dict[str, str]:
        """Give what the cells of a row say, by the fields they fill."""
        if any(row.cells[len(self._head.cells) :]):
            self._fault(row, "", "has more cells than there are headings")
        said: dict[str, str] = {}
        for place, name in self._field_at.items():
            cell = row.cells[place] if place < len(row.cells) else ""
            if cell in _ERRORS:
                self._fault(row, self._head.cells[place], f"is {cell}; mend the formula")
            elif cell:
                said[name] = cell
        return said

    def _read(self, row: Row, said: Mapping[str, str]) -> None:
        """Read one part, or say all that is wrong with its row."""
        known = len(self.faults)
        plain = self._plain(row, said)
        try:
            part: Part = from_plain("parts", plain)
        except RecordFaults as error:
            for fault in error.faults:
                self._fault(row, self._heading(fault.where.partition("[")[0]), fault.said())
            return
        for name in _COUNTS:
            if (number := getattr(part, name)) < 1:
                self._fault(row, self._heading(name), f"should be 1 or more, not {number}")
        if len(self.faults) > known:
            return
        if was := self._known.parts.get(part.id):
            fields = {"numbers" if name in _NUMBERS else name for name in said} - {"id"}
            if "id" not in said:
                fields.discard("name")  # which it was recognised by, in whatever letters
            self.known[part.id] = otherwise(was, part, fields)
            return
        self.parts[part.id] = part
        if part.zone == UNSORTED.id and UNSORTED.id not in self._known_zones:
            self.zones.setdefault(UNSORTED.id, UNSORTED)

    def _plain(self, row: Row, said: Mapping[str, str]) -> dict[str, Any]:
        """Say a row as the plain values of a part; what the codec can judge, it judges."""
        plain: dict[str, Any] = {name: cell for name, cell in said.items() if name in _AS_TYPED}
        if "name" not in said:
            self._fault(row, self._heading("name"), "is empty")
            plain["name"] = "?"
        if "kind" in said:
            plain["kind"] = _KINDS.get(fold_words(said["kind"]), said["kind"])
        plain["side"], end = _side(said.get("side", "none"))
        if end and not _says(plain["name"], _ENDS[fold_words(end)]):
            plain["name"] += f", {end}"
        if "cautions" in said:
            plain["cautions"] = [each.strip() for each in said["cautions"].split(";")]
        numbers = {what: said[name] for name, what in _NUMBERS.items() if name in said}
        if numbers:
            plain["numbers"] = [{"kind": kind, "value": each} for kind, each in numbers.items()]
        if "mass_kg" in said:
            unit = _without_unit(_fold_heading(self._heading("mass_kg")))[1]
            try:
                plain["mass_kg"] = mass_kg(said["mass_kg"], bare=unit)
            except UnitError as error:
                self._fault(row, self._heading("mass_kg"), str(error))
        plain["zone"] = self._zone(said.get("zone", ""))
        plain["id"] = self._identity(row, said, plain)
        return plain

    def _zone(self, said: str) -> ZoneId:
        """Find the zone by name or identity, or take it up as a new one."""
        if not said:
            return UNSORTED.id
        folded = fold_words(said)
        if folded not in self._zone_called:
            taken = {*self._known_zones, *self.zones}
            zone = Zone(ZoneId(_unlike(taken, folded)), said)
            self.zones[zone.id] = zone
            self._zone_called[folded] = zone.id
        return self._zone_called[folded]

    def _identity(self, row: Row, said: Mapping[str, str], plain: Mapping[str, Any]) -> str:
        """Take the identity given, that of the part which the row tells of, or a new one."""
        made = f"{plain['name']} {plain['side'] or ''}"
        identity = said.get("id") or self._recognised(row, said, plain)
        if not identity:
            identity = _unlike({*self._known.parts, *self._row_of}, made)
        if identity in self._row_of:
            where = f"row {self._row_of[identity]}"
            self._fault(row, self._heading("id"), f"{identity!r} is in {where}; give another")
        self._row_of.setdefault(identity, row.number)
        return identity

    def _recognised(self, row: Row, said: Mapping[str, str], plain: Mapping[str, Any]) -> str:
        """Find the part of the vehicle that a row without an identity tells of."""
        zones = {plain["zone"], UNSORTED.id, NOT_SAID} if "zone" in said else None
        part, elsewhere = self._known.take(plain["name"], plain["side"], zones)
        if elsewhere is not None:
            zone = self._known_zones.get(elsewhere.zone)
            self._fault(
                row,
                self._heading("zone"),
                f"{plain['name']!r} is in the vehicle already, in another zone "
                f"({zone.name if zone else elsewhere.zone}); if it is the same part, write its "
                f"identity, {elsewhere.id}, into a column headed id; else call it otherwise",
            )
        return part.id if part else ""

    def _heading(self, name: str) -> str:
        """Say how the list heads a field; the field itself if it has no column."""
        places = (place for place, field in self._field_at.items() if field == name)
        return next((self._head.cells[place] for place in places), name)

    def _fault(self, row: Row, column: str, what: str) -> None:
        self.faults.append(RowFault(row.number, column, what))


def _side(said: str) -> tuple[str | None, str]:
    """Read the side and, as it was typed, the end of the vehicle: ``vorn links``."""
    said = _CORNERS.get(fold_words(said), said)
    words = fold_words(said).split()
    ends = [word for word in said.split() if fold_words(word) in _ENDS]
    side = " ".join(word for word in words if word not in _ENDS)
    if side in _SIDES or (ends and not side):
        return _SIDES.get(side), ends[0] if len(ends) == 1 else ""
    return said, ""


def _says(name: str, beginnings: tuple[str, ...]) -> bool:
    return any(word.startswith(beginnings) for word in fold_words(name).split())


def _fold_heading(heading: str) -> str:
    """Bring a heading to its bare words; programs join them as in ``mass_kg``."""
    return fold_words(heading.replace("_", " "))


def _without_unit(heading: str) -> tuple[str, str]:
    """Part ``weight lb`` or ``Gewicht in kg`` into what is measured and in what."""
    measured, _, unit = heading.rpartition(" ")
    if unit not in _MASS_UNITS:
        return heading, ""
    return measured.removesuffix(" in"), unit


def _unlike(taken: Container[str], name: str) -> str:
    """Make an identity of a name, numbered if it is taken."""
    made = fold_words(name).replace(" ", "-")[: LONGEST_IDENTITY // 2] or "part"
    numbered = chain([made], (f"{made}-{number}" for number in count(2)))
    return next(each for each in numbered if each not in taken)
