"""A question on the planner's desk, as a page shows it: how far it is, and what became of it."""

from dataclasses import dataclass

from putback.errors import LISTED
from putback.logbook.entries.base import LogbookId
from putback.workshop.desk import Slip, Stage
from putback.workshop.desk.port import PAPERS


@dataclass(frozen=True, slots=True)
class Asked:
    """What a page shows of a slip."""

    logbook: LogbookId
    slip: str
    is_open: bool
    is_stopped: bool
    words: str
    percent: int | None
    """How far it is; ``None`` where nobody can tell."""
    is_paper: bool = False
    """Whether it is made as paper; else it is planned."""
    is_anew: bool = False
    """Whether whoever was at it before ended in the middle of it."""
    fault: str = ""
    """What is wrong, where it failed."""
    facts: tuple[str, ...] = ()
    """The facts that contradict each other, where it is that."""
    remedy: str = ""
    remedies: tuple[str, ...] = ()
    """Of which each would do, where there are several."""

    @property
    def is_told(self) -> bool:
        """Whether there is something to tell of it besides its answer."""
        return self.is_open or self.is_stopped or bool(self.fault)


def asked(slip: Slip) -> Asked:
    """Show a slip."""
    trouble = slip.trouble
    fault, *facts = trouble.fault.split(LISTED) if trouble else ("",)
    remedy, *remedies = trouble.remedy.split(LISTED) if trouble else ("",)
    is_paper = slip.question.kind in PAPERS
    waits = "waiting for its turn" if is_paper else "waiting for the planner"
    return Asked(
        logbook=slip.question.logbook,
        slip=slip.id,
        is_open=slip.is_open,
        is_stopped=slip.stage is Stage.CANCELLED,
        words=slip.words or (waits if slip.stage is Stage.WAITING else ""),
        percent=None if slip.fraction is None else round(100 * slip.fraction),
        is_paper=is_paper,
        is_anew=slip.lost > 0,
        fault=fault,
        facts=tuple(facts),
        remedy=remedy,
        remedies=tuple(remedies),
    )
