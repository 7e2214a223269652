"""Synthetic vehicles of any size, shaped like real ones and certain to come apart.

::

    from putback.vehicle.generate import generate

    vehicle = generate(parts=400, seed=7)

All of it is invented. The same size and seed give the same vehicle everywhere. `draw` also gives
the order along which the facts were drawn: one that works, though not a good one.
"""

from dataclasses import dataclass

from putback.errors import BadInput
from putback.vehicle.generate.assemble import assemble
from putback.vehicle.generate.order import Act, Step
from putback.vehicle.generate.setup import setup_minutes, work_minutes
from putback.vehicle.vehicle import Vehicle

__all__ = [
    "FEWEST",
    "MOST",
    "Act",
    "Drawn",
    "Step",
    "draw",
    "generate",
    "setup_minutes",
    "work_minutes",
]

FEWEST, MOST = 3, 2000
"""Parts of a generated vehicle."""


@dataclass(frozen=True, slots=True)
class Drawn:
    """A generated vehicle and the order by which it is known to come apart."""

    vehicle: Vehicle
    steps: tuple[Step, ...]


def draw(parts: int = 400, seed: int = 7) -> Drawn:
    """Generate a vehicle together with the order hidden in it.

    Raises
    ------
    BadInput
        If the number of parts is not from `FEWEST` to `MOST`.
    """
    if not FEWEST <= parts <= MOST:
        raise BadInput(
            f"cannot generate a vehicle of {parts} parts", mend=f"ask for {FEWEST} to {MOST}"
        )
    return Drawn(*assemble(parts, seed))


def generate(parts: int = 400, seed: int = 7) -> Vehicle:
    """Generate a vehicle of exactly so many parts, the same for the same seed."""
    return draw(parts, seed).vehicle
