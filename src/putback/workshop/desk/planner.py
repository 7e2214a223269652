"""A planner: takes one question after another from the desk, and answers it.

While it plans, a thread beside it says every second how far it is and that it lives, and hears
whether the answer is still wanted. What goes wrong is told on the slip; a store that is busy or
away for a while is waited for.
"""

import logging
from collections.abc import Callable
from dataclasses import dataclass, field
from threading import Event, Thread
from time import monotonic
from typing import Protocol

from putback.errors import Damaged, DiskFull, PutbackError, Stopped, StoreError
from putback.progress import Progress
from putback.workshop.desk.port import STALE_S, Desk, Question, Slip, Trouble
from putback.workshop.desk.questions import answer
from putback.workshop.logbooks.workshop import Workshop

_LOG = logging.getLogger(__name__)
_REPORT_S = 1.0
"""How often it says how far it is, and hears whether to go on [s]."""
_PAUSES_S = (0.2, 2.0)
"""How long it waits while nothing is asked, and while the store does not work [s]."""
_KEEP_S = 3 * 24 * 3600.0
"""How long answers stay on the desk [s]."""
_CLEAR_S = 3600.0
"""How often old answers are thrown away [s]."""


class Watched:
    """The progress of one question: written down by `Reporting`, read by whoever looks."""

    def __init__(self, ended: Event) -> None:
        self.words = ""
        self.fraction: float | None = None
        self.unwanted = Event()
        self._ended = ended

    def step(self, done: int, total: int | None, what: str) -> None:
        """Take note, or raise `Stopped` if nobody wants it any more or the planner goes home."""
        if self.unwanted.is_set() or self._ended.is_set():
            raise Stopped(what, done, total)
        self.words = what
        self.fraction = min(done / total, 1.0) if total else None


class MakesPapers(Protocol):
    """Makes what is asked for as paper."""

    def answer(self, workshop: Workshop, question: Question, progress: Progress) -> bytes:
        """Make one, and keep it; gives what is told of it, as JSON."""

    def clear(self, older_than_s: float) -> None:
        """Throw away what was made more than so many seconds ago [s]."""


@dataclass
class Planner:
    """Answers the questions of a desk until it is told to end.

    Parameters
    ----------
    workshop, desk
        Over one store, and no other thread's.
    name
        Unlike that of any other planner of this desk.
    let_go
        Lets go of what the reporting thread holds of the store, when it ends.
    papers
        Makes papers, where it answers what is asked for as paper, and plans nothing.
    """

    workshop: Workshop
    desk: Desk
    name: str
    let_go: Callable[[], None] = lambda: None
    papers: MakesPapers | None = None
    ended: Event = field(default_factory=Event)

    def run(self) -> None:
        """Answer questions until `ended` is set."""
        idle, trouble = _PAUSES_S
        cleared = -_CLEAR_S
        while not self.ended.is_set():
            try:
                if monotonic() - cleared >= _CLEAR_S:
                    self.desk.clear(_KEEP_S)
                    if self.papers is not None:
                        self.papers.clear(_KEEP_S)
                    cleared = monotonic()
                pause = 0.0 if self.answer_one() else idle
            except StoreError as error:
                _LOG.warning("the store does not work, trying again: %s", error)
                pause = trouble
            self.ended.wait(pause)

    def answer_one(self) -> bool:
        """Answer the oldest question; ``False`` if there is none.

        Raises
        ------
        StoreError
            If the store does not work; the question is taken again, by this planner or another.
        """
        slip = self.desk.claim(self.name, papers=self.papers is not None)
        if slip is None:
            return False
        watched = Watched(self.ended)
        with _Reporting(self.desk, slip, self.name, watched, self.let_go):
            outcome = self._outcome(slip, watched)
        self._tell(slip, outcome)
        return True

    def _outcome(self, slip: Slip, watched: Watched) -> "bytes | Trouble | None":
        """Plan; ``None`` if it was stopped, or the store was away."""
        try:
            answers = answer if self.papers is None else self.papers.answer
            return answers(self.workshop, slip.question, watched)
        except Stopped:
            return None
        except (Damaged, DiskFull) as error:
            return Trouble.of(error)
        except StoreError as error:
            _LOG.warning("the store does not work: %s", error)
            return None
        except PutbackError as error:
            return Trouble.of(error)
        except Exception as error:  # noqa: BLE001 - a fault of ours must not end the planner
            _LOG.exception("a fault while answering %r", slip.question)
            return Trouble(
                f"a fault of Putback, not yours: {type(error).__name__}",
                remedy="what was logged is safe; please report it with what the planner said",
            )

    def _tell(self, slip: Slip, outcome: "bytes | Trouble | None") -> None:
        """Put the outcome on the slip; a store that is away meanwhile is waited for."""
        end = monotonic() + STALE_S
        while True:
            try:
                if isinstance(outcome, bytes):
                    self.desk.finish(slip.id, self.name, outcome)
                elif outcome is not None:
                    self.desk.fail(slip.id, self.name, outcome)
                else:
                    self.desk.give_back(slip.id, self.name)
            except StoreError:
                if self.ended.is_set() or monotonic() > end:
                    raise
                self.ended.wait(_PAUSES_S[1])
            else:
                return


class _Reporting:
    """Reports how far a question is as long as it is in work, in a thread of its own."""

    def __init__(
        self,
        desk: Desk,
        slip: Slip,
        planner: str,
        watched: Watched,
        let_go: Callable[[], None],
    ) -> None:
        self._desk = desk
        self._slip = slip
        self._planner = planner
        self._watched = watched
        self._let_go = let_go
        self._over = Event()
        self._thread = Thread(target=self._report, daemon=True)

    def __enter__(self) -> None:
        self._thread.start()

    def __exit__(self, *trouble: object) -> None:
        self._over.set()
        self._thread.join()

    def _report(self) -> None:
        try:
            while not self._over.wait(_REPORT_S):
                seen = self._watched
                try:
                    wanted = self._desk.report(
                        self._slip.id, self._planner, seen.words, seen.fraction
                    )
                except StoreError:
                    continue  # busy or away: said at the next turn
                if not wanted:
                    seen.unwanted.set()
        finally:
            self._let_go()
