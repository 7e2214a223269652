"""A list of parts said in entries: what is new in it, and what it says otherwise."""

from collections.abc import Iterator

from putback.logbook.entries.describing import Described
from putback.vehicle.table_import import Imported
from putback.workshop.logbooks.describe import described_as


def said_by(found: Imported) -> tuple[Described, ...]:
    """Say a list in entries; none where it says nothing that is not described so already."""
    return tuple(_said(found))


def _said(found: Imported) -> Iterator[Described]:
    for zone in found.zones:
        yield described_as("zones", zone)
    for part in found.parts:
        yield described_as("parts", part)
    for identity, fields in found.changed.items():
        yield Described(table="parts", id=identity, fields=fields)
