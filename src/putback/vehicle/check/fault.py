"""What a check finds: a fault as data, said in the trade's words."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from enum import StrEnum

from putback.vehicle.ids import PartId, Ref
from putback.vehicle.vehicle import Vehicle


class Severity(StrEnum):
    """How sure it is that something is wrong."""

    ERROR = "error"  # the description contradicts itself, and a plan made from it would be wrong
    DOUBT = "doubt"  # may well be right, or is not known yet; worth a look


@dataclass(frozen=True, slots=True)
class Fault:
    """One fault in a vehicle's description.

    ``ref`` is the record at fault: its kind, a colon, its identity.
    """

    ref: Ref
    message: str
    mend: str
    severity: Severity
    rule: str = ""
    """Name of the rule that found it; `check` fills it in."""

    @property
    def is_error(self) -> bool:
        """Whether it must be mended before the vehicle can be planned with."""
        return self.severity is Severity.ERROR

    def __str__(self) -> str:
        doubt = "" if self.is_error else "perhaps: "
        return f"{doubt}{self.message}; {self.mend}"


Rule = Callable[[Vehicle], Iterator[Fault]]
"""Looks at a whole vehicle for one kind of fault."""


def error(kind: str, identity: str, message: str, mend: str) -> Fault:
    """Report a contradiction."""
    return Fault(Ref(f"{kind}:{identity}"), message, mend, Severity.ERROR)


def doubt(kind: str, identity: str, message: str, mend: str) -> Fault:
    """Report what may be wrong, or is not known yet."""
    return Fault(Ref(f"{kind}:{identity}"), message, mend, Severity.DOUBT)


def named(record: object) -> str:
    """Say a record by name and identity: ``'bonnet hinges' (J1)``."""
    identity, name = getattr(record, "id", ""), getattr(record, "name", "")
    return f"{name!r} ({identity})" if name and name != identity else repr(identity)


def named_part(vehicle: Vehicle, part: PartId) -> str:
    """Say a part as `named` does; by its identity alone where nobody described it."""
    return named(vehicle.parts[part]) if part in vehicle.parts else repr(part)
