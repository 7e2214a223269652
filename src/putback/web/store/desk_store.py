"""The planner's desk in the database: SQLite or PostgreSQL, by the same few queries."""

from collections.abc import Iterator, Mapping
from contextlib import AbstractContextManager, contextmanager
from datetime import timedelta
from typing import Any

from django.db import IntegrityError, connections, transaction
from django.db.models import Q, QuerySet

from putback.errors import NotFound
from putback.logbook.entries.base import LogbookId
from putback.web.store.columns import column_text
from putback.web.store.models import LogbookRow, QuestionRow
from putback.web.store.trouble import database_trouble
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
from putback.workshop.logbooks.ports import Clock, SystemClock, in_utc

_FRESH: Mapping[str, Any] = {
    "stage": Stage.WAITING,
    "words": "",
    "fraction": None,
    "answer": None,
    "fault": "",
    "place": "",
    "remedy": "",
    "planner": "",
    "lost": 0,
}
"""A slip that nobody has worked on."""


class DjangoDesk:
    """Keeps questions in the database that Django knows as ``alias``.

    Safe under several planners: one that takes a question passes over those that another is just
    taking (PostgreSQL), or holds the one write lock meanwhile (SQLite).
    """

    def __init__(self, alias: str, name: str, clock: Clock | None = None) -> None:
        self.alias = alias
        self.name = name
        self._clock = clock or SystemClock()

    # -- asking -----------------------------------------------------------------------------

    def ask(self, question: Question, *, again: bool = False) -> Slip:
        """Put a question, unless it lies there."""
        there = self.look(question.id)
        if there is not None and not (again and there.stage in CLOSED):
            return there
        with self._trouble():
            books = LogbookRow.objects.using(self.alias)
            if not books.filter(id=question.logbook).exists():
                raise NotFound("logbook", question.logbook)
        now = self._now()
        try:
            with self._writing():
                same = {"logbook": question.logbook, "kind": question.kind, "args": question.args}
                waiting = self._rows().filter(**same, stage=Stage.WAITING)
                waiting.exclude(id=question.id).delete()
                row, is_new = self._rows().get_or_create(
                    id=question.id,
                    defaults={
                        **_FRESH,
                        "logbook_id": question.logbook,
                        "kind": question.kind,
                        "args": question.args,
                        "basis": question.basis,
                        "asked_at": now,
                        "touched_at": now,
                    },
                )
                if again and not is_new:
                    self._rows().filter(id=question.id, stage__in=CLOSED).update(
                        **_FRESH, asked_at=now, touched_at=now
                    )
                    row = self._rows().get(id=question.id)
        except IntegrityError as error:  # its logbook went in the same moment
            raise NotFound("logbook", question.logbook) from error
        return _slip(row)

    def look(self, slip: SlipId) -> Slip | None:
        """Give a slip as it is now."""
        with self._trouble():
            row = self._rows().filter(id=slip).first()
        return _slip(row) if row else None

    def answered(self, logbook: LogbookId, kind: str, most: int = 1) -> tuple[Slip, ...]:
        """Give the last answers to questions of a kind."""
        with self._trouble():
            rows = self._rows().filter(logbook=logbook, kind=kind, stage=Stage.ANSWERED)
            return tuple(_slip(row) for row in rows.order_by("-asked_at", "-id")[:most])

    def asked(self, logbook: LogbookId, kind: str, most: int = 1) -> tuple[Slip, ...]:
        """Give the last questions of a kind."""
        with self._trouble():
            rows = self._rows().filter(logbook=logbook, kind=kind)
            return tuple(_slip(row) for row in rows.order_by("-asked_at", "-id")[:most])

    def cancel(self, slip: SlipId) -> None:
        """Want no answer any more."""
        with self._writing():
            rows = self._rows().filter(id=slip).exclude(stage__in=CLOSED)
            rows.update(stage=Stage.CANCELLED, planner="", touched_at=self._now())

    # -- answering --------------------------------------------------------------------------

    def claim(self, planner: str, *, papers: bool = False) -> Slip | None:
        """Take the oldest question that waits, or whose planner is dead."""
        with self._trouble():
            if not self._free(papers).exists():  # nobody is kept from writing while nothing waits
                return None
        with self._writing():
            self._give_up()
            # SQLite knows no lock of a row, and has locked the whole by now.
            row = self._free(papers).select_for_update(skip_locked=True).first()
            if row is None:
                return None
            row.lost += row.stage == Stage.IN_WORK
            row.stage, row.planner, row.touched_at = Stage.IN_WORK, planner, self._now()
            row.save(using=self.alias, update_fields=["stage", "planner", "touched_at", "lost"])
        return _slip(row)

    def report(self, slip: SlipId, planner: str, words: str, fraction: float | None) -> bool:
        """Say how far it is."""
        return self._if_own(slip, planner, words=column_text(words), fraction=fraction)

    def finish(self, slip: SlipId, planner: str, answer: bytes) -> None:
        """Answer a question."""
        self._if_own(slip, planner, stage=Stage.ANSWERED, answer=answer, planner="")

    def fail(self, slip: SlipId, planner: str, trouble: Trouble) -> None:
        """Say why there is no answer."""
        self._if_own(
            slip,
            planner,
            stage=Stage.FAILED,
            fault=column_text(trouble.fault),
            place=column_text(trouble.place),
            remedy=column_text(trouble.remedy),
            planner="",
        )

    def give_back(self, slip: SlipId, planner: str) -> None:
        """Let another planner take it."""
        self._if_own(slip, planner, **_FRESH)

    def clear(self, older_than_s: float) -> None:
        """Throw away what was closed long ago."""
        end = in_utc(self._clock.now() - timedelta(seconds=older_than_s))
        old = self._rows().filter(stage__in=CLOSED, touched_at__lt=end)
        with self._trouble():
            if not old.exists():
                return
        with self._writing():
            old.delete()

    def close(self) -> None:
        """Let go of this thread's connection; the next call opens another."""
        connections[self.alias].close()

    # -- inside -----------------------------------------------------------------------------

    def _rows(self) -> QuerySet[QuestionRow]:
        return QuestionRow.objects.using(self.alias)

    def _free(self, papers: bool) -> QuerySet[QuestionRow]:
        waiting, made_of_paper = Q(stage=Stage.WAITING), Q(kind__in=PAPERS)
        whose = made_of_paper if papers else ~made_of_paper
        return self._rows().filter(whose, waiting | self._left()).order_by("asked_at", "id")

    def _left(self) -> Q:
        """Those whose planner was not heard of for too long."""
        stale = in_utc(self._clock.now() - timedelta(seconds=STALE_S))
        return Q(stage=Stage.IN_WORK, touched_at__lt=stale)

    def _give_up(self) -> None:
        """Close what one planner too many died over."""
        over = self._rows().filter(self._left(), lost__gte=MOST_LOST - 1)
        over.update(
            stage=Stage.FAILED,
            fault=GIVEN_UP.fault,
            place=GIVEN_UP.place,
            remedy=GIVEN_UP.remedy,
            planner="",
            lost=0,
            touched_at=self._now(),
        )

    def _if_own(self, slip: SlipId, of: str, /, **changed: Any) -> bool:
        with self._writing():
            own = self._rows().filter(id=slip, planner=of, stage=Stage.IN_WORK)
            return bool(own.update(**changed, touched_at=self._now()))

    def _now(self) -> str:
        return in_utc(self._clock.now())

    def _trouble(self) -> AbstractContextManager[None]:
        return database_trouble(self.alias, self.name)

    @contextmanager
    def _writing(self) -> Iterator[None]:
        with self._trouble(), transaction.atomic(using=self.alias, durable=True):
            yield


def _slip(row: QuestionRow) -> Slip:
    stage = Stage(row.stage)
    return Slip(
        Question(LogbookId(row.logbook_id), row.kind, row.args, row.basis),
        row.asked_at,
        stage,
        row.words,
        row.fraction,
        bytes(row.answer) if row.answer is not None else None,
        Trouble(row.fault, row.place, row.remedy) if stage is Stage.FAILED else None,
        row.lost,
    )
