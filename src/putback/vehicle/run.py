"""A run: a cable, pipe, hose or loom, and the path it takes.

The run itself is a part of the same identity; each of its ends and clips is a joint, so that it
counts when groups are parted, in the accounts and in "x of n".
"""

from dataclasses import dataclass

from putback.vehicle.ids import JointId, PartId


@dataclass(frozen=True, slots=True)
class Passage:
    """Something the run passes through: a grommet, a hole, a bracket; bore [m]."""

    what: str
    part: PartId | None = None
    bore_m: float | None = None


@dataclass(frozen=True, slots=True)
class RunEnd:
    """One end: the joint that makes it, and what a person must know to find its place again."""

    joint: JointId
    at: str = ""
    branch: str = ""
    colours: tuple[str, ...] = ()
    terminal: str = ""
    passes: bool = True
    """Whether it will go through the passages; the end that will not decides the way out."""
    turns: bool = False
    """The hose end that turns: undone last, fitted first."""


@dataclass(frozen=True, slots=True)
class Run:
    """The path of one run; length [m]."""

    part: PartId
    ends: tuple[RunEnd, ...] = ()
    clips: tuple[JointId, ...] = ()
    route: tuple[str, ...] = ()
    passages: tuple[Passage, ...] = ()
    comes_out: str = ""
    """Which way it is drawn out, in words."""
    why: str = ""
    before_drawing: str = ""
    undo_order: tuple[str, ...] = ()
    fit_order: tuple[str, ...] = ()
    length_m: float | None = None
    bends: int | None = None
    remake: bool = False
    keep_as_pattern: bool = False
    note: str = ""
