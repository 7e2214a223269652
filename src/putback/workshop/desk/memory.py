"""A desk in memory: for tests, and to keep the port honest."""

from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from threading import RLock

from putback.logbook.entries.base import LogbookId
from putback.workshop.desk.port import (
    CLOSED,
    GIVEN_UP,
    MOST_LOST,
    PAPERS,
    STALE_S,
    Question,
    Slip,
    SlipId,
    Stage,
    Trouble,
)
from putback.workshop.logbooks.ports import Clock, EntryStore, SystemClock, in_utc


@dataclass(frozen=True, slots=True)
class _Lying:
    """A slip, who works on it, and when it was last touched."""

    slip: Slip
    number: int
    touched: datetime
    planner: str = ""


class MemoryDesk:
    """Keeps questions as long as it lives itself; safe under several threads."""

    def __init__(self, store: EntryStore, clock: Clock | None = None) -> None:
        self._store = store
        self._clock = clock or SystemClock()
        self._lock = RLock()
        self._lying: dict[SlipId, _Lying] = {}
        self._number = 0

    def ask(self, question: Question, *, again: bool = False) -> Slip:
        """Put a question, unless it lies there."""
        self._store.position(question.logbook)
        with self._lock:
            there = self._lying.get(question.id)
            if there is not None and not (again and there.slip.stage in CLOSED):
                return there.slip
            now = self._clock.now()
            self._number += 1
            for older in [each for each in self._lying.values() if _is_older(each.slip, question)]:
                del self._lying[older.slip.id]
            slip = Slip(question, in_utc(now))
            self._lying[question.id] = _Lying(slip, self._number, now)
            return slip

    def look(self, slip: SlipId) -> Slip | None:
        """Give a slip as it is now."""
        with self._lock:
            there = self._lying.get(slip)
            return there.slip if there else None

    def answered(self, logbook: LogbookId, kind: str, most: int = 1) -> tuple[Slip, ...]:
        """Give the last answers to questions of a kind."""
        there = self.asked(logbook, kind, len(self._lying))
        return tuple(each for each in there if each.stage is Stage.ANSWERED)[:most]

    def asked(self, logbook: LogbookId, kind: str, most: int = 1) -> tuple[Slip, ...]:
        """Give the last questions of a kind."""
        with self._lock:
            found = [
                each
                for each in self._lying.values()
                if (each.slip.question.logbook, each.slip.question.kind) == (logbook, kind)
            ]
        found.sort(key=lambda each: -each.number)
        return tuple(each.slip for each in found[:most])

    def cancel(self, slip: SlipId) -> None:
        """Want no answer any more."""
        with self._lock:
            there = self._lying.get(slip)
            if there is not None and there.slip.is_open:
                self._close(there, replace(there.slip, stage=Stage.CANCELLED))

    def claim(self, planner: str, *, papers: bool = False) -> Slip | None:
        """Take the oldest question that waits, or whose planner is dead."""
        with self._lock:
            now = self._clock.now()
            stale = now - timedelta(seconds=STALE_S)
            self._give_up(stale)
            free = [
                each
                for each in self._lying.values()
                if (each.slip.stage is Stage.WAITING or _is_left(each, stale))
                and (each.slip.question.kind in PAPERS) is papers
            ]
            if not free:
                return None
            first = min(free, key=lambda each: each.number)
            lost = first.slip.lost + _is_left(first, stale)
            slip = replace(first.slip, stage=Stage.IN_WORK, lost=lost)
            self._lying[slip.id] = replace(first, slip=slip, planner=planner, touched=now)
            return slip

    def _give_up(self, stale: datetime) -> None:
        """Close what one planner too many died over."""
        for each in list(self._lying.values()):
            if _is_left(each, stale) and each.slip.lost + 1 >= MOST_LOST:
                failed = replace(each.slip, stage=Stage.FAILED, trouble=GIVEN_UP)
                self._close(each, failed)

    def report(self, slip: SlipId, planner: str, words: str, fraction: float | None) -> bool:
        """Say how far it is."""

        def told(there: _Lying) -> None:
            said = replace(there.slip, words=words, fraction=fraction)
            self._lying[slip] = replace(there, slip=said, touched=self._clock.now())

        return self._if_own(slip, planner, told)

    def finish(self, slip: SlipId, planner: str, answer: bytes) -> None:
        """Answer a question."""
        self._if_own(
            slip,
            planner,
            lambda there: self._close(
                there, replace(there.slip, stage=Stage.ANSWERED, answer=answer)
            ),
        )

    def fail(self, slip: SlipId, planner: str, trouble: Trouble) -> None:
        """Say why there is no answer."""
        self._if_own(
            slip,
            planner,
            lambda there: self._close(
                there, replace(there.slip, stage=Stage.FAILED, trouble=trouble)
            ),
        )

    def give_back(self, slip: SlipId, planner: str) -> None:
        """Let another planner take it."""
        self._if_own(
            slip,
            planner,
            lambda there: self._close(
                there, replace(there.slip, stage=Stage.WAITING, words="", fraction=None)
            ),
        )

    def clear(self, older_than_s: float) -> None:
        """Throw away what was closed long ago."""
        with self._lock:
            end = self._clock.now() - timedelta(seconds=older_than_s)
            self._lying = {
                slip: each
                for slip, each in self._lying.items()
                if each.slip.is_open or each.touched >= end
            }

    def _if_own(self, slip: SlipId, planner: str, do: Callable[[_Lying], None]) -> bool:
        with self._lock:
            there = self._lying.get(slip)
            is_own = (
                there is not None
                and there.planner == planner
                and there.slip.stage is Stage.IN_WORK
            )
            if there is not None and is_own:
                do(there)
            return is_own

    def _close(self, there: _Lying, slip: Slip) -> None:
        self._lying[slip.id] = replace(
            there, slip=replace(slip, lost=0), planner="", touched=self._clock.now()
        )


def _is_left(each: _Lying, stale: datetime) -> bool:
    """Whether its planner was not heard of for too long."""
    return each.slip.stage is Stage.IN_WORK and each.touched < stale


def _is_older(slip: Slip, than: Question) -> bool:
    """Whether it waits on another basis for the answer to the same question."""
    there = slip.question
    same = (there.logbook, there.kind, there.args) == (than.logbook, than.kind, than.args)
    return same and slip.stage is Stage.WAITING
