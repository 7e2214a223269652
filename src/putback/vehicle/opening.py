"""An opening: an end or hole that must be closed while what filled it is away."""

import re
from dataclasses import dataclass

from putback.vehicle.ids import FluidId, JobId, JointId, OpeningId, PartId

_FUEL = re.compile(r"\b(fuel|petrol|gasoline|diesel|lpg)\b|kraftstoff|benzin", re.IGNORECASE)
_FLAMMABLE = re.compile(r"flammable|vapour|petrol|explos|brennbar|entzündlich", re.IGNORECASE)


def speaks_of_fuel(text: str) -> bool:
    """Whether words of a description name fuel."""
    return _FUEL.search(text) is not None


@dataclass(frozen=True, slots=True)
class Opening:
    """Opened by undoing ``joints`` (any of them); ``ends`` holes or pipe ends to close."""

    id: OpeningId
    name: str
    part: PartId
    joints: tuple[JointId, ...] = ()
    ends: int = 1
    thread: str = ""
    """Thread or bore, in words."""
    closed_with: str = ""
    needs_closing: bool = True
    fluid: FluidId | None = None


@dataclass(frozen=True, slots=True)
class Fluid:
    """What a part holds; mass [kg], volume [m³]."""

    id: FluidId
    name: str
    part: PartId
    volume_m3: float | None = None
    mass_kg: float = 0.0
    cg_m: tuple[float, float, float] | None = None
    drained_by: JobId | None = None
    leaks_if_off: tuple[PartId, ...] = ()
    never_mix: tuple[str, ...] = ()
    hazard: str = ""

    @property
    def burns(self) -> bool:
        """Whether it burns, by the words of who described it."""
        return speaks_of_fuel(self.name) or bool(_FLAMMABLE.search(f"{self.hazard} {self.name}"))
