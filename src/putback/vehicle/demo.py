"""The demonstration vehicle that comes with Putback: all of it invented."""

from functools import cache
from importlib.resources import files

from putback.vehicle.file import read
from putback.vehicle.vehicle import Vehicle


@cache
def demo_vehicle() -> Vehicle:
    """Read the demonstration vehicle; it never changes, so once is enough."""
    return read(demo_text())


def demo_text() -> str:
    """Give the demonstration vehicle as the text of a vehicle file."""
    file = files("putback.vehicle") / "data" / "demo-vehicle.toml"
    return file.read_text(encoding="utf-8")
