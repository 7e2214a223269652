"""Facts that joints cannot say: what is in the way, what comes before, what gets harder.

Each has an identity, so that an open item or a *why* can name it, and its reason in words.
"""

from dataclasses import dataclass
from enum import StrEnum
from typing import Annotated

from pydantic import BeforeValidator, PlainSerializer

from putback.vehicle.ids import FactId, PartId, Ref


@dataclass(frozen=True, slots=True)
class Obstruction:
    """At least one of ``any_of`` must be out of the way before ``of`` is undone or taken off.

    One member is the usual case: that part is simply in the way. ``of`` names a joint or a part.
    """

    id: FactId
    any_of: tuple[PartId, ...]
    of: Ref
    why: str = ""


class Phase(StrEnum):
    """Which way round the work goes."""

    STRIP = "strip"
    REBUILD = "rebuild"
    BOTH = "both"  # the first comes first in the strip and in the rebuild alike


@dataclass(frozen=True, slots=True)
class Before:
    """``first`` is done before ``then``, for a reason that joints and obstructions do not give.

    The two name joints, parts or jobs. A fact of the strip says nothing about the rebuild unless
    its phase does: "circuits dead" is not reversed.
    """

    id: FactId
    first: Ref
    then: Ref
    why: str
    phase: Phase = Phase.STRIP


_NEVER = "never"

Factor = Annotated[
    float | None,
    BeforeValidator(lambda value: None if value == _NEVER else value),
    PlainSerializer(lambda factor: _NEVER if factor is None else factor),
]
"""Times as long; ``None``, written as *never* since files have no nothing, if not at all."""


@dataclass(frozen=True, slots=True)
class HarderAfter:
    """``job`` takes ``factor`` times as long once ``after`` is done; below one it gets easier.

    A factor of ``None`` means that it cannot be done any more.
    """

    id: FactId
    job: Ref
    after: Ref
    factor: Factor
    why: str = ""
