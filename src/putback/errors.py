"""Everything that can go wrong on purpose, as one family.

::

    PutbackError                  the root; exit code 1
    ├── InputError                a person's mistake; exit code 2; nothing was changed
    │   ├── BadInput              anything typed that cannot be meant, when no class below fits
    │   ├── NotFound              no such part, joint, tag ...; knows the nearest names
    │   ├── AlreadyExists         the name or place is taken
    │   ├── UnitError             a quantity that cannot be read
    │   ├── UnreadableFile        a file that cannot be read, with the line
    │   ├── VehicleFileError      a vehicle's description that contradicts itself, all faults
    │   └── BundleError           a bundle that cannot be taken in
    │       └── UnsafeArchive     ... because unpacking it could do harm
    ├── StoreError                the store could not work; what it acknowledged before is safe
    │   ├── StoreBusy             somebody else is writing
    │   ├── DiskFull              no room left
    │   └── Damaged               what is stored is not what was written
    ├── ImpossibleGoal            facts and goal contradict each other
    └── Stopped                   long work was stopped by the person or by its deadline

How to add one
--------------
An error is a dataclass of the *facts* (typed fields, kept for the command line, the API and the
page to show) and says them in three parts: `fault` (what is wrong, with the value), `place`
(where) and `remedy` (how to mend it). ``str(error)`` puts them together::

    @dataclass(eq=False)
    class TooHeavy(InputError):
        \"\"\"A part is heavier than its crew may lift.\"\"\"

        part: str
        mass_kg: float
        limit_kg: float

        def fault(self) -> str:
            return f"{self.part} weighs {self.mass_kg:g} kg, over the limit of {self.limit_kg:g}"

        def remedy(self) -> str:
            return "ask a second person or use the hoist"

An error raised in one package only may live in that package; it still belongs to this tree.
Problems found in honest data (open items, faults in a description) are values, not errors.
"""

from dataclasses import dataclass
from pathlib import Path
from typing import Any, ClassVar

LISTED = "\n  - "
"""How an error puts one fact under another."""


class PutbackError(Exception):
    """Root of the family: catch this to catch whatever Putback raises on purpose.

    Never raised itself; see the module's docstring for how a subclass is written.
    """

    exit_code: ClassVar[int] = 1

    def fault(self) -> str:
        """What is wrong, with the value shown."""
        raise NotImplementedError(f"{type(self).__name__} does not say what is wrong")

    def place(self) -> str:
        """Where it is wrong; empty where there is no telling."""
        return ""

    def remedy(self) -> str:
        """How to mend it; empty where nothing helps."""
        return ""

    def __str__(self) -> str:
        place, remedy = self.place(), self.remedy()
        return f"{place}{': ' if place else ''}{self.fault()}{'; ' if remedy else ''}{remedy}"

    def __reduce__(self) -> tuple[Any, ...]:
        # An exception would pickle its positional arguments only; ours may be made by keyword, and
        # must still travel from a worker process to the person waiting for it.
        return type(self).__new__, (type(self),), vars(self)


class InputError(PutbackError):
    """A person's mistake: one clear sentence says how to mend it, and nothing was changed."""

    exit_code = 2


@dataclass(eq=False)
class BadInput(InputError):
    """Something typed or sent that cannot be meant.

    `what` names the value: ``BadInput("a joint holds two parts or more, not 1", "joint 'sump'")``.
    """

    what: str
    where: str = ""
    mend: str = ""

    def fault(self) -> str:
        return self.what

    def place(self) -> str:
        return self.where

    def remedy(self) -> str:
        return self.mend


@dataclass(eq=False)
class NotFound(InputError):
    """Nothing of this kind goes by this name; `nearest` holds the likeliest meant, best first.

    Each is offered once, however often it was found near.
    """

    kind: str
    wanted: str
    nearest: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        self.nearest = tuple(dict.fromkeys(self.nearest))

    def fault(self) -> str:
        return f"no {self.kind} {self.wanted!r}"

    def remedy(self) -> str:
        return f"did you mean {_either(self.nearest)}?" if self.nearest else ""


@dataclass(eq=False)
class AlreadyExists(InputError):
    """The name, code or place is taken."""

    kind: str
    name: str
    mend: str = "choose another name"

    def fault(self) -> str:
        return f"there is a {self.kind} {self.name!r} already"

    def remedy(self) -> str:
        return self.mend


@dataclass(eq=False)
class UnitError(InputError):
    """A quantity that cannot be read as what is expected there ("a torque")."""

    text: str
    expected: str
    mend: str = ""

    def fault(self) -> str:
        return f"cannot read {self.text!r} as {self.expected}"

    def remedy(self) -> str:
        return self.mend


@dataclass(eq=False)
class UnreadableFile(InputError):
    """A file that cannot be read; `line` counts from 1 where the fault has one."""

    path: Path
    line: int | None
    why: str
    mend: str = ""

    def fault(self) -> str:
        return self.why

    def place(self) -> str:
        return str(self.path) if self.line is None else f"{self.path}, line {self.line}"

    def remedy(self) -> str:
        return self.mend


@dataclass(eq=False)
class VehicleFileError(InputError):
    """A vehicle's description that contradicts itself; names every fault, one a line.

    `faults` are whatever the check found: each says itself by ``str``.
    """

    faults: tuple[object, ...]
    source: str = ""

    def fault(self) -> str:
        count = len(self.faults)
        head = f"{count} fault{'' if count == 1 else 's'} in the vehicle's description"
        return "\n  - ".join([f"{head}, nothing was saved:", *map(str, self.faults)])

    def place(self) -> str:
        return self.source


@dataclass(eq=False)
class BundleError(InputError):
    """A bundle that cannot be taken in; nothing of it was."""

    bundle: Path
    why: str
    mend: str = "ask for the bundle again; nothing was imported"
    member: str = ""

    def fault(self) -> str:
        return self.why

    def place(self) -> str:
        return f"{self.bundle}, {self.member}" if self.member else str(self.bundle)

    def remedy(self) -> str:
        return self.mend


@dataclass(eq=False)
class UnsafeArchive(BundleError):
    """An archive that would write outside its target or swell beyond all measure."""

    mend: str = "do not open it by other means; nothing was imported"


@dataclass(eq=False)
class StoreError(PutbackError):
    """The store could not do its work; whatever it acknowledged before is safe."""

    store: str
    why: str
    mend: str = ""

    def fault(self) -> str:
        return self.why

    def place(self) -> str:
        return self.store

    def remedy(self) -> str:
        return self.mend


@dataclass(eq=False)
class StoreBusy(StoreError):
    """Somebody else has been writing for longer than we wait."""

    why: str = "somebody else is writing to it"
    mend: str = "nothing was saved; try again in a moment"


@dataclass(eq=False)
class DiskFull(StoreError):
    """No room left where the store lives."""

    why: str = "the disk is full"
    mend: str = "nothing was saved; make room and try again"


@dataclass(eq=False)
class Damaged(StoreError):
    """What is stored is not what was written: a torn file, a digest that does not agree."""

    mend: str = "keep it as it is and restore the last good backup beside it"


@dataclass(eq=False)
class ImpossibleGoal(PutbackError):
    """Facts and goal contradict each other: each of `reasons` does its part in it.

    No smaller set of facts does so if `smallest`. Each of `changes` would be enough to reach it,
    said as things would have to be, with the fewest facts changed; none if that is not known.
    First come jobs for which it is too late, had they been done and only not been logged.
    """

    reasons: tuple[str, ...]
    goal: str = ""
    smallest: bool = True
    changes: tuple[str, ...] = ()

    def fault(self) -> str:
        what = f"the goal {self.goal!r}" if self.goal else "the goal"
        lines = [f"{what} cannot be reached:", *self.reasons]
        if not self.smallest:
            lines.append("(fewer facts may be enough to say so)")
        return LISTED.join(lines)

    def remedy(self) -> str:
        if not self.changes:
            return ""
        any_one = "one of these" if len(self.changes) > 1 else "this"
        return LISTED.join((f"it could be, if {any_one} were so:", *self.changes))

    def __str__(self) -> str:
        return "\n".join(filter(None, (self.fault(), self.remedy())))


@dataclass(eq=False)
class Stopped(PutbackError):
    """Long work was stopped by the person or by its deadline, after `done` steps of `total`."""

    what: str = "the work"
    done: int = 0
    total: int | None = None

    def fault(self) -> str:
        of = "" if self.total is None else f" of {self.total}"
        return f"{self.what} was stopped after {self.done}{of} steps"


def _either(names: tuple[str, ...]) -> str:
    """Names as a person would offer them: ``'a', 'b' or 'c'``."""
    *others, last = map(repr, names)
    return f"{', '.join(others)} or {last}" if others else last
