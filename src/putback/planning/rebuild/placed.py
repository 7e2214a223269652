"""Steps in their places, and what a scheduling chooses and forgives on the way there."""

from collections.abc import Mapping, Sequence, Set
from dataclasses import dataclass
from enum import IntEnum
from typing import NamedTuple

from putback.planning.rebuild.work import Node
from putback.vehicle.ids import JointId, PartId, StandingId


class Placed(NamedTuple):
    """A step in its place; what getting there costs [minutes]."""

    node: Node
    standing: StandingId | None
    setup_minutes: float


class Over(NamedTuple):
    """A change of standing, before a step by number, and what it happens over, in the air."""

    at: int
    air: Set[PartId]


@dataclass(frozen=True)
class Order:
    """Steps in an order, and where the vehicle stands at its beginning."""

    placed: tuple[Placed, ...]
    start: StandingId | None
    setup_minutes: float
    loose: Mapping[Node, tuple[JointId, ...]]
    """What was made loose before a joint was tightened."""
    over: tuple[Over, ...] = ()


class Stuck(Exception):
    """Nothing of what is left can be done; ``ready`` waits for nothing but its standing."""

    def __init__(self, left: Sequence[Node], ready: Sequence[Node]) -> None:
        super().__init__(left, ready)
        self.left = left
        self.ready = ready


class Airy(IntEnum):
    """What may be left in the air, or hang on a run, where nothing else is left to do (19)."""

    NOTHING = 0
    OPENING = 1  # what opens the way to something else
    PROPPED = 2  # any unit, as long as nothing hangs on a run
    ANYTHING = 3


class Forgiving(IntEnum):
    """What is forgiven where nothing else is left to do, each with all before it."""

    NOTHING = 0
    TIGHT = 1  # a joint is tightened though another of its part cannot be made yet
    SHUT = 2  # a part shuts a standing that something is to be done in
    APART = 3  # a part touches nothing


class Choice(NamedTuple):
    """The next step by number, how to stand for it, and what that change costs [minutes]."""

    node: int
    standing: StandingId | None
    minutes: float
