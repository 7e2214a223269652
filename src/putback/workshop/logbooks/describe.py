"""A vehicle said in entries: one description a record."""

from putback.logbook.entries.describing import Described
from putback.vehicle.codec import TABLES, key_field, to_plain
from putback.vehicle.vehicle import Vehicle


def describe(vehicle: Vehicle) -> tuple[Described, ...]:
    """Say all of a vehicle; folded into an empty logbook this is the same vehicle again."""
    records = [("about", vehicle.about)]
    records += [
        (table, record)
        for table in TABLES
        if table != "about"
        for record in getattr(vehicle, table).values()
    ]
    return tuple(described_as(table, record) for table, record in records)


def described_as(table: str, record: object) -> Described:
    """Say all of one record."""
    plain = to_plain(table, record)
    identity = plain.pop(key_field(table))
    return Described(table=table, id=identity, fields=plain)
