"""What the planner's desk promises: a question is there once, and is answered once.

Pages put questions and look for answers; planners, several if need be, take the oldest that waits.
Everything on the desk can be asked again, so none of it is ever backed up.
"""

from dataclasses import dataclass, field
from enum import StrEnum
from hashlib import sha256
from typing import NewType, Protocol

from putback.errors import PutbackError
from putback.logbook.entries.base import LogbookId

SlipId = NewType("SlipId", str)
"""Digest of a question: the same question has the same slip."""

STALE_S = 30.0
"""A planner that was not heard of for so long is taken to be dead [s]; a convention of ours."""

MOST_LOST = 3
"""So many planners may die over one question before it is given up; a convention of ours."""

HISTORY = "history"
PAPERS = frozenset({HISTORY})
"""Kinds of which a paper is made: by a process of its own, so that no plan waits for it."""


class Stage(StrEnum):
    """How far a question is."""

    WAITING = "waiting"
    IN_WORK = "in work"
    ANSWERED = "answered"
    FAILED = "failed"
    CANCELLED = "cancelled"


CLOSED = frozenset({Stage.ANSWERED, Stage.FAILED, Stage.CANCELLED})
"""Stages in which nothing more comes; a question goes back to the beginning if asked *again*."""


@dataclass(frozen=True, slots=True)
class Question:
    """What is asked of one logbook.

    ``kind`` names it among the questions that planners know; ``args`` is JSON, its keys sorted.
    ``basis`` names what the answer rests on: the logbook's position, the day, the plan followed.
    A question on another basis is another question.
    """

    logbook: LogbookId
    kind: str
    args: str = "{}"
    basis: str = ""

    @property
    def id(self) -> SlipId:
        """The identity of its slip."""
        parts = (self.logbook, self.kind, self.args, self.basis)
        return SlipId(sha256("\x00".join(parts).encode()).hexdigest()[:32])


@dataclass(frozen=True, slots=True)
class Trouble:
    """Why there is no answer: what is wrong, where, and how to mend it."""

    fault: str
    place: str = ""
    remedy: str = ""

    @classmethod
    def of(cls, error: PutbackError) -> "Trouble":
        """Take an error apart."""
        return cls(error.fault(), error.place(), error.remedy())


GIVEN_UP = Trouble(
    f"a fault of Putback, not yours: the work ended without a word {MOST_LOST} times",
    remedy="what was logged is safe; try again, and if it happens once more report it with "
    "what the planner said. Where the machine is short of memory, end what else runs there",
)
"""What is said of a question over which too many planners died."""


@dataclass(frozen=True, slots=True)
class Slip:
    """A question on the desk, and what became of it."""

    question: Question
    asked_at: str
    """ISO 8601 instant in UTC."""
    stage: Stage = Stage.WAITING
    words: str = ""
    """What the planner is at."""
    fraction: float | None = None
    """How far it is [-]; ``None`` where nobody can tell."""
    answer: bytes | None = field(default=None, repr=False)
    """JSON, once it is answered."""
    trouble: Trouble | None = None
    """Set once it failed."""
    lost: int = 0
    """So many planners died over it, as it looks."""

    @property
    def id(self) -> SlipId:
        """The question's identity."""
        return self.question.id

    @property
    def is_open(self) -> bool:
        """Whether an answer may still come."""
        return self.stage in (Stage.WAITING, Stage.IN_WORK)


class Desk(Protocol):
    """Where questions lie. Every call is atomic; what cannot be done raises a `StoreError`."""

    def ask(self, question: Question, *, again: bool = False) -> Slip:
        """Put a question, unless it lies there; give its slip either way.

        One that is closed waits anew only with ``again``: whoever stopped it meant it. The same
        question on an older basis is thrown away if it still waits: nobody needs it now.

        Raises
        ------
        NotFound
            If there is no such logbook.
        """

    def look(self, slip: SlipId) -> Slip | None:
        """Give a slip as it is now."""

    def answered(self, logbook: LogbookId, kind: str, most: int = 1) -> tuple[Slip, ...]:
        """Give the last answers to questions of a kind, the newest first."""

    def asked(self, logbook: LogbookId, kind: str, most: int = 1) -> tuple[Slip, ...]:
        """Give the last questions of a kind, whatever became of them, the newest first."""

    def cancel(self, slip: SlipId) -> None:
        """Want no answer any more: whoever works on it stops."""

    def claim(self, planner: str, *, papers: bool = False) -> Slip | None:
        """Take the oldest question that waits, or whose planner is dead; ``None`` if none does.

        Those in `PAPERS` are given to whoever makes ``papers``, all others to planners. No two
        are ever given the same one. One over which `MOST_LOST` died is given to none: it has
        failed.
        """

    def report(self, slip: SlipId, planner: str, words: str, fraction: float | None) -> bool:
        """Say how far it is and that the planner lives; tells whether to go on."""

    def finish(self, slip: SlipId, planner: str, answer: bytes) -> None:
        """Answer a question; nothing happens if it is not this planner's any more."""

    def fail(self, slip: SlipId, planner: str, trouble: Trouble) -> None:
        """Say why there is no answer; nothing happens if it is not this planner's any more."""

    def give_back(self, slip: SlipId, planner: str) -> None:
        """Let another planner take it: this one goes home."""

    def clear(self, older_than_s: float) -> None:
        """Throw away what was closed more than so many seconds ago [s]."""
