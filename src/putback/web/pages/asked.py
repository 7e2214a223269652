"""A question on the planner's desk, as a page shows it: how far it is, and what became of it."""

from dataclasses import dataclass

from putback.logbook.entries.base import LogbookId
from putback.workshop.desk import Slip, Stage

_LISTED = "\n  - "
"""How an error puts one fact under another."""


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
    fault: str = ""
    """What is wrong, where it failed."""
    facts: tuple[str, ...] = ()
    """The facts that contradict each other, where it is that."""
    remedy: str = ""


def asked(slip: Slip) -> Asked:
    """Show a slip."""
    trouble = slip.trouble
    fault, *facts = trouble.fault.split(_LISTED) if trouble else ("",)
    return Asked(
        logbook=slip.question.logbook,
        slip=slip.id,
        is_open=slip.is_open,
        is_stopped=slip.stage is Stage.CANCELLED,
        words=slip.words or ("waiting for the planner" if slip.stage is Stage.WAITING else ""),
        percent=None if slip.fraction is None else round(100 * slip.fraction),
        fault=fault,
        facts=tuple(facts),
        remedy=trouble.remedy if trouble else "",
    )
